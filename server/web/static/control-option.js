// The deciding half of the control chart, free of the page: from the data of
// the server to what the chart library is told to draw, which part of it is
// shown, and where the keys lead.

/** The colours of tokens.css that a drawing needs. */
export const palette = {
  ink: "#16202a", ink2: "#4a5560", line: "#c9cfd4", band: "#dfe9e4", dot: "#6b7680", signal: "#b23a00", note: "#005a9c", sheet: "#ffffff", chosen: "#e1eef8",
};

/** The points of the table, whose newest row comes first, in the order of measuring. A row is {texts, path, name}: its cells, the address of its item, and the name by which forms take it where that is not its serial. */
export function pointsOf(rows, behind) {
  return rows.map(({ texts, path, name }) => ({ when: texts[0], serial: texts[1], place: texts[2], value: texts[3] + behind, signal: texts.at(-1), path, name })).reverse();
}

/** The point that a key leads to from the present one, or null. */
export function step(key, at, count, signals) {
  if (count === 0) return null;
  const ordered = [...new Set(signals)].sort((a, b) => a - b);
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

/** A line of a phase has one height, or one a point. */
export const height = (line, i) => (line?.length ? (line.length === 1 ? line[0] : line[i]) : undefined);

/** The part of the points that is shown, [first, behind the last], after a step in or out about the chosen point. */
export function zoomed([from, to], count, way, at) {
  const wide = to - from;
  if (way === "all") return [0, count];
  const next = Math.max(12, Math.min(count, Math.round(way === "in" ? wide / 2 : wide * 2)));
  if (next >= count) return [0, count];
  const middle = at ?? to - 1;
  // The chosen point keeps its place in the picture.
  const start = Math.round(middle - ((middle - from) / Math.max(1, wide)) * next);
  const first = Math.max(0, Math.min(count - next, start));
  return [first, first + next];
}

/** The shown part moved so that a point is in it. */
export function following([from, to], count, at) {
  if (at >= from && at < to) return [from, to];
  const wide = to - from;
  const first = Math.max(0, Math.min(count - wide, at - (at < from ? 0 : wide - 1)));
  return [first, first + wide];
}

/** As many decimals as tell some five steps of an axis apart: those of the data, or up to two more where what is shown lies closer together. */
export const stepDecimals = (min, max, decimals) => Math.min(decimals + 2, Math.max(decimals, Math.ceil(-Math.log10((max - min || 1) / 5))));

/** Tick texts, with a true minus. */
export const tick = (value, decimals) => value.toFixed(decimals).replace("-", "\u2212");

/** Edges of an axis that holds what is shown, with some air. */
export function extent(data, [from, to]) {
  const all = data.values.slice(from, to);
  for (const phase of data.phases) {
    for (let i = Math.max(from, phase.from); i < Math.min(to, phase.to); i++) {
      for (const line of [phase.low, phase.high, phase.slowLow, phase.slowHigh, phase.smoothed]) {
        const y = height(line, i - phase.from);
        if (y !== undefined) all.push(y);
      }
    }
  }
  const least = Math.min(...all), most = Math.max(...all);
  const air = (most - least || Math.abs(most) || 1) * 0.08;
  return [least >= 0 ? Math.max(0, least - air) : least - air, most + air];
}

/** Heights beside one another get a distance in which both can be read. */
export function spread(labels, least) {
  const out = labels.toSorted((a, b) => a.y - b.y).map((x) => ({ ...x }));
  for (let round = 0; round < 40; round++) {
    for (let i = 1; i < out.length; i++) {
      const near = least - (out[i].y - out[i - 1].y);
      if (near > 0.5) {
        out[i - 1].y -= near / 2;
        out[i].y += near / 2;
      }
    }
  }
  return out;
}

/** The signals that get words in the picture, the newest first, far enough apart, and no more than there is room for. */
export function spoken(data, [from, to], most) {
  const out = [];
  for (const s of data.signals.filter((x) => !x.covered && !x.within && x.point >= from && x.point < to).sort((a, b) => a.settled - b.settled || b.point - a.point)) {
    if (out.length < most && out.every((x) => Math.abs(x.point - s.point) > (to - from) * 0.05)) out.push(s);
  }
  return out;
}

/** The option of the chart library for a size in pixels; view is the shown part, base the stretch being chosen. */
export function option(data, width, tall, view = [0, data.values.length], base = null) {
  const narrow = width < 640;
  const text = { fontFamily: '"Tracewright Sans", system-ui, sans-serif', fontSize: 14, color: palette.ink2 };
  const [min, max] = extent(data, view);
  const [from, to] = view;
  const top = narrow ? 34 : 74, bottom = 34, left = narrow ? 48 : 58, right = narrow ? 48 : 226;
  // The strip of the spread within lots takes a third of what there is.
  const strip = data.within ? Math.round((tall - top - bottom) / 3) : 0;
  const grid = { left, right, top, height: Math.max(80, tall - top - bottom - strip) };
  const y = (v) => grid.top + ((max - v) / (max - min)) * grid.height;
  const span = Math.max(1, to - from);
  const x = (i) => left + ((i - from + 0.5) / span) * (width - left - right);
  const days = Math.max(1, Math.ceil(span / (narrow ? 3 : 6)));
  const drawing = {
    animation: false, backgroundColor: palette.sheet, textStyle: text, grid,
    xAxis: {
      type: "value", min: from - 0.5, max: to - 0.5, interval: days, splitLine: { show: false }, axisLine: { onZero: false, lineStyle: { color: palette.ink2 } },
      axisLabel: { ...text, hideOverlap: true, formatter: (i) => timeOf(data.points?.[Math.round(i)], sameDay(data.points, view)) },
    },
    yAxis: {
      type: "value", min, max, splitNumber: 5, name: data.unit, nameLocation: "end", nameGap: narrow ? 10 : 48, nameTextStyle: { ...text, align: "left", padding: [0, 0, 0, 4 - left] },
      axisLine: { show: true, onZero: false, lineStyle: { color: palette.ink2 } }, splitLine: { show: false },
      axisLabel: { ...text, showMinLabel: false, showMaxLabel: false, formatter: (v) => tick(v, stepDecimals(min, max, data.decimals)) },
    },
    series: [...phases(data, view), ...points(data, view), ...signals(data, view), ...chosen(base)],
    graphic: narrow ? edge(data, view, grid, width, y, text, narrow) : [...edge(data, view, grid, width, y, text), ...events(data, view, grid, x, text), ...words(data, view, grid, x, y, width, right, text)],
  };
  return strip ? below(drawing, data, view, { left, right, top: grid.top + grid.height + 44, height: Math.max(50, strip - 44) }, width, text, narrow) : drawing;
}

/** Edges of the axis of the spread within lots. */
export function stripExtent(strip, [from, to]) {
  const all = [];
  for (const phase of strip.phases) {
    for (let i = Math.max(from, phase.from); i < Math.min(to, phase.to); i++) {
      all.push(strip.values[i], ...[phase.low, phase.high].map((line) => height(line, i - phase.from)).filter((v) => v !== undefined));
    }
  }
  if (all.length === 0) return [0, 1];
  const least = Math.min(...all), most = Math.max(...all), air = (most - least || most || 1) * 0.12;
  return [Math.max(0, least - air), most + air];
}

// below adds the strip of the spread within lots, over the same points.
function below(drawing, data, view, grid, width, text, narrow) {
  const strip = data.within, [from, to] = view, [min, max] = stripExtent(strip, view);
  const on = { xAxisIndex: 1, yAxisIndex: 1 };
  const series = [];
  const dots = [];
  for (const phase of strip.phases) {
    const stepped = (line) => Array.from({ length: phase.to - phase.from }, (_, i) => [phase.from + i, height(line, i)]).filter(([i, v]) => v !== undefined && i >= from && i < to);
    const common = { ...on, type: "line", symbol: "none", silent: true, z: 2, clip: true };
    series.push({ ...common, name: "centre of the spread", lineStyle: { color: palette.ink2, width: 1 }, data: stepped(phase.centre) });
    for (const [name, line] of [["lower limit of the spread", phase.low], ["upper limit of the spread", phase.high]]) {
      if (line?.length) series.push({ ...common, name, lineStyle: { color: palette.ink2, width: 1.2, type: [7, 4] }, data: stepped(line) });
    }
    for (let i = Math.max(from, phase.from); i < Math.min(to, phase.to); i++) dots.push([i, strip.values[i]]);
  }
  series.push({ ...on, type: "scatter", name: "spread within lots", symbolSize: to - from > 120 ? 5.5 : 7, itemStyle: { color: palette.dot }, emphasis: { scale: false }, data: dots, z: 3, clip: true });
  for (const settled of [false, true]) {
    series.push({ ...on, type: "scatter", name: "signals of the spread", symbol: "rect", symbolSize: 13, z: 5, emphasis: { scale: false }, itemStyle: { color: palette.sheet, borderColor: settled ? palette.ink2 : palette.signal, borderWidth: 2.4 },
      data: data.signals.filter((s) => s.within && s.settled === settled && s.point >= from && s.point < to).map((s) => [s.point, strip.values[s.point]]) });
  }
  const y = (v) => grid.top + ((max - v) / (max - min)) * grid.height;
  const phase = strip.phases.find((p) => to <= p.to) ?? strip.phases.at(-1);
  const i = Math.min(to, phase.to) - 1 - phase.from;
  const labels = [["upper limit, spread", phase.high], ["middle of the spread", phase.centre], ["lower limit, spread", phase.low]]
    .map(([name, line]) => ({ name, value: height(line, i) })).filter((l) => l.value !== undefined).map((l) => ({ ...l, y: y(l.value) }));
  return {
    ...drawing, grid: [drawing.grid, grid],
    xAxis: [{ ...drawing.xAxis, axisLabel: { show: false } }, { ...drawing.xAxis, gridIndex: 1 }],
    yAxis: [drawing.yAxis, { ...drawing.yAxis, gridIndex: 1, min, max, splitNumber: 2, name: `${strip.title}, ${strip.unit}`, nameGap: 8, axisLabel: { ...drawing.yAxis.axisLabel, formatter: (v) => tick(v, stepDecimals(min, max, strip.decimals)) } }],
    series: [...drawing.series, ...series],
    graphic: [...drawing.graphic, ...besides(labels, strip.decimals, width, text, narrow)],
  };
}

// besides writes values at the right edge, with their names where there is room.
function besides(labels, decimals, width, text, narrow) {
  return spread(labels, 19).flatMap((l) => [
    ...(l.accepted ? [{ type: "polygon", silent: true, z: 9, style: { fill: palette.ink }, shape: { points: [[width - (narrow ? 47 : 222), l.y], [width - (narrow ? 40 : 215), l.y - 5], [width - (narrow ? 40 : 215), l.y + 5]] } }] : []),
    ...(narrow ? [] : [{ type: "text", silent: true, z: 9, style: { text: l.name, x: width - 211, y: l.y - 8, fill: palette.ink, font: `${l.accepted ? 600 : 400} 14px ${text.fontFamily}` } }]),
    { type: "text", silent: true, z: 9, style: { text: tick(l.value, decimals), x: width - 4, y: l.y - 8, fill: palette.ink, font: `600 14px ${text.fontFamily}`, textAlign: "right" } },
  ]);
}

const dayOf = (point) => (point ? point.when.split(",")[0].replace(/ \d{4}$/, "") : "");
const sameDay = (points, [from, to]) => Boolean(points?.[from]) && dayOf(points[from]) === dayOf(points[to - 1]);

/** What stands under a point: its day, or its time where all that is shown is of one day. */
export const timeOf = (point, oneDay) => (oneDay ? (point?.when.split(", ")[1] ?? "") : dayOf(point));

// phases draws limits, the band of the smoothed mean, and the smoothed mean.
function phases(data, [from, to]) {
  const out = [];
  data.phases.forEach((phase, n) => {
    if (phase.to <= from || phase.from >= to) return;
    const stepped = (line) => Array.from({ length: phase.to - phase.from }, (_, i) => [phase.from + i, height(line, i)]).filter(([, v]) => v !== undefined);
    const common = { type: "line", symbol: "none", silent: true, z: 2, clip: true };
    if (phase.slowLow?.length && phase.slowHigh?.length) {
      // The band is stacked: its foot is drawn unseen, its height on top of it.
      const low = stepped(phase.slowLow), high = stepped(phase.slowHigh);
      out.push({ ...common, name: `foot ${n}`, stack: `band ${n}`, stackStrategy: "all", lineStyle: { opacity: 0 }, data: low, z: 1 },
        { ...common, name: `band ${n}`, stack: `band ${n}`, stackStrategy: "all", lineStyle: { opacity: 0 }, areaStyle: { color: palette.band, opacity: 1 }, data: high.map(([i, v], k) => [i, v - low[k][1]]), z: 1 });
    }
    if (phase.centre?.length) out.push({ ...common, name: `centre ${n}`, lineStyle: { color: palette.ink2, width: 1 }, data: stepped(phase.centre) });
    for (const [name, line] of [["low", phase.low], ["high", phase.high]]) {
      if (line?.length) out.push({ ...common, name: `${name} ${n}`, lineStyle: { color: palette.ink2, width: 1.2, type: [7, 4] }, data: stepped(line) });
    }
    if (phase.smoothed?.length) {
      const path = stepped(phase.smoothed);
      out.push({ ...common, name: `under ${n}`, lineStyle: { color: palette.sheet, width: 5 }, data: path, z: 4 }, { ...common, name: `smoothed ${n}`, lineStyle: { color: palette.note, width: 2.6 }, data: path, z: 4 });
    }
    if (phase.base) {
      out.push({ type: "line", name: `baseline ${n}`, silent: true, symbol: "none", data: [], markArea: { silent: true, itemStyle: { color: "transparent", borderColor: palette.ink2, borderWidth: 1, borderType: "dotted" }, data: [[{ xAxis: phase.base[0] - 0.5 }, { xAxis: phase.base[1] + 0.5 }]] } });
    }
  });
  return out;
}

/** Points that lie in the stretch of an open signal without a cause. */
export function hot(data) {
  const out = new Set();
  for (const s of data.signals) {
    if (s.settled || !s.open || !s.smoothed) continue;
    for (let i = s.first; i <= s.last; i++) out.add(i);
  }
  return out;
}

function points(data, [from, to]) {
  const size = to - from > 300 ? 4.5 : to - from > 120 ? 5.5 : 7;
  const warm = hot(data);
  const some = (want) => data.values.map((v, i) => [i, v]).filter(([i]) => i >= from && i < to && warm.has(i) === want);
  const dots = (name, color, list) => ({ type: "scatter", name, symbolSize: size, itemStyle: { color }, emphasis: { scale: false }, data: list, z: 3, clip: true });
  return [dots("values", palette.dot, some(false)), dots("since the change", palette.signal, some(true))];
}

// signals are open squares: at the point, or on the smoothed mean.
function signals(data, [from, to]) {
  const at = (s) => {
    const phase = data.phases.find((p) => s.point < p.to);
    return [s.point, s.smoothed ? (height(phase?.smoothed, s.point - phase.from) ?? data.values[s.point]) : data.values[s.point]];
  };
  const squares = (name, settled, color) => ({
    type: "scatter", name, symbol: "rect", symbolSize: 13, z: 5, emphasis: { scale: false }, itemStyle: { color: palette.sheet, borderColor: color, borderWidth: 2.4 },
    data: data.signals.filter((s) => !s.within && s.settled === settled && s.point >= from && s.point < to).map(at),
  });
  return [squares("signals", false, palette.signal), squares("settled", true, palette.ink2)];
}

// chosen is the stretch that is being chosen for a baseline.
function chosen(base) {
  if (!base) return [];
  const [a, b] = base;
  return [{ type: "line", name: "chosen", silent: true, symbol: "none", data: [], z: 0, markArea: { silent: true, itemStyle: { color: palette.chosen }, data: [[{ xAxis: Math.min(a, b) - 0.5 }, { xAxis: Math.max(a, b) + 0.5 }]] } }];
}

// edge names the lines at the right, and shows with an arrow where the
// specification's limits lie: they do not run through the plot.
function edge(data, [, to], grid, width, y, text, narrow = false) {
  const phase = data.phases.find((p) => to <= p.to) ?? data.phases.at(-1);
  if (!phase) return [];
  const i = Math.min(to, phase.to) - 1 - phase.from;
  const labels = [["upper limit, one " + data.one, phase.high], ["smoothed mean, upper", phase.slowHigh], ["centre", phase.centre], ["smoothed mean, lower", phase.slowLow], ["lower limit, one " + data.one, phase.low]]
    .map(([name, line]) => ({ name, value: height(line, i) })).filter((l) => l.value !== undefined).map((l) => ({ ...l, y: y(l.value) }));
  for (const a of data.accepted) {
    const at = Math.max(grid.top, Math.min(grid.top + grid.height, y(a.value)));
    labels.push({ name: a.words, value: a.value, y: at, accepted: true, beyond: at !== y(a.value) });
  }
  return besides(labels, data.decimals, width, text, narrow);
}

// events are lines with their words above the plot, the newest first, as far as
// the words fit beside one another; those that do not keep their line.
function events(data, [from, to], grid, x, text) {
  const out = [];
  let free = Infinity;
  for (const e of data.events.filter((ev) => ev.before > from && ev.before <= to).toReversed()) {
    const at = x(e.before - 0.5), wide = e.words.length * 7.4;
    out.push({ type: "line", silent: true, z: 6, style: { stroke: palette.ink, lineWidth: 1.2 }, shape: { x1: at, y1: grid.top - 44, x2: at, y2: grid.top + grid.height } });
    if (at + 8 + wide < free) {
      out.push({ type: "text", silent: true, z: 9, style: { text: e.words, x: at + 8, y: grid.top - 66, fill: palette.ink, font: `600 14px ${text.fontFamily}` } },
        { type: "polygon", silent: true, z: 9, style: { fill: palette.ink }, shape: { points: [[at - 6, grid.top - 54], [at + 6, grid.top - 54], [at, grid.top - 44]] } });
      free = at - 8;
    }
  }
  return out;
}

// words stand over the signals with a line down, as far as they fit beside one
// another; all of them stand in the list below the picture.
function words(data, view, grid, x, y, width, right, text) {
  const taken = [];
  return spoken(data, view, 4).flatMap((s) => {
    const phase = data.phases.find((p) => s.point < p.to);
    const v = s.smoothed ? height(phase?.smoothed, s.point - phase.from) : data.values[s.point];
    const at = x(s.point), wide = s.short.length * 7.2;
    const leftward = at + wide > width - right;
    const [from, to] = leftward ? [at - 4 - wide, at] : [at, at + 4 + wide];
    if (from < 0 || taken.some(([a, b]) => from < b + 12 && to > a - 12)) return [];
    taken.push([from, to]);
    const color = s.settled ? palette.ink2 : palette.signal;
    return [
      { type: "line", silent: true, z: 7, style: { stroke: color, lineWidth: 1 }, shape: { x1: at, y1: grid.top - 6, x2: at, y2: y(v) - 7 } },
      { type: "text", silent: true, z: 9, style: { text: s.short, x: leftward ? at - 4 : at + 4, y: grid.top - 22, textAlign: leftward ? "right" : "left", fill: color, stroke: palette.sheet, lineWidth: 4, font: `${s.settled ? 400 : 600} 14px ${text.fontFamily}` } },
    ];
  });
}

/** The names that a stretch of points begins and ends with. */
export function stretch(points, a, b) {
  const [first, last] = a <= b ? [a, b] : [b, a];
  const named = (point) => point?.name ?? point?.serial ?? "";
  return { first: named(points[first]), last: named(points[last]), n: last - first + 1 };
}

/** Whether a change that the stream tells of is one of this chart: a key is family|product|place|result, and an empty part is any. */
export function concerns(key, changed) {
  const [family, , place, result] = key.split("|");
  return (changed.family ?? family) === family && (!changed.result || changed.result === result) && (!changed.place || !place || changed.place === place);
}
