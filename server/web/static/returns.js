// Draws what came back by months in service and lets it be read. Everything that is
// decided stands in returns-option.js.
import { nearest, option, readout, step } from "./returns-option.js";
import { dataOf, readAlong, worded } from "./read-along.js";

const data = dataOf("returns");
const points = data.lines[0].points;

readAlong({
  option: (width, height) => option(data, width, height),
  marks: (at) => [{
    id: "chosen", type: "scatter", silent: true, z: 6, symbol: "circle", symbolSize: 15, itemStyle: { color: "transparent", borderColor: "#005a9c", borderWidth: 2.5 }, data: [[points[at].age, points[at].share]],
  }],
  said(at) {
    const { where, lines } = readout(data, at);
    return [worded("b", where + ": "), lines.join("; ") + "."];
  },
  nearest: (x) => nearest(data, x),
  step: (key, at) => step(key, at, points.length),
});
