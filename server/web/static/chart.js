// Draws the control chart and lets it be read point by point, by pointer and
// by keyboard. Everything that is decided stands in chart-option.js.
import { option, pointsOf, readout, signalled, step } from "./chart-option.js";

const plot = document.getElementById("plot");
const line = document.getElementById("readout");
const data = JSON.parse(plot.dataset.chart);
data.points = pointsOf([...document.querySelectorAll("#points tbody tr")].map((row) => ({
  texts: [...row.cells].map((cell) => cell.textContent), path: row.cells[1].firstElementChild.getAttribute("href"),
})), data.behind);
const count = data.points.length;
const signals = signalled(data);
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

// The chosen point gets a ring on each strip; nothing else moves.
function mark() {
  if (at === null) return;
  const rings = data.panels.slice(0, 2).flatMap((panel, n) => {
    const value = panel.values[at - panel.first];
    return value === undefined ? [] : [{
      id: "chosen " + n, type: "scatter", xAxisIndex: n, yAxisIndex: n, silent: true, z: 6, symbol: "circle", symbolSize: 17,
      itemStyle: { color: "transparent", borderColor: "#005a9c", borderWidth: 2.5 }, data: [[at, value]],
    }];
  });
  chart.setOption({ series: rings });
}

function choose(index) {
  if (index === null || index === at) return;
  at = index;
  mark();
  const r = readout(data, at);
  const link = document.createElement("a");
  link.href = r.path;
  link.className = "mono";
  link.textContent = r.serial;
  const value = document.createElement("b");
  value.textContent = " " + r.value + " ";
  const about = document.createElement("span");
  about.className = "quiet";
  about.textContent = r.about + ". ";
  line.replaceChildren(link, value, about, document.createTextNode(r.signals.join(" ")));
}

plot.addEventListener("keydown", (event) => {
  if (event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "Enter" && at !== null) {
    location.href = data.points[at].path;
    return;
  }
  const next = step(event.key, at, count, signals);
  if (next !== null) {
    event.preventDefault();
    choose(next);
  }
});

// The nearest point in the order of measuring is meant, wherever the pointer
// is on the strip: a dot of 5 px is no target.
function nearest(event) {
  const box = plot.getBoundingClientRect();
  const [x] = chart.convertFromPixel({ gridIndex: 0 }, [event.clientX - box.left, event.clientY - box.top]);
  const index = Math.round(x);
  return index >= 0 && index < count ? index : null;
}
plot.addEventListener("pointermove", (event) => choose(nearest(event)));
plot.addEventListener("click", (event) => choose(nearest(event)));
plot.addEventListener("dblclick", () => {
  if (at !== null) location.href = data.points[at].path;
});
