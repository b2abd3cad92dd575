// The deciding half of a plot of values beside one another, free of the page: from
// the data of the server to what the chart library is told to draw, and what is said
// of a place. Paper draws the same data.
import { palette, tick } from "./chart-option.js";

/** What the line under the plot says of a place: where, its value, what is expected. */
export function readout(data, i) {
  const point = data.points[i];
  const unit = data.unit ? "\u00a0" + data.unit : "";
  const number = (v, decimals = data.decimals) => tick(v, decimals) + unit;
  if (point.value === undefined) return { where: data.long[i], value: data.words.none, about: "" };
  const about = [];
  if (point.n) about.push(`${point.k ?? 0} ${data.words.of} ${point.n}`);
  if (point.low !== undefined && point.high !== undefined) about.push(`${tick(point.low, Math.max(data.decimals, 1))} ${data.words.to} ${tick(point.high, Math.max(data.decimals, 1))}`);
  if (point.centre !== undefined) about.push(`${data.words.expected} ${number(point.centre)}`);
  if (point.lower !== undefined) about.push(`${data.words.low} ${number(point.lower)}`);
  if (point.upper !== undefined) about.push(`${data.words.high} ${number(point.upper)}`);
  if (point.signal) about.push(data.words.signal);
  return { where: data.long[i], value: number(point.value), about: about.join(", ") };
}

/** Where a place stands on the axes, or null where it has no value. */
export function spot(data, i) {
  const value = data.points[i].value;
  if (value === undefined) return null;
  return data.shape === "bars" ? [value, i] : [i, value];
}

/** The place that is meant at x, y of the axes, or null. */
export function nearest(data, x, y) {
  const i = Math.round(data.shape === "bars" ? y : x);
  return i >= 0 && i < data.points.length ? i : null;
}

/** Edges of the axis of values: everything drawn, with some air; a share ends at 0 and 100. */
export function extent(data) {
  const all = data.points.flatMap((p) => [p.value, p.low, p.high, p.centre, p.lower, p.upper]).filter((v) => v !== undefined);
  if (all.length === 0) return [0, 1];
  let least = Math.min(...all), most = Math.max(...all);
  const positive = least >= 0;
  if (data.zero) least = Math.min(least, 0);
  const air = (most - least) * 0.06 || Math.max(Math.abs(most) * 0.06, 0.5);
  const low = data.zero && least >= 0 ? least : positive ? Math.max(0, least - air) : least - air;
  return [low, data.unit === "%" ? Math.min(100, most + air) : most + air];
}

/** The option of the chart library for a size in pixels. */
export function option(data, width, height) {
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  const base = { animation: false, backgroundColor: palette.sheet, textStyle: text };
  return data.shape === "bars" ? { ...base, ...bars(data, width, text) } : { ...base, ...dots(data, width, height, text) };
}

/** The line of an interval along each point that has one; place puts a value and its point on the axes. */
const intervals = (data, width, size, place) => ({
  silent: true, animation: false, symbol: ["rect", "rect"], symbolSize: size, label: { show: false }, lineStyle: { color: palette.ink, width, type: "solid" },
  data: data.points.flatMap((p, i) => (p.low === undefined || p.high === undefined ? [] : [[{ coord: place(p.low, i) }, { coord: place(p.high, i) }]])),
});

/** How many decimals tell the round values of an axis of this extent apart. */
export function decimalsOf(min, max, parts) {
  return Math.max(0, Math.min(6, Math.ceil(-Math.log10((max - min) / parts))));
}

function dots(data, width, height, text) {
  const [min, max] = extent(data);
  const parts = height < 200 ? 3 : 4;
  const count = data.points.length;
  const line = (key, name, type) => ({
    name, type: "line", step: "middle", symbol: "none", silent: true, z: 2, data: data.points.map((p, i) => [i, p[key] ?? null]), connectNulls: false,
    lineStyle: { color: palette.ink2, width: type === "solid" ? 1 : 1.2, type },
  });
  const size = count > 40 ? 4 : 7;
  const series = [
    line("centre", "expected", "solid"), line("lower", "lower limit", [6, 4]), line("upper", "upper limit", [6, 4]),
    {
      name: "values", type: "line", silent: true, z: 3, symbol: "circle", symbolSize: size, showAllSymbol: true, connectNulls: false, data: data.points.map((p, i) => [i, p.value ?? null]), itemStyle: { color: palette.dot }, lineStyle: { color: palette.dot, width: 1 },
      markLine: intervals(data, 1.2, [0, 0], (v, i) => [i, v]),
    },
    {
      name: "signals", type: "scatter", silent: true, z: 4, symbol: "rect", symbolSize: size + 6, itemStyle: { color: palette.sheet, borderColor: palette.signal, borderWidth: 2.2 },
      data: data.points.map((p, i) => [i, p.value]).filter(([i]) => data.points[i].signal && data.points[i].value !== undefined),
    },
  ];
  return {
    grid: { left: 52, right: 18, top: 28, bottom: 30 },
    xAxis: {
      type: "value", min: -0.5, max: count - 0.5, interval: Math.max(1, Math.ceil(count / Math.max(2, Math.floor((width - 70) / 76)))), splitLine: { show: false }, axisTick: { show: false },
      axisLine: { onZero: false, lineStyle: { color: palette.ink2 } }, axisLabel: { ...text, hideOverlap: true, formatter: (i) => data.labels[Math.round(i)] ?? "" },
    },
    yAxis: {
      type: "value", min, max, splitNumber: parts, name: data.unit, nameLocation: "end", nameGap: 8, nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, -44] },
      axisLine: { show: true, onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false },
      axisLabel: { ...text, showMinLabel: false, showMaxLabel: false, formatter: (v) => tick(v, data.unit === "%" ? decimalsOf(min, max, parts) : data.decimals) },
    },
    series,
  };
}

/** The longest beginning of a name that fits so many pixels, at some 7.2 a letter. */
export function cut(name, pixels) {
  const most = Math.max(4, Math.floor(pixels / 7.2));
  return name.length > most ? name.slice(0, most - 1) + "…" : name;
}

function bars(data, width, text) {
  const [, max] = extent(data);
  const room = Math.min(Math.round(width * 0.52), 16 + 7.2 * Math.max(...data.labels.map((l) => l.length)));
  return {
    grid: { left: Math.round(room), right: 44, top: 8, bottom: 8 },
    xAxis: { type: "value", min: 0, max, show: false },
    yAxis: {
      type: "category", inverse: true, data: data.labels, axisTick: { show: false }, axisLine: { lineStyle: { color: palette.ink2 } },
      axisLabel: { ...text, color: palette.ink, interval: 0, formatter: (name) => cut(name, room - 12) },
    },
    series: [{
      type: "bar", silent: true, barWidth: "56%", data: data.points.map((p) => p.value ?? null), itemStyle: { color: palette.line, borderColor: palette.ink2, borderWidth: 1 },
      markLine: intervals(data, 1.6, [2, 9], (v, i) => [v, i]),
    }, {
      type: "scatter", silent: true, symbolSize: 0, data: data.points.map((p, i) => ({ value: [max, i], label: { show: p.value !== undefined, formatter: p.value === undefined ? "" : tick(p.value, data.decimals) } })),
      label: { ...text, show: true, position: "right", distance: 4, color: palette.ink, fontWeight: 600 },
    }],
  };
}
