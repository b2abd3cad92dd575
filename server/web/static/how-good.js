// Draws first readings against the limit and lets each bar be read. Everything that is
// decided stands in good-option.js.
import { binAt, edges, option, readout, step } from "./good-option.js";
import { dataOf, readAlong, worded } from "./read-along.js";

const data = dataOf("good");

readAlong({
  option: (width, height) => option(data, width, height),
  marks: (at) => data.panels.map((panel, n) => ({ // the chosen bin on each
    id: "chosen " + n, type: "line", xAxisIndex: n, yAxisIndex: n, silent: true, data: [],
    markArea: { silent: true, itemStyle: { color: "rgba(0,90,156,.14)", borderColor: "#005a9c", borderWidth: 2 }, data: [[{ xAxis: edges(data, at)[0] }, { xAxis: edges(data, at)[1] }]] },
  })),
  said(at) {
    const { where, counts } = readout(data, at);
    return [worded("b", where + ": "), counts.join(", ") + "."];
  },
  nearest: (x) => binAt(data, x),
  step: (key, at) => step(key, at, data),
});
