// The rim unrolled with the turns under their spokes: measured solid, predicted
// dashed. A tree of SVG parts; numbers here are pixels and what is drawn, never
// results.
import { countOf, leftAt, centred, tir, meansOf, bandMiddle, outsideBand, deviating, atFault } from './stand-turns-list.js';
import { MINUS, doing, fixed } from './stand-turns-words.js';

const INK = 'var(--ink)';
const INK2 = 'var(--ink-2)';
const NOTE = 'var(--note)';
const FAIL = 'var(--fail)';
const LINE = 'var(--line)';

const text = (x, y, size, words, more = {}) => ['text', { x, y, 'font-size': size, fill: INK, ...more }, words];
const path = (d, more = {}) => ['path', { d, fill: 'none', stroke: INK, ...more }];
const rect = (x, y, width, height, more = {}) => ['rect', { x, y, width, height, ...more }];
const px = (v) => Number(v.toFixed(1));

/** hatches are the patterns the strips fill with. */
export const hatches = (id) => ['defs', {},
  ['pattern', { id: `${id}-b`, width: 5, height: 5, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' }, rect(0, 0, 5, 5, { fill: '#fff' }), rect(0, 0, 2.6, 5, { fill: 'var(--side-b)' })],
  ['pattern', { id: `${id}-slack`, width: 7, height: 7, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' }, rect(0, 0, 2.4, 7, { fill: '#76818b' })]];

/** turnsStrip draws what was measured, what is predicted and the turns. Without predicted it shows what was read alone. */
export function turnsStrip({ answer, list, turns, step, parts, narrow, low = false }) {
  const n = answer.holes;
  const l = narrow ? { width: 366, left: 3, right: 3, names: false } : { width: 992, left: 92, right: 0, names: true };
  Object.assign(l, { n, narrow, pitch: (l.width - l.left - l.right) / n, x: (i) => l.left + (l.width - l.left - l.right) / n * (i + 0.5), end: l.width - l.right });
  const bySpoke = new Map();
  for (const t of turns) bySpoke.set(t.spoke, [...(bySpoke.get(t.spoke) ?? []), t]);
  const m = answer.measured;
  const p = list?.predicted;
  const withTurns = turns.length > 0;
  const rows = [];
  let y = narrow ? 26 : 28;
  if (withTurns) {
    rows.push(...(narrow ? bars : tiles)(l, bySpoke, step, parts, y));
    y += narrow ? 2 * REACH + 8 : 38;
  }
  if (m) {
    const height = narrow ? 78 : low ? 62 : withTurns ? 92 : 104;
    const forTension = low ? 54 : withTurns ? 78 : 96;
    const lateral = { name: 'Lateral', measured: m.lateral, predicted: p ? onMiddle(p.lateral, m.lateral) : null, limit: answer.limits?.lateral_tir };
    const radial = { name: 'Radial', measured: centred(m.radial), predicted: p ? centred(p.radial) : null, limit: answer.limits?.radial_tir };
    if (narrow) { // one line, the one that is at fault, under its name
      const one = atFault(answer) === 'radial' ? radial : lateral;
      rows.push(text(l.left, y + 14, 15, one.name, { 'font-weight': 600 }), one.limit ? text(l.left + 58, y + 14, 14, `limit ${fixed(one.limit, 2)} mm`, { fill: INK2 }) : '', ...runOut(l, { ...one, y: y + 18, height, dots: true }));
      y += height + 24;
    } else {
      rows.push(...rule(l, y), ...runOut(l, { ...lateral, y: y + 4, height, dots: true }));
      y += height + 10;
      rows.push(...rule(l, y), ...runOut(l, { ...radial, y: y + 4, height: 30, dots: false }));
      y += 40;
      rows.push(...rule(l, y), ...tension(l, { y: y + 5, height: forTension, measured: m.tension, predicted: p?.tension, limits: answer.limits ?? {}, slack: new Set(answer.slack?.spokes ?? []) }));
      y += forTension + 8;
    }
  }
  const back = [];
  if (step) back.push(rect(px(l.x(step.spoke) - l.pitch / 2), 0, px(l.pitch), y, { fill: 'var(--note-tint)' }));
  for (const s of answer.slack?.spokes ?? []) rows.push(rect(px(l.x(s) - l.pitch / 2), 26, px(l.pitch), y - 26, { fill: 'url(#turns-slack)', opacity: 0.6 }));
  back.push(...joint(l, answer.rim, y));
  const marked = new Set([...bySpoke.keys(), ...(answer.slack?.spokes ?? [])]);
  return ['svg', { width: l.width, height: y, viewBox: `0 0 ${l.width} ${y}`, role: 'img', 'aria-label': spoken(answer, list, turns, parts), class: 'strip' },
    hatches('turns'), ...back, ...numbers(l, marked, step?.spoke ?? null), ...rows];
}

/** onMiddle lays a prediction over what was read: moving the whole rim for the dish is no run-out. */
function onMiddle(predicted, measured) {
  const middle = (v) => (Math.max(...v) + Math.min(...v)) / 2;
  const by = middle(measured) - middle(predicted);
  return predicted.map((v) => v + by);
}

const rule = (l, y) => (l.names ? [path(`M0 ${y}H${l.end}`, { stroke: LINE })] : []);

/** joint shades the window of the rim's joint. */
function joint(l, rim, bottom) {
  if (!rim?.joint) return [];
  const { from, to } = rim.joint;
  const spans = from <= to ? [[from, to]] : [[from, l.n - 1], [0, to]];
  const out = spans.map(([a, b]) => rect(px(l.x(a) - l.pitch / 2), 24, px(l.x(b) - l.x(a) + l.pitch), bottom - 24, { fill: 'var(--care-tint)', stroke: 'var(--care)', 'stroke-width': 1.5, 'stroke-dasharray': '4 3' }));
  return out;
}

function numbers(l, marked, now) {
  const out = l.names ? [text(0, 17, 15, 'Spoke', { fill: INK2 })] : [];
  const w = Math.max(l.narrow ? 28 : 27, l.pitch);
  const plate = now === null ? 0 : Math.min(l.end - w, Math.max(l.left, l.x(now) - w / 2)); // of the spoke in hand
  if (now !== null) out.push(rect(px(plate), 0, px(w), 24, { rx: 4, fill: NOTE }));
  const every = l.narrow ? Math.ceil(l.n / 6) : l.pitch < 21 ? 2 : 1;
  const spokes = Array.from({ length: l.n }, (_, i) => i);
  const crowded = (i) => every > 1 && !l.narrow && (marked.has(i - 1) || marked.has(i + 1)); // what is to be turned comes first
  const regular = spokes.filter((i) => (i === 0 || i === l.n - 1 || (i + 1) % every === 0) && (marked.has(i) || !crowded(i)));
  const places = l.narrow ? regular : [...regular, ...marked];
  let last = -99;
  for (const i of [...new Set(now === null ? places : [...places, now])].sort((a, b) => a - b)) {
    const mine = i === now;
    const x = mine ? plate + w / 2 : l.narrow ? Math.min(l.width - 10, Math.max(7, l.x(i))) : l.x(i);
    if (!mine && (x - last < (l.narrow ? 24 : 17) || (now !== null && Math.abs(l.x(i) - l.x(now)) < (l.narrow ? 30 : 22)))) continue;
    last = x;
    out.push(text(px(x), 17, 15, String(i + 1), { 'text-anchor': 'middle', 'font-weight': mine || marked.has(i) ? 600 : 400, fill: mine ? '#fff' : marked.has(i) ? INK : INK2 }));
  }
  return out;
}

const tick = (x, y, s) => path(`M${px(x - s)} ${px(y)}l${px(s * 0.7)} ${px(s * 0.75)}l${px(s * 1.3)} ${px(-s * 1.5)}`, { stroke: 'var(--pass)', 'stroke-width': 2.8 });

const sign = (x, y, plus, s, stroke) => path(`M${px(x - s)} ${px(y)}h${px(2 * s)}${plus ? `M${px(x)} ${px(y - s)}v${px(2 * s)}` : ''}`, { stroke, 'stroke-width': 2.4 });

/** nipples are the spokes with turns, and what is left of each in all its parts; the step in hand comes last: nothing lies over it. */
function nipples(bySpoke, step, parts) {
  return [...bySpoke].map(([spoke, all]) => {
    const left = leftAt(all);
    const turns = left || all.reduce((sum, t) => sum + t.turns, 0);
    return { spoke, mine: spoke === step?.spoke, done: all.every((t) => t.turned), plus: turns > 0, count: countOf(turns, parts) };
  }).sort((a, b) => a.mine - b.mine);
}

/** tiles stand under their spokes, each no wider than its place: filled with + tightens, hollow with − loosens, a tick is turned. */
function tiles(l, bySpoke, step, parts, y) {
  const h = 32;
  const middle = y + h / 2;
  const out = [text(0, y + 13, 15, 'Turn', { 'font-weight': 600 }), text(0, y + 30, 14, { 16: 'sixteenths', 8: 'eighths', 4: 'quarters' }[parts] ?? `1/${parts} turn`, { fill: INK2 })];
  out.push(path(`M${l.left} ${middle}H${l.end}`, { stroke: LINE, 'stroke-width': 1.5, 'stroke-dasharray': `5 ${px(Math.max(2, l.pitch - 5))}`, 'stroke-dashoffset': px(2.5 - l.pitch / 2) }));
  const w = Math.min(26, l.pitch - 3.6);
  const all = nipples(bySpoke, step, parts);
  const stacked = w < 20 || all.some((t) => t.count > 9); // the sign above the number
  for (const { spoke, mine, done, plus, count } of all) {
    const x = l.x(spoke);
    out.push(rect(px(x - w / 2), y, px(w), h, { rx: w < 20 ? 4 : 6, fill: done ? '#eef1f3' : mine ? NOTE : plus ? INK : '#fff', stroke: mine ? NOTE : done ? '#76818b' : INK, 'stroke-width': done && !mine ? 1.2 : 1.6 }));
    const pen = mine || plus ? '#fff' : INK;
    if (done) out.push(tick(x, middle, Math.min(7, w / 2 - 3)));
    else if (stacked) out.push(sign(x, y + 8, plus, 3.6, pen), text(px(x), y + 27, count > 9 ? 14 : 16, String(count), { 'text-anchor': 'middle', 'font-weight': 600, fill: pen, ...(count > 9 && w < 18 ? { 'letter-spacing': '-0.5' } : {}) }));
    else out.push(text(px(x), middle + 6, 16, `${plus ? '+' : MINUS}${count}`, { 'text-anchor': 'middle', 'font-weight': 600, fill: pen }));
  }
  return out;
}

const REACH = 20; // px of the longest bar

/**
 * bars stand for the tiles where there is no room for a number: up and filled
 * tightens, down and hollow loosens, as long as there is left to turn; a short
 * tick on the line is turned.
 */
function bars(l, bySpoke, step, parts, y) {
  const line = y + REACH + 2;
  const all = nipples(bySpoke, step, parts);
  const most = Math.max(2, ...all.filter((t) => !t.done).map((t) => t.count));
  const w = Math.min(9, l.pitch - 2);
  const out = [path(`M${l.left} ${line}H${l.end}`, { stroke: INK2, 'stroke-width': 1.4 })];
  for (const { spoke, mine, done, plus, count } of all) {
    const x = l.x(spoke);
    if (done) {
      out.push(rect(px(x - w / 2), line - 3, px(w), 6, { rx: 2, fill: '#fff', stroke: mine ? NOTE : 'var(--pass)', 'stroke-width': 2 }));
      continue;
    }
    const long = px(6 + (REACH - 6) * count / most);
    out.push(rect(px(x - w / 2 + (plus ? 0 : 1)), plus ? px(line - long) : line, px(plus ? w : w - 2), long, { rx: 1, fill: mine ? NOTE : plus ? INK : '#fff', stroke: mine ? NOTE : INK, 'stroke-width': plus ? 0 : 2 }));
  }
  return out;
}

const cross = (x, y) => ['g', {}, path(`M${px(x - 5)} ${px(y - 5)}l10 10m0 -10l-10 10`, { stroke: '#fff', 'stroke-width': 5 }), path(`M${px(x - 4)} ${px(y - 4)}l8 8m0 -8l-8 8`, { stroke: FAIL, 'stroke-width': 2.6 })];
const lineOf = (l, values, yOf) => values.map((v, i) => `${i ? 'L' : 'M'}${px(l.x(i))} ${px(yOf(v))}`).join('');

/** runOut is one band of run-out. The band is as wide as the limit and lies where it covers most of what was read. */
function runOut(l, { name, y, height, measured, predicted, limit, dots }) {
  const all = [...measured, ...(predicted ?? [])];
  const centre = limit ? bandMiddle(measured, limit) : (Math.max(...measured) + Math.min(...measured)) / 2;
  const lowest = Math.min(...all, centre - (limit || 0) / 2);
  const highest = Math.max(...all, centre + (limit || 0) / 2);
  const scale = (height - 8) / Math.max(highest - lowest, 0.02);
  const yOf = (v) => y + 4 + (highest - v) * scale;
  const out = [];
  if (limit) {
    const top = px(yOf(centre + limit / 2));
    const bottom = px(yOf(centre - limit / 2));
    out.push(rect(l.left, top, l.end - l.left, px(bottom - top), { fill: 'var(--band)', opacity: 0.85 }), path(`M${l.left} ${top}H${l.end}M${l.left} ${bottom}H${l.end}`, { stroke: INK2, 'stroke-width': 1.4 }));
  }
  if (l.names) {
    out.push(text(0, y + (height > 40 ? 20 : 13), 15, name, { 'font-weight': 600 }));
    if (limit) out.push(text(0, y + (height > 40 ? 37 : 29), 14, `limit ${fixed(limit, 2)}${height > 40 ? ' mm' : ''}`, { fill: INK2 }));
  }
  if (predicted) out.push(path(lineOf(l, predicted, yOf), { stroke: NOTE, 'stroke-width': 2.6, 'stroke-dasharray': '7 4' }));
  out.push(path(lineOf(l, measured, yOf), { 'stroke-width': dots ? 2.2 : 1.8, 'stroke-linejoin': 'round' }));
  const over = outsideBand(measured, limit);
  const r = l.narrow ? 2.4 : dots ? 3.8 : 2.2;
  measured.forEach((v, i) => out.push(over.has(i) ? cross(l.x(i), yOf(v)) : ['circle', { cx: px(l.x(i)), cy: px(yOf(v)), r, fill: INK }]));
  return out;
}

/** tension draws side A up and solid, side B down and hatched, from the least tension allowed; a mark is what is predicted. */
function tension(l, { y, height, measured, predicted, limits, slack }) {
  const line = limits.tension_min || 0;
  const means = meansOf(measured);
  const share = (limits.side_deviation_pct || 0) / 100;
  const of = (side) => [...measured, ...(predicted ?? [])].filter((_, i) => (i % l.n) % 2 === (side === 'a' ? 0 : 1));
  const up = Math.max(line + 60, ...of('a'), means.a * (1 + share)) - line;
  const down = Math.max(line + 60, ...of('b'), means.b * (1 + share)) - line;
  const scale = height / (up + down);
  const zero = y + up * scale;
  const out = [];
  for (const side of share ? ['a', 'b'] : []) {
    const from = Math.max(0, means[side] * (1 - share) - line) * scale;
    const to = Math.max(0, means[side] * (1 + share) - line) * scale;
    if (to > from) out.push(rect(l.left, px(side === 'a' ? zero - to : zero + from), l.end - l.left, px(to - from), { fill: 'var(--band)', opacity: 0.85 }));
  }
  const width = Math.min(13, l.pitch * 0.55);
  const off = slack.size ? slack : deviating(measured, limits.side_deviation_pct);
  measured.forEach((t, i) => {
    const x = l.x(i);
    const down = i % 2 === 1;
    const tight = t >= line; // a spoke under the least tension has no bar: a hollow stub
    const h = tight ? px(Math.max(1.5, (t - line) * scale)) : 5;
    const top = px(down ? zero : zero - h);
    const look = !tight ? { fill: '#fff', stroke: FAIL, 'stroke-width': 1.6 } : down ? { fill: 'url(#turns-b)', stroke: 'var(--side-b)', 'stroke-width': 1.2 } : { fill: 'var(--side-a)' };
    out.push(rect(px(x - width / 2), top, px(width), h, look));
    if (predicted) {
      const at = px(down ? zero + (predicted[i] - line) * scale : zero - (predicted[i] - line) * scale);
      out.push(path(`M${px(x - width / 2 - 3.5)} ${at}h${px(width + 7)}`, { stroke: '#fff', 'stroke-width': 5 }), path(`M${px(x - width / 2 - 3)} ${at}h${px(width + 6)}`, { 'stroke-width': 2.4 }));
    }
    if (off.has(i)) out.push(cross(x, down ? zero + 12 : zero - 12));
  });
  out.push(path(`M${l.left} ${px(zero)}H${l.end}`, { 'stroke-width': 1.5 }));
  if (l.names) {
    out.push(text(0, y + 12, 15, 'Tension A', { 'font-weight': 600 }), text(0, y + height - 1, 15, 'Tension B', { 'font-weight': 600 }));
    if (line && zero - y > 30 && y + height - zero > 18) out.push(text(0, px(zero + 4), 14, `line ${fixed(line, 0)} N`, { fill: INK2 }));
  }
  return out;
}

/** spoken is the strip in one sentence. */
function spoken(answer, list, turns, parts) {
  const out = ['Rim unrolled.'];
  if (answer.measured) out.push(`Lateral ${fixed(tir(answer.measured.lateral), 2)} mm, radial ${fixed(tir(answer.measured.radial), 2)} mm measured.`);
  if (list) out.push(`Predicted after the turns: lateral ${fixed(list.after.lateral_tir, 2)} mm, radial ${fixed(list.after.radial_tir, 2)} mm.`);
  if (answer.slack?.spokes.length) out.push(`Slack: ${answer.slack.spokes.map((s) => s + 1).join(', ')}.`);
  if (turns.length) out.push(`Turns: ${turns.map((t) => `${t.spoke + 1} ${doing(t).toLowerCase()} ${countOf(t.turns, parts)}/${parts}${t.turned ? ', turned' : ''}`).join('; ')}.`);
  return out.join(' ');
}

/** changeChart holds the change that was read against one explanation: lateral, and below it tension, of each spoke. */
export function changeChart({ id, observed, predicted, scaleOf, narrow }) {
  const n = observed.lateral.length;
  const l = narrow ? { width: 366, left: 44, rows: [['lateral', 8, 88]] } : { width: 619, left: 86, rows: [['lateral', 8, 90], ['tension', 132, 80]] };
  const pitch = (l.width - l.left - 2) / n;
  const x = (i) => l.left + pitch * (i + 0.5);
  const out = [hatches(id)];
  let bottom = 0;
  for (const [what, y, height] of l.rows) {
    const reach = scaleOf[what];
    const zero = y + height / 2;
    const yOf = (v) => px(zero - Math.max(-reach, Math.min(reach, v)) / reach * height / 2);
    bottom = y + height;
    const word = what === 'lateral' ? fixed(reach, reach < 1 ? 1 : 0) : fixed(reach, 0);
    out.push(path(`M${l.left} ${y}H${l.width}M${l.left} ${bottom}H${l.width}`, { stroke: LINE }), path(`M${l.left} ${zero}H${l.width}`, { stroke: INK2, 'stroke-width': 1.5 }),
      text(l.left - 5, y + 5, 15, `+${word}`, { 'text-anchor': 'end', fill: INK2 }), text(l.left - 5, bottom + 5, 15, `\u2212${word}`, { 'text-anchor': 'end', fill: INK2 }));
    if (!narrow) out.push(text(0, zero - 8, 15, what === 'lateral' ? 'Lateral' : 'Tension', { 'font-weight': 600 }), text(0, zero + 10, 14, what === 'lateral' ? 'change, mm' : 'change, N', { fill: INK2 }));
    if (what === 'lateral') {
      if (predicted?.lateral) out.push(path(lineOf({ x }, predicted.lateral, yOf), { stroke: NOTE, 'stroke-width': 2.6, 'stroke-dasharray': '7 4' }));
      out.push(path(lineOf({ x }, observed.lateral, yOf), { 'stroke-width': 2, 'stroke-linejoin': 'round' }));
      observed.lateral.forEach((v, i) => out.push(['circle', { cx: px(x(i)), cy: yOf(v), r: narrow ? 2.4 : 3.4, fill: INK }]));
    } else {
      const width = Math.min(9, pitch * 0.55);
      observed.tension.forEach((v, i) => {
        const at = yOf(v);
        out.push(rect(px(x(i) - width / 2), px(Math.min(at, zero)), px(width), px(Math.max(1, Math.abs(at - zero))), i % 2 ? { fill: `url(#${id}-b)`, stroke: 'var(--side-b)', 'stroke-width': 1 } : { fill: 'var(--side-a)' }));
        if (predicted?.tension) out.push(path(`M${px(x(i) - width / 2 - 2.5)} ${yOf(predicted.tension[i])}h${px(width + 5)}`, { 'stroke-width': 2.4 }));
      });
    }
  }
  const every = Math.max(1, Math.round(n / 12));
  for (let i = 0; i < n; i++) if (i === 0 || (i + 1) % every === 0) out.push(text(px(x(i)), bottom + 17, 15, String(i + 1), { 'text-anchor': 'middle', fill: INK2 }));
  return ['svg', { width: l.width, height: bottom + 22, viewBox: `0 0 ${l.width} ${bottom + 22}`, role: 'img', 'aria-label': `Change of lateral run-out${narrow ? '' : ' and of tension'} at each spoke, measured and predicted`, class: 'strip' }, ...out];
}

/** reachOf is how far a chart of changes reaches, so that both explanations share one scale. */
export function reachOf(changes) {
  const most = (what) => Math.max(...changes.flatMap((c) => (c?.[what] ?? []).map(Math.abs)), 0);
  const up = (v, steps) => steps.find((s) => s >= v) ?? Math.ceil(v);
  return { lateral: up(most('lateral'), [0.1, 0.2, 0.3, 0.5, 1, 2, 5]), tension: up(most('tension'), [50, 100, 200, 300, 500, 1000]) };
}
