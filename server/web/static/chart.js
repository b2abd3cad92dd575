// Draws the control chart and lets it be read point by point. Everything that
// is decided stands in chart-option.js.
import { option, pointsOf, readout, signalled, step } from "./chart-option.js";
import { dataOf, readAlong, worded } from "./read-along.js";

const data = dataOf("chart");
data.points = pointsOf([...document.querySelectorAll("#points tbody tr")].map((row) => ({
  texts: [...row.cells].map((cell) => cell.textContent), path: row.cells[1].querySelector("a")?.getAttribute("href"),
})), data.behind);
const count = data.points.length;
const signals = signalled(data);

readAlong({
  option: (width, height) => option(data, width, height),
  marks: (at) => data.panels.slice(0, 2).flatMap((panel, n) => { // a ring on each strip
    const value = panel.values[at - panel.first];
    return value === undefined ? [] : [{
      id: "chosen " + n, type: "scatter", xAxisIndex: n, yAxisIndex: n, silent: true, z: 6, symbol: "circle", symbolSize: 17,
      itemStyle: { color: "transparent", borderColor: "#005a9c", borderWidth: 2.5 }, data: [[at, value]],
    }];
  }),
  said(at) {
    const r = readout(data, at);
    return [r.path ? worded("a", r.serial, { href: r.path, className: "mono" }) : worded("span", r.serial), worded("b", " " + r.value + " "), worded("span", r.about + ". ", { className: "quiet" }), r.signals.join(" ")];
  },
  nearest(x) {
    const index = Math.round(x);
    return index >= 0 && index < count ? index : null;
  },
  step: (key, at) => step(key, at, count, signals),
  path: (at) => data.points[at].path,
});
