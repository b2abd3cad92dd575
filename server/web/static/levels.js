// Draws two levels and lets their values be read one by one. Everything that is
// decided stands in levels-option.js.
import { levelOption, levelPoints, nearestPoint, stepLevel } from "./levels-option.js";
import { dataOf, readAlong, worded } from "./read-along.js";

const data = dataOf("levels");
const points = levelPoints([...document.querySelectorAll("#points tbody tr")].map((row) => ({
  texts: [...row.cells].map((cell) => cell.textContent), path: row.cells[1].querySelector("a")?.getAttribute("href"),
})), data);

readAlong({
  option: (width, height) => levelOption(data, width, height),
  marks: (at) => [{
    id: "chosen", type: "scatter", silent: true, z: 8, symbol: "circle", symbolSize: 18, itemStyle: { color: "transparent", borderColor: "#16202a", borderWidth: 2.5 }, data: [[points[at].at, points[at].y]],
  }],
  said(at) {
    const p = points[at];
    return [p.path ? worded("a", p.serial, { href: p.path, className: "mono" }) : worded("span", p.serial), worded("b", ` ${p.value} `), worded("span", `${p.when}, ${p.part}.`, { className: "quiet" })];
  },
  nearest: (x) => nearestPoint(points, x),
  step: (key, at) => stepLevel(key, at, points),
  path: (at) => points[at].path,
});
