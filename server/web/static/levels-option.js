// The deciding half of the picture of two levels, free of the page: values over
// time, those of one part apart from all others, with the level of each. The pages
// of what differs and of before and after share it.
import { palette, tick } from "./chart-option.js";

const day = 24 * 60 * 60 * 1000;

/** The points of the table, whose newest row comes first, in the order of measuring, with what the drawing knows of each. A row is {texts, path}. */
export function levelPoints(rows, data) {
  return rows.map(({ texts: [when, serial, part, value], path }) => ({ when, serial, part, value: value + data.behind, path })).reverse()
    .map((row, i) => ({ ...row, at: data.points[i][0], y: data.points[i][1], in: data.points[i][2] === 1 }));
}

/** The point that a key leads to; page keys go on to the next of the part that is apart. */
export function stepLevel(key, at, points) {
  const last = points.length - 1;
  if (last < 0) return null;
  const on = (from, by) => {
    for (let i = from + by; i >= 0 && i <= last; i += by) if (points[i].in !== points[from].in) return i;
    return from;
  };
  switch (key) {
    case "ArrowRight": return at === null ? last : Math.min(last, at + 1);
    case "ArrowLeft": return at === null ? last : Math.max(0, at - 1);
    case "Home": return 0;
    case "End": return last;
    case "PageDown": return at === null ? last : on(at, 1);
    case "PageUp": return at === null ? last : on(at, -1);
    default: return null;
  }
}

/** The index of the point nearest to a moment, or null where there is none. */
export function nearestPoint(points, x) {
  if (points.length === 0 || !Number.isFinite(x)) return null;
  let low = 0, high = points.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (points[middle].at < x) low = middle + 1;
    else high = middle;
  }
  return low > 0 && x - points[low - 1].at < points[low].at - x ? low - 1 : low;
}

/** Edges of the axis of values: all values, levels and bands with some air. */
export function levelExtent(data) {
  const all = [...data.points.map((p) => p[1]), ...data.lines.flatMap((l) => [l.y0, l.y1]), ...data.bands.flatMap((b) => [b.low, b.high])];
  if (all.length === 0) return [0, 1];
  const least = Math.min(...all), most = Math.max(...all);
  const air = (most - least || Math.abs(most) || 1) * 0.06;
  return [least >= 0 ? Math.max(0, least - air) : least - air, most + air];
}

const months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** A day of the axis: "14 May". */
export function dayOf(at) {
  const d = new Date(at);
  return `${d.getUTCDate()} ${months[d.getUTCMonth()]}`;
}

/** The option of the chart library for a size in pixels. */
export function levelOption(data, width, height) {
  const narrow = width < 640;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  const left = narrow ? 48 : 62, right = narrow ? 12 : 26;
  const [min, max] = levelExtent(data);
  const first = data.points[0]?.[0] ?? 0, last = data.points.at(-1)?.[0] ?? day;
  const air = Math.max(day / 2, (last - first) * 0.015);
  const size = data.points.length > 500 ? 5 : 7;
  const of = (one) => data.points.filter((p) => (p[2] === 1) === one).map(([x, y]) => [x, y]);
  const line = (l) => [{ coord: [l.x0, l.y0], lineStyle: { color: l.in ? palette.note : palette.ink2, width: 2.4, type: l.in ? "solid" : [7, 4] } }, { coord: [l.x1, l.y1] }];
  const bands = data.bands.map((b) => [{ coord: [b.x0, b.low] }, { coord: [b.x1, b.high] }]);
  const moment = data.moment ? [{ xAxis: data.moment, lineStyle: { color: palette.ink, width: 1.4, type: "solid" }, label: { ...text, show: !narrow, color: palette.ink, position: "insideEndTop", formatter: dayOf(data.moment), rotate: 0 } }] : [];
  return {
    animation: false, backgroundColor: palette.sheet, textStyle: text,
    grid: [{ left, right, top: 62, height: Math.max(120, height - 62 - 34) }],
    legend: { top: 0, left: 0, itemWidth: 12, itemHeight: 12, textStyle: { ...text, color: palette.ink }, selectedMode: false, data: data.names.filter((_, i) => of(i === 0).length > 0) },
    xAxis: [{
      type: "value", min: first - air, max: last + air, interval: Math.max(day, (last - first) / (narrow ? 2.5 : 6)), axisLine: { onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false },
      axisLabel: { ...text, hideOverlap: true, showMinLabel: false, showMaxLabel: false, formatter: dayOf },
    }],
    yAxis: [{
      type: "value", min, max, splitNumber: 5, name: data.title, nameLocation: "end", nameGap: 10, nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, -left + 4] },
      axisLine: { show: true, onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false }, axisLabel: { ...text, showMinLabel: false, showMaxLabel: false, formatter: (v) => tick(v, data.decimals) },
    }],
    series: [
      {
        name: data.names[1], type: "scatter", symbol: "circle", symbolSize: size, z: 3, emphasis: { scale: false }, itemStyle: { color: palette.sheet, borderColor: palette.dot, borderWidth: 1.2 }, data: of(false),
        markArea: bands.length ? { silent: true, itemStyle: { color: palette.note, opacity: 0.16 }, data: bands } : undefined,
      },
      {
        name: data.names[0], type: "scatter", symbol: "diamond", symbolSize: size + 3, z: 4, emphasis: { scale: false }, itemStyle: { color: palette.note }, data: of(true),
        markLine: { silent: true, symbol: "none", animation: false, z: 6, label: { show: false }, data: [...data.lines.map(line), ...moment] },
      },
    ],
  };
}
