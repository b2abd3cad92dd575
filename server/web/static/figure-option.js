// The deciding half of a figure of lines over one axis, free of the page: from
// the data of the server to what the chart library is told to draw, and what is
// said of a place along it.
import { palette, tick } from "./chart-option.js";

// Lines are told apart by their dashes and by the name at their end, never by
// colour alone; the foremost is drawn through.
const dashes = [[8, 4], [2, 4], [12, 4, 2, 4], [5, 3, 1, 3, 1, 3]];

/** Height of a line of text at an end, in pixels. */
const lineHeight = 16;

/** The place that a key leads to from the present one, or null. */
export function step(key, at, count) {
  if (count === 0) return null;
  const far = Math.max(1, Math.round(count / 10));
  const go = (by) => Math.min(count - 1, Math.max(0, at + by));
  switch (key) {
    case "ArrowRight": return at === null ? 0 : go(1);
    case "ArrowLeft": return at === null ? count - 1 : go(-1);
    case "PageDown": return at === null ? 0 : go(far);
    case "PageUp": return at === null ? count - 1 : go(-far);
    case "Home": return 0;
    case "End": return count - 1;
    default: return null;
  }
}

/** The place whose value along the axis is nearest to x. */
export function nearest(at, x) {
  let best = 0;
  at.forEach((value, i) => {
    if (Math.abs(value - x) < Math.abs(at[best] - x)) best = i;
  });
  return best;
}

/** What the line under the figure says of a place: where, and each line's value there. */
export function readout(data, i) {
  const unit = data.units[data.up.code];
  return {
    where: `${tick(data.at[i], data.along.decimals)} ${data.units[data.along.code]}`,
    values: data.lines.map((line) => `${data.line} ${line.name}: ${tick(line.values[i], data.up.decimals)} ${unit}`),
  };
}

/** Edges of the upward axis: every value and level, with some air. */
export function extent(data) {
  const all = [...data.lines.flatMap((line) => line.values), ...(data.levels ?? []).map((level) => level.value)];
  const least = Math.min(...all), most = Math.max(...all);
  const air = (most - least || Math.abs(most) || 1) * 0.06;
  return [least - air, most + air];
}

/**
 * By how many pixels each name is moved from the end of its line so that no two
 * lie on each other: from the highest down, each at least a line of text below
 * the one before, and all of them up again where the lowest would fall off.
 */
export function moved(ends, height, low, high) {
  const y = ends.map((value) => (high - value) / (high - low) * height);
  const order = y.map((_, i) => i).sort((a, b) => y[a] - y[b] || a - b);
  const to = [];
  let last = -Infinity;
  for (const i of order) last = to[i] = Math.max(y[i], last + lineHeight);
  let edge = height;
  for (const i of [...order].reverse()) {
    to[i] = Math.min(to[i], edge);
    edge = to[i] - lineHeight;
  }
  return to.map((v, i) => Math.round(v - y[i]));
}

/** The option of the chart library for a size in pixels. */
export function option(data, width, height) {
  const narrow = width < 640;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  // Where lines cross before they end, the names beside their ends tell nobody which is which.
  const keyed = data.lines.length > 1 && data.lines.length <= dashes.length && !data.lines.some((line) => line.foremost);
  const left = 58, top = 28 + (keyed ? 24 * (narrow ? data.lines.length : 1) : 0), bottom = 46;
  const label = (line) => (narrow ? line.name : `${data.line} ${line.name}`);
  const right = Math.max(narrow ? 34 : 96, ...data.lines.map((line) => 10 + 8 * label(line).length)); // what stands at the end of a line
  const [low, high] = extent(data);
  const space = Math.max(60, height - top - bottom);
  const end = data.at.length - 1;
  const shift = moved(data.lines.map((line) => line.values[end]), space, low, high);
  const title = (axis) => [data.words[axis.code], data.units[axis.code]].filter(Boolean).join(", ");
  const series = data.lines.map((line, i) => ({
    name: line.name, type: "line", symbol: "none", silent: true, z: line.foremost ? 5 : 3, data: data.at.map((x, k) => [x, line.values[k]]),
    lineStyle: { color: line.foremost ? palette.signal : palette.ink, width: line.foremost ? 2.6 : 1.6, type: line.foremost ? "solid" : dashes[i % dashes.length] },
    endLabel: {
      ...text, show: true, distance: 6, offset: [0, shift[i]], color: line.foremost ? palette.signal : palette.ink, fontWeight: line.foremost ? 600 : 400,
      formatter: label(line),
    },
  }));
  if (series.length > 0 && data.levels) {
    series[0].markLine = {
      silent: true, symbol: "none", animation: false,
      data: data.levels.map((level) => ({
        yAxis: level.value, lineStyle: { color: palette.note, width: 1.4, type: [7, 4] },
        label: { ...text, position: "insideStartTop", color: palette.note, formatter: `${data.words[level.code]} ${tick(level.value, data.up.decimals)} ${data.units[data.up.code]}` },
      })),
    };
  }
  return {
    animation: false, backgroundColor: palette.sheet, textStyle: text, grid: { left, right, top, bottom },
    ...(keyed && { legend: { top: 0, left: 0, orient: narrow ? "vertical" : "horizontal", itemWidth: 44, itemStyle: { opacity: 0 }, selectedMode: false, textStyle: { ...text, color: palette.ink } } }),
    xAxis: {
      type: "value", min: data.at[0], max: data.at[end], name: title(data.along), nameLocation: "middle", nameGap: 26, nameTextStyle: text, splitNumber: narrow ? 4 : 8, minInterval: data.at.every(Number.isInteger) ? 1 : 0,
      axisLine: { onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false }, axisLabel: { ...text, showMaxLabel: data.at.length <= 12, hideOverlap: true },
    },
    yAxis: {
      type: "value", min: low, max: high, splitNumber: 5, name: title(data.up), nameLocation: "end", nameGap: 10, nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, -left + 4] },
      axisLine: { show: true, onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false },
      axisLabel: { ...text, showMinLabel: false, showMaxLabel: false, formatter: (v) => tick(v, data.up.decimals) },
    },
    series,
  };
}
