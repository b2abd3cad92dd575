// The deciding half of the yield by week, free of the page.
import { palette } from "./chart-option.js";

/** Where a key leads from a week, or null. */
export function step(key, at, weeks) {
  const last = weeks.length - 1;
  const signals = weeks.flatMap((w, i) => (w.signal ? [i] : []));
  switch (key) {
    case "ArrowRight": return at === null ? last : Math.min(last, at + 1);
    case "ArrowLeft": return at === null ? last : Math.max(0, at - 1);
    case "Home": return 0;
    case "End": return last;
    case "PageDown": return signals.find((i) => at === null || i > at) ?? at;
    case "PageUp": return signals.reverse().find((i) => at === null || i < at) ?? at;
    default: return null;
  }
}

/** The edges of the yield's axis: all that is drawn, to the next ten. */
export function extent(data) {
  const all = data.weeks.flatMap((w) => [w.value, w.low ?? w.value, w.high ?? w.value]);
  const low = Math.max(0, Math.floor((Math.min(...all, data.usual) - 2) / 10) * 10);
  return [low, 100];
}

/** What the line under the chart says of a week, from the cells of its row. */
export function readout([week, share, interval, count, limits, signal]) {
  return { week: "Week of " + week, value: `${share} %`, about: [`${count} passed (${interval})`, limits && `${limits} go with the usual yield`].filter(Boolean).join("; ") + ".", signal };
}

/** The option of the chart library for a width and height in pixels. */
export function option(data, width, height) {
  const narrow = width < 420;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  const [min, max] = extent(data);
  const count = data.weeks.length;
  const right = narrow ? 12 : 96;
  const point = (w, i) => [i, w.value];
  // The band is drawn week by week, since each has limits for its own number.
  const bands = data.weeks.flatMap((w, i) => (w.low === undefined ? [] : [[{ xAxis: i - 0.5, yAxis: Math.max(min, w.low) }, { xAxis: i + 0.5, yAxis: Math.min(max, w.high) }]]));
  const plain = data.weeks.map(point);
  const outside = data.weeks.flatMap((w, i) => (w.signal ? [point(w, i)] : []));
  return {
    animation: false, backgroundColor: palette.sheet, textStyle: text,
    grid: { left: 44, right, top: 28, bottom: 30, height: Math.max(80, height - 58) },
    xAxis: {
      type: "value", min: -0.5, max: count - 0.5, interval: 1, splitLine: { show: false }, axisLine: { onZero: false, lineStyle: { color: palette.ink2 } }, axisTick: { show: false },
      axisLabel: { ...text, customValues: labelled(count, narrow ? 3 : 4), formatter: (i) => data.weeks[i]?.day ?? "" },
    },
    yAxis: { type: "value", min, max, name: "%", nameGap: 10, nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, -40] }, axisLine: { show: true, onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false }, axisLabel: { ...text, showMaxLabel: true } },
    series: [
      {
        name: "yield", type: "line", z: 3, symbol: "circle", symbolSize: 8, itemStyle: { color: palette.note }, lineStyle: { color: palette.note, width: 2 }, emphasis: { disabled: true }, data: plain,
        markArea: { silent: true, itemStyle: { color: palette.band }, data: bands },
        markLine: { silent: true, symbol: "none", animation: false, data: [{ yAxis: data.usual, lineStyle: { color: palette.ink2, width: 1, type: "solid" }, label: { show: !narrow, position: "end", distance: 8, ...text, formatter: "usual " + data.usual.toFixed(1) } }] },
      },
      { name: "signals", type: "scatter", z: 4, symbol: "rect", symbolSize: 13, itemStyle: { color: palette.sheet, borderColor: palette.signal, borderWidth: 2.4 }, emphasis: { disabled: true }, data: outside },
    ],
  };
}

/** The weeks that carry their day: the last one, and about so many before it, evenly. */
export function labelled(count, most) {
  const every = Math.max(1, Math.ceil(count / most));
  return Array.from({ length: count }, (_, i) => i).filter((i) => (count - 1 - i) % every === 0);
}
