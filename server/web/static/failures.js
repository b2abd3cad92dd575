// Draws the yield by week and lets it be read week by week.
import { palette } from "./chart-option.js";
import { option, readout, step } from "./failures-option.js";
import { dataOf, readAlong, worded } from "./read-along.js";

const data = dataOf("weeks");
const rows = [...document.querySelectorAll("#weeks tbody tr")].map((row) => ({ texts: [...row.cells].map((cell) => cell.textContent), path: row.querySelector("a").getAttribute("href") }));

readAlong({
  option: (width, height) => option(data, width, height),
  marks: (at) => [{ id: "chosen", type: "scatter", silent: true, z: 6, symbol: "circle", symbolSize: 20, itemStyle: { color: "transparent", borderColor: palette.ink, borderWidth: 2 }, data: [[at, data.weeks[at].value]] }],
  said(at) {
    const r = readout(rows[at].texts);
    return [worded("a", r.week, { href: rows[at].path }), worded("b", " " + r.value + " "), worded("span", r.about, { className: "quiet" }), worded("b", r.signal ? " " + r.signal + "." : "")];
  },
  nearest(x) {
    const i = Math.round(x);
    return i >= 0 && i < data.weeks.length ? i : null;
  },
  step: (key, at) => step(key, at, data.weeks),
  path: (at) => rows[at].path,
});
