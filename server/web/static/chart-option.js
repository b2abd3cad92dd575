// The deciding half of the control chart, free of the page: from the data of
// the server to what the chart library is told to draw, and where the arrow
// keys lead.

/** The colours of tokens.css that a drawing needs. */
export const palette = {
  ink: "#16202a", ink2: "#4a5560", line: "#c9cfd4", band: "#dfe9e4", dot: "#4a5560", signal: "#b23a00", note: "#005a9c", sheet: "#ffffff",
};

/** The points of the table, whose newest row comes first, in the order of measuring. A row is {texts, path}: its cells and the address of its item. */
export function pointsOf(rows, behind) {
  return rows.map(({ texts: [when, serial, place, value], path }) => ({ when, serial, place, value: value + behind, path })).reverse();
}

/** The point that a key leads to from the present one, or null. */
export function step(key, at, count, signals) {
  if (count === 0) return null;
  const ordered = [...signals].sort((a, b) => a - b);
  switch (key) {
    case "ArrowRight": return at === null ? count - 1 : Math.min(count - 1, at + 1);
    case "ArrowLeft": return at === null ? count - 1 : Math.max(0, at - 1);
    case "Home": return 0;
    case "End": return count - 1;
    case "PageDown": return ordered.find((i) => at === null || i > at) ?? at;
    case "PageUp": return ordered.reverse().find((i) => at === null || i < at) ?? at;
    default: return null;
  }
}

/** All points with a signal on any strip. */
export function signalled(data) {
  return [...new Set(data.panels.flatMap((panel) => Object.keys(panel.signals).map(Number)))];
}

/** What the line under the chart says of a point: its parts, as text. */
export function readout(data, index) {
  const point = data.points[index];
  const lines = data.panels.map((panel) => panel.signals[index]).filter(Boolean);
  return { serial: point.serial, path: point.path, value: point.value, about: [point.when, point.place].filter(Boolean).join(", "), signals: lines };
}

/** Tick texts: as many decimals as the axis needs, never more than the data. */
export function tick(value, decimals) {
  return value.toFixed(decimals).replace("-", "\u2212");
}

/** Edges of an axis that holds the values and the limits with some air. */
export function extent(panel) {
  const all = [...panel.values, panel.centre, panel.low ?? panel.centre, panel.high ?? panel.centre];
  const least = Math.min(...all), most = Math.max(...all);
  const air = (most - least || Math.abs(most) || 1) * 0.08;
  const floor = least >= 0 ? Math.max(0, least - air) : least - air;
  return [floor, most + air];
}

/** The option of the chart library for a width in pixels. */
export function option(data, width, height) {
  const narrow = width < 640;
  const right = narrow ? 52 : 150;
  const left = narrow ? 44 : 58;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  // Two strips over one axis, three parts to one; 28 px over each for its name,
  // 30 px under the lower one for the days.
  const free = Math.max(120, height - 28 - 40 - 30);
  const tall = data.panels.length > 1 ? [Math.round(free * 0.74), Math.round(free * 0.26)] : [free + 40];
  const top = [28, 28 + tall[0] + 40];
  const count = data.points.length;
  const grids = [], xAxes = [], yAxes = [], series = [];
  data.panels.slice(0, 2).forEach((panel, n) => {
    const [min, max] = extent(panel);
    const decimals = Math.max(data.decimals, panel.unit ? 0 : 1);
    grids.push({ left, right, top: top[n], height: tall[n] });
    xAxes.push({
      type: "value", gridIndex: n, min: -0.5, max: count - 0.5, axisLine: { onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false },
      axisTick: { show: n === data.panels.length - 1 }, interval: Math.max(1, Math.ceil(count / (narrow ? 3 : 7))),
      axisLabel: { ...text, show: n === data.panels.length - 1, hideOverlap: true, formatter: (i) => dayOf(data.points[Math.round(i)]) },
    });
    yAxes.push({
      type: "value", gridIndex: n, min, max, splitNumber: n === 0 ? 5 : 2, name: panel.title + (panel.unit ? ", " + panel.unit : ""), nameLocation: "end", nameGap: 10,
      nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, -left + 4] }, axisLine: { show: true, onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false },
      axisLabel: { ...text, showMinLabel: false, showMaxLabel: false, formatter: (v) => tick(v, decimals) },
    });
    series.push(...strip(data, panel, n, narrow, text, decimals));
  });
  return { animation: false, backgroundColor: palette.sheet, textStyle: text, grid: grids, xAxis: xAxes, yAxis: yAxes, series };
}

