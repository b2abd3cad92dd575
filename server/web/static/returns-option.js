// The deciding half of the curve of returns, free of the page: from the data of the
// server to what the chart library is told to draw, and what is said of a place.
import { palette, tick } from "./chart-option.js";

/** The place that a key leads to from the present one, or null. */
export function step(key, at, count) {
  if (count === 0) return null;
  switch (key) {
    case "ArrowRight": return at === null ? 0 : Math.min(count - 1, at + 1);
    case "ArrowLeft": return at === null ? count - 1 : Math.max(0, at - 1);
    case "Home": return 0;
    case "End": return count - 1;
    default: return null;
  }
}

/** The point of a line at an age: a curve stays at its last point until the next. */
export function pointAt(points, age) {
  let found = points[0];
  for (const point of points) if (point.age <= age) found = point;
  return found;
}

/** The index of the point of the first line that holds at an age, or null beyond its end. */
export function nearest(data, age) {
  if (age < 0 || age > data.until) return null;
  return data.lines[0].points.indexOf(pointAt(data.lines[0].points, age));
}

/** What the line under the curve says of a point. */
export function readout(data, i) {
  const point = data.lines[0].points[i];
  const share = (p) => `${tick(p.share, 2)} %` + (p.low === undefined ? "" : ` (${tick(p.low, 2)} to ${tick(p.high, 2)})`);
  return {
    where: `At ${tick(point.age, 1)} months`,
    lines: data.lines.map((line) => {
      const p = pointAt(line.points, point.age);
      return `${line.name} ${share(p)}, ${p.at_risk} at risk`;
    }),
  };
}

/** A line as steps, on to where it ends. */
export function steps(points, until, of) {
  const out = [];
  for (const point of points) {
    const y = of(point);
    if (y === undefined) continue;
    if (out.length > 0) out.push([point.age, out[out.length - 1][1]]);
    out.push([point.age, y]);
  }
  if (out.length > 0) out.push([until, out[out.length - 1][1]]);
  return out;
}

/** The greatest share that is drawn, with air. */
export function top(data) {
  const all = data.lines.flatMap((line) => line.points.map((p) => p.high ?? p.share)).concat((data.law ?? []).map((p) => p.share));
  return Math.max(1, ...all) * 1.08;
}

const dashes = ["solid", [8, 4]];

/** By how many pixels the law's name moves from the end of its line, so that it stands on no other. */
export function moved(data, height) {
  const law = data.law?.[data.law.length - 1].share ?? 0, pixels = (height - 34 - 48) / top(data);
  const ends = data.lines.map((line) => (law - line.points[line.points.length - 1].share) * pixels); // above 0: the law ends above
  const close = ends.filter((d) => Math.abs(d) < 18).sort((a, b) => Math.abs(a) - Math.abs(b))[0];
  return close === undefined ? 0 : close >= 0 ? close - 18 : close + 18;
}

/** The option of the chart library for a size in pixels. */
export function option(data, width, height) {
  const narrow = width < 640;
  const left = narrow ? 44 : 58, right = narrow ? 14 : 150;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  const most = top(data);
  const series = [];
  data.lines.forEach((line, n) => {
    const colour = n === 0 ? palette.ink : palette.ink2;
    series.push({
      type: "line", name: line.name, silent: true, symbol: "none", z: 4, lineStyle: { color: colour, width: n === 0 ? 2.4 : 1.8, type: dashes[n] }, data: steps(line.points, data.until, (p) => p.share),
      endLabel: { show: !narrow, ...text, color: colour, formatter: line.name.length > 20 ? line.name.slice(0, 18) + "…" : line.name, distance: 6 },
    });
  });
  // The interval of the first line, as its two edges.
  for (const side of ["low", "high"]) {
    series.push({ type: "line", name: side, silent: true, symbol: "none", z: 3, lineStyle: { color: palette.dot, width: 1.2, type: [2, 4] }, data: steps(data.lines[0].points, data.until, (p) => p[side]) });
  }
  if (data.law) {
    series.push({
      type: "line", name: "Weibull law", silent: true, symbol: "none", z: 3, lineStyle: { color: palette.note, width: 1.6, type: [12, 4, 2, 4] }, data: data.law.map((p) => [p.age, p.share]),
      endLabel: { show: !narrow, ...text, color: palette.note, formatter: "Weibull law", distance: 6, offset: [0, moved(data, height)] },
    });
  }
  return {
    animation: false, backgroundColor: palette.sheet, textStyle: text, grid: [{ left, right, top: 34, bottom: 48 }],
    xAxis: [{
      type: "value", min: 0, max: data.until, splitNumber: narrow ? 4 : 8, splitLine: { show: false }, axisLine: { onZero: false, lineStyle: { color: palette.ink2 } },
      axisLabel: { ...text, hideOverlap: true, showMaxLabel: false, formatter: (v) => tick(v, Number.isInteger(v) ? 0 : 1) }, name: "Months in service", nameLocation: "middle", nameGap: 28, nameTextStyle: text,
    }],
    yAxis: [{
      type: "value", min: 0, max: most, splitNumber: 4, name: "Came back, %", nameLocation: "end", nameGap: 10, nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, -left + 4] },
      splitLine: { show: false }, axisLine: { show: true, lineStyle: { color: palette.ink2 } }, axisLabel: { ...text, showMaxLabel: false, formatter: (v) => tick(v, most < 4 ? 1 : 0) },
    }],
    series,
  };
}
