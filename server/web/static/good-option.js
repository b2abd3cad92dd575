// The deciding half of the histograms against a limit, free of the page: from the
// data of the server to what the chart library is told to draw.
import { palette, tick } from "./chart-option.js";

/** The bin that a key leads to from the present one, or null: empty ones are passed over. */
export function step(key, at, data) {
  const held = [...Array(bins(data)).keys()].filter((i) => data.panels.some((panel) => panel.counts[i] > 0));
  if (held.length === 0) return null;
  const first = held[0], last = held[held.length - 1];
  switch (key) {
    case "ArrowRight": return at === null ? first : held.find((i) => i > at) ?? at;
    case "ArrowLeft": return at === null ? last : held.findLast((i) => i < at) ?? at;
    case "Home": return first;
    case "End": return last;
    default: return null;
  }
}

/** How many bins there are. */
export const bins = (data) => data.panels[0]?.counts.length ?? 0;

/** The bin that holds x along the axis, or null. */
export function binAt(data, x) {
  const i = Math.floor((x - data.first) / data.width);
  return i >= 0 && i < bins(data) ? i : null;
}

/** The edges of a bin. */
export const edges = (data, i) => [data.first + i * data.width, data.first + (i + 1) * data.width];

/** Whether a bin lies beyond a limit. */
export function beyond(data, i) {
  const [low, high] = edges(data, i);
  const air = data.width * 1e-6;
  const lowers = data.limits.filter((l) => l.name === "lower limit"), uppers = data.limits.filter((l) => l.name === "upper limit");
  // Of several limits only what lies beyond all of them is beyond for sure.
  return (lowers.length > 0 && lowers.every((l) => high <= l.value + air)) || (uppers.length > 0 && uppers.every((l) => low >= l.value - air));
}

/** What the line under the picture says of a bin: where, and each histogram's count. */
export function readout(data, i) {
  const [low, high] = edges(data, i);
  const unit = data.unit ? " " + data.unit : "";
  return {
    where: `above ${tick(low, data.digits)} up to ${tick(high, data.digits)}${unit}${beyond(data, i) ? ", beyond the limit" : ""}`,
    counts: data.panels.map((panel, n) => `${n === 0 ? "first readings" : "certified"} ${panel.counts[i]}`),
  };
}

/** Edges of the axis: all bins, and a limit that stands near them. */
export function extent(data) {
  let [low] = edges(data, 0), [, high] = edges(data, bins(data) - 1);
  const reach = (high - low) * 0.6;
  for (const { value } of data.limits) {
    if (value < low && value > low - reach) low = value - data.width / 2;
    if (value > high && value < high + reach) high = value + data.width / 2;
  }
  return [low, high];
}

/** What the axis is of, and where a limit stands that it does not reach. */
export function along(data) {
  const [low, high] = extent(data);
  const away = data.limits.filter(({ value }) => value < low || value > high).map(({ name, value, text }) => `${name} ${text} further ${value < low ? "left" : "right"}`);
  return [data.result + (data.unit ? ", " + data.unit : ""), ...away].join("; ");
}

/** The option of the chart library for a size in pixels. */
export function option(data, width, height) {
  const narrow = width < 640;
  const left = narrow ? 44 : 58, right = narrow ? 14 : 130;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  const [min, max] = extent(data);
  const count = data.panels.length;
  // 42 px over each for its name, 48 px under the lowest for its axis.
  const each = Math.max(60, Math.floor((height - 48 - count * 42) / count));
  const grids = [], xAxes = [], yAxes = [], series = [];
  data.panels.forEach((panel, n) => {
    const last = n === count - 1;
    grids.push({ left, right, top: 42 + n * (each + 42), height: each });
    xAxes.push({
      // Unless told otherwise the library makes room for half a bar at either end, and a bar is wider than its bin.
      type: "value", gridIndex: n, min, max, containShape: false, splitNumber: narrow ? 4 : 8, splitLine: { show: false }, axisLine: { onZero: false, lineStyle: { color: palette.ink2 } }, axisTick: { show: last },
      axisLabel: { ...text, show: last, hideOverlap: true, showMinLabel: false, showMaxLabel: false, formatter: (v) => tick(v, data.digits) },
      name: last ? along(data) : "", nameLocation: "middle", nameGap: 28, nameTextStyle: { ...text, width: width - 40, overflow: "truncate" },
    });
    yAxes.push({
      type: "value", gridIndex: n, min: 0, splitNumber: 3, minInterval: 1, name: n === 0 && data.density ? `${panel.title}; dashed the ${data.law} law` : panel.title, nameLocation: "end", nameGap: 14, nameTextStyle: { ...text, color: palette.ink, fontWeight: 600, align: "left", padding: [0, 0, 0, -left + 4] },
      splitLine: { show: false }, axisLine: { show: true, lineStyle: { color: palette.ink2 } }, axisLabel: text,
    });
    series.push(...bars(data, panel, n, (width - left - right) * data.width / (max - min)), limitLines(data, n, narrow, text, min, max));
    if (n === 0 && data.density) series.push(law(data, n));
  });
  return { animation: false, backgroundColor: palette.sheet, textStyle: text, grid: grids, xAxis: xAxes, yAxis: yAxes, series };
}

// bars of the two kinds are series of their own: those beyond the limit are outlined
// and empty, by shape and not by colour alone. Both are as wide as a bin.
function bars(data, panel, n, pixels) {
  const all = panel.counts.map((k, i) => [(edges(data, i)[0] + edges(data, i)[1]) / 2, k, i]).filter(([, k]) => k > 0);
  const series = (name, points, itemStyle, thick) => ({
    type: "bar", name, xAxisIndex: n, yAxisIndex: n, silent: true, z: 3, barWidth: Math.max(1, pixels - 1 - thick), barGap: "-100%", itemStyle, data: points.map(([x, k]) => [x, k]),
  });
  return [
    series(panel.title, all.filter(([, , i]) => !beyond(data, i)), { color: palette.dot }, 0),
    series(panel.title + ", beyond the limit", all.filter(([, , i]) => beyond(data, i)), { color: palette.sheet, borderColor: palette.signal, borderWidth: 2 }, 2),
  ];
}

function limitLines(data, n, narrow, text, min, max) {
  return {
    type: "line", name: "limits " + n, xAxisIndex: n, yAxisIndex: n, silent: true, z: 5, data: [],
    markLine: {
      silent: true, symbol: "none", animation: false,
      data: data.limits.filter(({ value }) => value >= min && value <= max).map(({ name, value, text: shown }) => ({
        xAxis: value, lineStyle: { color: palette.ink, width: 1.8, type: "solid" },
        label: { show: n === 0, position: "end", distance: 4, ...text, color: palette.ink, fontWeight: 600, formatter: narrow ? shown : `${name} ${shown}`, align: value > (min + max) / 2 ? "right" : "left" },
      })),
    },
  };
}

// law is how many the fitted law expects in each bin.
function law(data, n) {
  return {
    type: "line", name: data.law, xAxisIndex: n, yAxisIndex: n, silent: true, z: 4, symbol: "none", smooth: true, lineStyle: { color: palette.note, width: 2, type: [6, 4] },
    data: data.density.map((k, i) => [data.first + (i + 0.5) * data.width, k]),
  };
}