/** The newest few of the points that stand far enough apart for words beside them. */
export function apart(points, count, most) {
  const out = [];
  for (const point of [...points].reverse()) {
    if (out.length < most && out.every(([i]) => Math.abs(i - point[0]) > count * 0.3)) out.push(point);
  }
  return out;
}

function dayOf(point) {
  return point ? point.when.split(",")[0].replace(/ \d{4}$/, "") : "";
}

// strip draws one panel: the band inside the limits, the centre, the points,
// and the signals as open squares.
function strip(data, panel, n, narrow, text, decimals) {
  const count = data.points.length;
  const label = (name, value) => ({
    show: true, position: "end", distance: 8, ...text, formatter: `${narrow ? "" : `${name}  `}{v|${tick(value, decimals)}}`, rich: { v: { ...text, color: palette.ink, fontWeight: 600 } },
  });
  const lines = [];
  const line = (name, value, dashed) => lines.push({ yAxis: value, label: label(name, value), lineStyle: { color: palette.ink2, width: dashed ? 1.2 : 1, type: dashed ? [7, 4] : "solid" } });
  const limited = panel.high !== undefined || panel.low !== undefined;
  if (limited) line("centre", panel.centre, false);
  if (panel.high !== undefined) line("upper limit", panel.high, true);
  if (panel.low !== undefined) line("lower limit", panel.low, true);
  const points = panel.values.map((v, i) => [panel.first + i, v]);
  const plain = points.filter(([i]) => panel.signals[i] === undefined);
  const outside = points.filter(([i]) => panel.signals[i] !== undefined);
  const axes = { xAxisIndex: n, yAxisIndex: n, silent: false };
  const size = count > 400 ? 4 : count > 120 ? 5 : 7;
  const band = limited
    ? { silent: true, itemStyle: { color: palette.band }, data: [[{ yAxis: panel.low ?? extent(panel)[0] }, { yAxis: panel.high ?? extent(panel)[1] }]] }
    : undefined;
  const out = [
    {
      ...axes, name: panel.name, type: "scatter", symbolSize: size, itemStyle: { color: palette.dot }, emphasis: { scale: false }, data: plain,
      markLine: { silent: true, symbol: "none", animation: false, data: lines }, markArea: band, z: 3,
    },
    {
      ...axes, name: panel.name + " signals", type: "scatter", symbol: "rect", symbolSize: size + 6, z: 4, emphasis: { scale: false },
      itemStyle: { color: palette.sheet, borderColor: palette.signal, borderWidth: 2.2 },
      label: { show: false }, data: outside,
    },
  ];
  if (n === 0 && !narrow) {
    // The words of the newest signal stand beside its point: two would run into
    // each other. All of them stand in the list below the chart; a narrow one has
    // no room for any.
    const words = (i) => panel.signals[i].split(" is ")[1]?.replace(/ of .*$/, "") ?? "";
    out.push({
      ...axes, name: "words", type: "scatter", symbolSize: 0, silent: true, z: 6, itemStyle: { color: palette.signal },
      label: { ...text, show: true, color: palette.signal, fontWeight: 600, distance: 12, textBorderColor: palette.sheet, textBorderWidth: 5, formatter: (p) => words(p.value[0]) },
      data: apart(outside, count, 1).map(([i, v]) => ({ value: [i, v], label: { position: i > count / 2 ? "left" : "right" } })),
    });
  }
  return out;
}
