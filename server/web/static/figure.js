// Draws a figure of lines and lets it be read place by place. Everything that
// is decided stands in figure-option.js.
import { palette } from "./chart-option.js";
import { nearest, option, readout, step } from "./figure-option.js";
import { dataOf, readAlong, worded } from "./read-along.js";

const data = dataOf("figure");

readAlong({
  option: (width, height) => option(data, width, height),
  marks: (at) => [{ // a dot on each line
    id: "chosen", type: "scatter", silent: true, z: 6, symbol: "circle", symbolSize: 9, itemStyle: { color: palette.note },
    data: data.lines.map((l) => [data.at[at], l.values[at]]),
  }],
  said(at) {
    const { where, values } = readout(data, at);
    return [worded("b", where + "  "), values.join(", ")];
  },
  nearest: (x) => nearest(data.at, x),
  step: (key, at) => step(key, at, data.at.length),
});
