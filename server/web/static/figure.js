// Draws a figure of lines and lets it be read place by place, by pointer and by
// keyboard. Everything that is decided stands in figure-option.js.
import { palette } from "./chart-option.js";
import { nearest, option, readout, step } from "./figure-option.js";

const plot = document.getElementById("plot");
const line = document.getElementById("readout");
const data = JSON.parse(plot.dataset.figure);
let at = null;

const chart = globalThis.echarts.init(plot, null, { renderer: "svg" });
draw();
new ResizeObserver(() => {
  chart.resize();
  draw();
}).observe(plot);

function draw() {
  chart.setOption(option(data, plot.clientWidth, plot.clientHeight), { notMerge: true });
  mark();
}

// The chosen place gets a dot on each line; nothing else moves.
function mark() {
  if (at === null) return;
  chart.setOption({ series: [{
    id: "chosen", type: "scatter", silent: true, z: 6, symbol: "circle", symbolSize: 9, itemStyle: { color: palette.note },
    data: data.lines.map((l) => [data.at[at], l.values[at]]),
  }] });
}

function choose(index) {
  if (index === null || index === at) return;
  at = index;
  mark();
  const r = readout(data, at);
  const where = document.createElement("b");
  where.textContent = r.where + "  ";
  line.replaceChildren(where, document.createTextNode(r.values.join(", ")));
}

plot.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  const next = step(event.key, at, data.at.length);
  if (next !== null) {
    event.preventDefault();
    choose(next);
  }
});
function pointed(event) {
  const box = plot.getBoundingClientRect();
  const [x] = chart.convertFromPixel({ gridIndex: 0 }, [event.clientX - box.left, event.clientY - box.top]);
  return nearest(data.at, x);
}
plot.addEventListener("pointermove", (event) => choose(pointed(event)));
plot.addEventListener("click", (event) => choose(pointed(event)));
