// Draws the plots of a page and lets each be read place by place. Everything that
// is decided stands in plot-option.js.
import { palette } from "./chart-option.js";
import { step } from "./figure-option.js";
import { nearest, option, readout, spot } from "./plot-option.js";
import { readAlong, worded } from "./read-along.js";

// Bars lie below one another: up and down lead from one to the next.
const lying = { ArrowDown: "ArrowRight", ArrowUp: "ArrowLeft" };

for (const plot of document.querySelectorAll(".plot[data-plot]")) {
  const data = JSON.parse(plot.dataset.plot);
  readAlong({
    plot, line: document.getElementById(plot.id + "-readout"),
    option: (width, height) => option(data, width, height),
    marks(at) { // a ring round the place
      const where = spot(data, at);
      return [{
        id: "chosen", type: "scatter", silent: true, z: 6, symbol: "circle", symbolSize: 15, data: where ? [where] : [],
        itemStyle: { color: "transparent", borderColor: palette.note, borderWidth: 2.5 },
      }];
    },
    said(at) {
      const { where, value, about } = readout(data, at);
      return [worded("b", where + "  "), worded("span", value), worded("span", about ? ", " + about : "", { className: "quiet" })];
    },
    nearest: (x, y) => nearest(data, x, y),
    step: (key, at) => step(data.shape === "bars" ? lying[key] ?? key : key, at, data.points.length),
  });
}
