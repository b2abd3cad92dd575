// The rim unrolled, as a tree of SVG parts: spoke numbers along the page, one
// band each for lateral and radial run-out, tension of side A up and solid, of
// side B down and hatched, on the line of the least tension allowed. Drawn for
// the width it has; numbers here are pixels, never results.
import { reasonWords } from './stand-mask.js';
import * as decimal from './floor-decimal.js';
import { signed, shown, atDecimals } from './floor-format.js';
import { limitOf, characteristicOf } from './floor-plan.js';
import { outside } from './stand-figures.js';
import { EXTREMES, EVERY_HOLE, SAMPLE, TENSION_A, TENSION_B, LATERAL, RADIAL, methodOf, slots } from './stand-shape.js';
import { keyOf } from './floor-job.js';
import { boxOf, firstFree, meets, wide } from './stand-room.js';

const INK = 'var(--ink)';
const INK2 = 'var(--ink-2)';
const EDGE = 'var(--edge)';
const NOTE = 'var(--note)';
const FAIL = 'var(--fail)';

const text = (x, y, size, words, more = {}) => ['text', { x, y, 'font-size': size, fill: INK, ...more }, words];
const path = (d, more = {}) => ['path', { d, fill: 'none', stroke: INK, ...more }];
const rect = (x, y, width, height, more = {}) => ['rect', { x, y, width, height, ...more }];

const FOOT = 18; // a line of words below the strip

/** layout says where everything stands, for a wide page or a phone. */
function layout(plan, job, f, narrow) {
  const every = methodOf(plan, job, LATERAL) === EVERY_HOLE || methodOf(plan, job, RADIAL) === EVERY_HOLE;
  const n = f.holes;
  const l = narrow
    ? { width: 366, left: 3, size: 14, small: 14, top: 22, names: false }
    : { width: 992, left: 92, size: 15, small: 14, top: 28, names: true };
  const rows = narrow ? { runOut: every ? 60 : 32, thin: every ? 60 : 22, tension: every ? 60 : 40, gap: 6 } : every ? { runOut: 60, thin: 28, tension: 80, gap: 10 } : { runOut: 38, thin: 34, tension: 56, gap: 7 };
  if (!narrow) rows.tension -= FOOT * maskedWords(f).length; // the picture keeps its height
  return { ...l, ...rows, every, n, narrow, pitch: (l.width - l.left) / n, x: (i) => l.left + (l.width - l.left) / n * (i + 0.5) };
}

/** strip draws the rim for the job as it stands. now is the entry in hand, walk the spoke the arrow keys stand on. */
export function strip(plan, job, f, { now = null, walk = null, narrow = false, typed = '' } = {}) {
  const l = layout(plan, job, f, narrow);
  const spoke = walk ?? (now?.method === EVERY_HOLE || now?.method === SAMPLE ? now.position : null);
  const parts = [['defs', {}, ['pattern', { id: 'hatch', width: 5, height: 5, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
    rect(0, 0, 5, 5, { fill: '#fff' }), rect(0, 0, 2.6, 5, { fill: 'var(--side-b)' })],
  ['pattern', { id: 'masked', width: 6, height: 6, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(-45)' }, rect(0, 0, 6, 6, { fill: '#fff' }), rect(0, 0, 2, 6, { fill: EDGE })]]];
  const marked = spokesNamed(plan, job, f);
  const body = [];
  let y = l.top;
  // A phone at every hole shows the set in hand only.
  const inHand = [LATERAL, RADIAL].includes(now?.characteristic) ? [now.characteristic] : [TENSION_A, TENSION_B].includes(now?.characteristic) ? [TENSION_A] : [LATERAL, RADIAL, TENSION_A];
  const shows = (code) => inHand.includes(code);
  const large = inHand.length === 1 && inHand[0] === RADIAL ? RADIAL : LATERAL;
  for (const [code, figures, name] of [[LATERAL, f.lateral, 'Lateral'], [RADIAL, f.radial, 'Radial']]) {
    if (!figures.wanted || l.narrow && l.every && !shows(code)) continue;
    const mine = now?.characteristic === code;
    const height = l.every && !narrow ? (code === large ? l.runOut : l.thin) : code === LATERAL ? l.runOut : l.thin;
    if (mine && !l.every) body.push(rect(0, y - 5, l.width, height + 10, { fill: 'var(--note-tint)' }), ...(narrow ? [] : [rect(-16, y - 5, 6, height + 10, { fill: NOTE })]));
    body.push(...runOutRow(plan, job, l, { code, figures, name, y, height, now: mine ? now : null, typed }));
    y += height + l.gap + (narrow ? 2 : 4);
  }
  const withTension = f.tension.wanted && !(l.narrow && l.every && !shows(TENSION_A));
  const rowEnd = withTension ? y + l.tension : y;
  if (withTension) body.push(...tensionRow(plan, job, l, f, y, now));
  if (spoke !== null && spoke !== undefined) {
    parts.push(rect(l.x(spoke) - l.pitch / 2, 0, l.pitch, rowEnd, { fill: 'var(--note-tint)' }));
  }
  parts.push(...numbers(l, marked, spoke));
  parts.push(...body);
  const foot = maskedWords(f).map((line, i) => text(l.narrow ? l.left : 0, rowEnd + FOOT * (i + 1), 14, line, { fill: INK2 }));
  parts.push(...foot);
  const height = rowEnd + 4 + FOOT * foot.length;
  return ['svg', { width: l.width, height, viewBox: `0 0 ${l.width} ${height}`, role: 'img', 'aria-label': spoken(f), class: 'strip' }, ...parts];
}

/** maskedWords says in words what is not judged, a line for each set: "Lateral, not judged: 19 weld, 20 weld". */
function maskedWords(f) {
  return [['Lateral', f.lateral], ['Radial', f.radial]].filter(([, r]) => r.masked?.length)
    .map(([name, r]) => `${name}, not judged: ${r.masked.map((m) => `${m.index + 1} ${reasonWords(m)}`).join(', ')}`);
}

/** spokesNamed are the spokes that carry something, printed bold. */
function spokesNamed(plan, job, f) {
  const out = new Set();
  for (const r of [f.lateral, f.radial]) if (r.method === EXTREMES) r.stations.forEach((s) => out.add(s.index));
  for (const s of [f.tension.a, f.tension.b]) {
    const c = s.method === SAMPLE && characteristicOf(plan, s.code);
    if (c) slots(plan, c, SAMPLE).forEach((p) => out.add(p.position));
  }
  return out;
}

function numbers(l, marked, spoke) {
  const out = l.names ? [text(0, 17, 14, 'Spoke', { fill: INK2 })] : [];
  if (spoke !== null && spoke !== undefined) {
    const w = Math.max(l.narrow ? 30 : 27, l.pitch);
    out.push(rect(Math.min(l.width - w, Math.max(l.left, l.x(spoke) - w / 2)), 0, w, 23, { rx: 4, fill: NOTE }));
  }
  const every = l.narrow ? Math.ceil(l.n / 8) : l.pitch < 21 ? 2 : 1;
  let lastX = -99;
  for (let i = 0; i < l.n; i++) {
    const mine = i === spoke;
    const wanted = l.narrow && marked.size && !l.every ? marked.has(i) || i === 0 : i % every === 0 || i === l.n - 1;
    if (!mine && !wanted) continue;
    const x = l.narrow ? Math.min(l.width - 10, Math.max(8, l.x(i))) : l.x(i);
    if (!mine && l.narrow && (x - lastX < 26 || (spoke !== null && spoke !== undefined && Math.abs(l.x(i) - l.x(spoke)) < 32))) continue;
    lastX = x;
    out.push(text(x, 17, l.size, String(i + 1), {
      'text-anchor': 'middle', 'font-weight': mine || marked.has(i) ? 600 : 400, fill: mine ? '#fff' : marked.has(i) ? INK : INK2,
    }));
  }
  return out;
}

function runOutRow(plan, job, l, row) {
  const { code, figures, name, y, height } = row;
  const limit = limitOf(plan, code === LATERAL ? 'lateral_tir' : 'radial_tir');
  const high = decimal.plain(limit?.high);
  const scale = scaleOf(figures, high, height, l.every);
  const middle = y + height / 2;
  const bandHalf = high ? (decimal.number(high) * scale) / 2 : height / 2;
  const out = [rect(l.left, middle - bandHalf, l.width - l.left, 2 * bandHalf, { fill: row.now && !l.every ? '#fff' : 'var(--band)', opacity: 0.85 }),
    path(`M${l.left} ${middle - bandHalf}H${l.width}M${l.left} ${middle + bandHalf}H${l.width}`, { stroke: INK2, 'stroke-width': 1.5 })];
  if (l.names) {
    out.push(text(0, middle - 2, 15, name, { 'font-weight': 600 }));
    if (high) out.push(text(0, middle + 15, 14, `limit ${atDecimals(high, 2)}`, { fill: INK2 }));
  }
  const centre = figures.high ? (decimal.number(figures.high.value) + decimal.number(figures.low.value)) / 2 : figures.stations[0] ? decimal.number(figures.stations[0].value) : 0;
  const yOf = (value) => middle - (decimal.number(value) - centre) * scale;
  out.push(...(figures.method === EXTREMES ? extremes(l, row, figures, yOf, high) : stations(plan, job, l, row, figures, yOf, middle)));
  return out;
}

/** scaleOf keeps band and readings inside the row. */
function scaleOf(figures, high, height, every) {
  const room = every && height > 50 ? height * 0.86 : height;
  const tir = figures.tir ? decimal.number(figures.tir.value) : 0;
  const limit = high ? decimal.number(high) : 0;
  if (!tir && !limit) return 1;
  return tir > limit ? (height * 0.9) / tir : room / limit;
}

function extremes(l, row, figures, yOf, high) {
  const out = [];
  const size = l.size;
  const middle = row.y + row.height / 2;
  const points = figures.stations.map((s) => ({ s, x: l.x(s.index), y: figures.high ? yOf(s.value) : middle }));
  const labels = labelsOf(l, row, points);
  const taken = [...points.map((p) => ({ from: p.x - 6, to: p.x + 6, top: p.y - 6, foot: p.y + 6 })), ...labels.map((w) => w.box)];
  if (figures.high && figures.low) {
    const a = yOf(figures.high.value);
    const b = yOf(figures.low.value);
    out.push(path(`M${l.left} ${a}H${l.width}M${l.left} ${b}H${l.width}`, { 'stroke-width': 1.4, 'stroke-dasharray': '2 4' }));
    if (!l.narrow) {
      const tir = shown(figures.tir.value);
      const at = (x) => ({ x, boxes: [{ from: x - 10 - wide(tir, size), to: x + 6, top: row.y, foot: row.y + row.height }] });
      const place = firstFree([l.width - 30, ...shares(l, 0.1, 0.5, 0.75, 0.25)].map(at), taken);
      const { x } = place;
      taken.push(...place.boxes);
      out.push(path(`M${x - 5} ${a}h10M${x} ${a}V${b}M${x - 5} ${b}h10`, { 'stroke-width': 1.8 }),
        text(x - 10, (a + b) / 2 + 5, size, tir, { 'text-anchor': 'end', 'font-weight': 600, 'paint-order': 'stroke', stroke: 'var(--band)', 'stroke-width': 3, ...(figures.state === 'fault' ? { fill: FAIL } : {}) }));
    }
  }
  for (const p of points) out.push(figures.state === 'fault' && outside(figures, p.s) ? cross(p.x, p.y) : dot(p.x, p.y, l.narrow ? 4.5 : 5.5));
  for (const w of labels) out.push(text(w.x, w.y, size, w.words, { 'text-anchor': w.anchor, 'font-weight': 600, 'paint-order': 'stroke', stroke: 'var(--band)', 'stroke-width': 3 }));
  if (!figures.stations.length && !row.now) {
    out.push(text((l.left + l.width) / 2, middle + 5, size, l.narrow ? `${row.name.toLowerCase()} open` : 'open', { 'text-anchor': 'middle', fill: INK2 }));
  }
  if (row.now) {
    const said = row.typed ? `${row.now.slot}: ${row.typed}` : `${row.now.slot} now`;
    const words = l.narrow ? `${row.name.toLowerCase()} ${said}` : said;
    const at = (x) => ({ x, boxes: [boxOf(x - wide(words, size) / 2, middle + 5, words, size)] });
    const { x } = firstFree(shares(l, ...(figures.stations.length ? [0.72, 0.5, 0.28] : [0.5])).map(at), taken);
    out.push(text(x, middle + 5, size, words,
      { 'text-anchor': 'middle', 'font-weight': 600, fill: NOTE, 'paint-order': 'stroke', stroke: '#fff', 'stroke-width': 3 }));
  }
  return out;
}

const shares = (l, ...all) => all.map((share) => l.left + (l.width - l.left) * share);

/** labelsOf writes each extreme beside its point, where it covers neither the other nor its point: right or left of it, at the row's edge, or farther on. */
function labelsOf(l, row, points) {
  const places = points.map(({ s, x, y }) => {
    const words = l.narrow ? `${signed(s.typed)} at ${s.index + 1}` : `${s.slot} ${signed(s.typed)}`;
    const long = wide(words, l.size);
    const high = s.slot === 'highest';
    const [first, last] = [row.y + 13, row.y + row.height - 2];
    const usual = Math.min(last, Math.max(first, y + (high ? 15 : -5)));
    const point = { from: x - 6, to: x + 6, top: y - 6, foot: y + 6 };
    const right = x < l.width * 0.62;
    const at = (onRight, foot, gap) => ({ words, x: onRight ? x + gap : x - gap, y: foot, anchor: onRight ? 'start' : 'end', box: boxOf(onRight ? x + gap : x - gap - long, foot, words, l.size), point });
    const all = [11, 19 + long, 27 + 2 * long].flatMap((gap) => [usual, high ? first : last].flatMap((foot) => [at(right, foot, gap), at(!right, foot, gap)]));
    return all.filter((w, i) => i === 0 || (w.box.from >= l.left && w.box.to <= l.width));
  });
  if (places.length < 2) return places.map(([usual]) => usual);
  const far = ([a, b]) => places[0].indexOf(a) + places[1].indexOf(b); // how far both are from their usual places
  const pairs = places[1].flatMap((b) => places[0].map((a) => [a, b])).sort((p, q) => far(p) - far(q));
  const apart = pairs.filter(([a, b]) => !meets(a.box, b.box));
  return apart.find(([a, b]) => !meets(a.box, b.point) && !meets(b.box, a.point)) ?? apart[0] ?? pairs[0];
}

const dot = (x, y, r) => ['circle', { cx: x, cy: y, r, fill: INK, stroke: '#fff', 'stroke-width': 2 }];

/** cross marks what sticks out. */
function cross(x, y) {
  const d = (r) => `M${x - r} ${y - r}l${2 * r} ${2 * r}m0 ${-2 * r}l${-2 * r} ${2 * r}`;
  return ['g', { class: 'out' }, path(d(5.5), { stroke: '#fff', 'stroke-width': 5 }), path(d(4.5), { stroke: FAIL, 'stroke-width': 2.6 })];
}

const square = (x, y, size, now) => rect(x - size / 2, y - size / 2, size, size, now
  ? { fill: '#fff', stroke: NOTE, 'stroke-width': 3 }
  : { fill: '#fff', 'fill-opacity': 0.7, stroke: EDGE, 'stroke-width': 1.2, 'stroke-dasharray': '2.5 2' });

function stations(plan, job, l, row, figures, yOf, middle) {
  const at = new Map(figures.stations.map((s) => [s.index, s]));
  const size = Math.min(l.narrow ? 6 : 11, l.pitch * 0.6);
  let line = '';
  const marks = [];
  const masked = new Set(figures.masked.map((m) => m.index));
  for (let i = 0; i < l.n; i++) {
    const s = at.get(i);
    if (masked.has(i)) {
      line += ' ';
      marks.push(rect(l.x(i) - l.pitch / 2, row.y, l.pitch, row.height, { fill: 'url(#masked)', ...(row.now?.position === i ? { stroke: NOTE, 'stroke-width': 3 } : {}) }));
      continue;
    }
    if (!s) {
      line += ' ';
      marks.push(square(l.x(i), middle, row.now?.position === i && row.now.slot !== 'reread' ? size + 2 : size, row.now?.position === i && row.now.slot !== 'reread'));
      continue;
    }
    line += `${line === '' || line.endsWith(' ') ? 'M' : 'L'}${l.x(i).toFixed(1)} ${yOf(s.value).toFixed(1)}`;
    marks.push(figures.tir && outside(figures, s) ? cross(l.x(i), yOf(s.value)) : ['circle', { cx: l.x(i), cy: yOf(s.value), r: Math.min(l.narrow ? 3 : 4.5, l.pitch / 3), fill: INK }]);
  }
  // Extremes read before stay in sight as rings at their spokes.
  for (const slot of ['highest', 'lowest']) {
    const e = job.values[keyOf(row.code, EXTREMES, slot)];
    const value = e?.spoke !== undefined ? decimal.plain(e.text) : null;
    if (value) marks.push(['circle', { cx: l.x(e.spoke), cy: figures.stations.length ? yOf(value) : middle, r: 8, fill: 'none', stroke: INK, 'stroke-width': 1.8 }]);
  }
  return [path(line.trim() || 'M0 0', { 'stroke-width': 2.4, 'stroke-linejoin': 'round' }), ...marks];
}

function tensionRow(plan, job, l, f, y, now) {
  const t = f.tension;
  const least = decimal.plain(limitOf(plan, 'tension_lowest')?.low);
  const line = least ? decimal.number(least) : 0;
  const newtons = (s) => s.readings.map((r) => decimal.number(r.value));
  const dev = (letter) => Number(limitOf(plan, `side_tension_dev_pct_${letter}`)?.high ?? 0) / 100;
  const meanOf = (s, expected) => (s.mean && s.taken > 1 ? decimal.number(s.mean) : expected ? decimal.number(expected) : 0);
  const meanA = meanOf(t.a);
  const meanB = meanOf(t.b, t.expectB);
  const up = Math.max(line + 400, ...newtons(t.a), meanA * (1 + dev('a')));
  const down = Math.max(line + 200, ...newtons(t.b), meanB * (1 + dev('b')));
  const scale = l.tension / (up - line + (down - line));
  const zero = y + (up - line) * scale;
  const out = [];
  const band = (mean, share, direction) => {
    if (!mean || !share) return;
    const from = Math.max(0, mean * (1 - share) - line) * scale;
    const to = Math.max(0, mean * (1 + share) - line) * scale;
    out.push(rect(l.left, direction > 0 ? zero - to : zero + from, l.width - l.left, Math.max(0, to - from), { fill: 'var(--band)', opacity: 0.85 }));
  };
  band(meanA, dev('a'), 1);
  band(meanB, dev('b'), -1);
  const width = l.narrow ? Math.min(8, l.pitch * 0.7) : Math.min(13, l.pitch * 0.55);
  for (const s of [t.a, t.b]) out.push(...bars(plan, job, l, s, { zero, scale, line, width, now }));
  out.push(path(`M${l.left} ${zero}H${l.width}`, { 'stroke-width': 1.5 }));
  if (l.names) {
    out.push(text(0, y + 12, 15, 'Tension A', { 'font-weight': 600 }), text(0, Math.max(y + l.tension - 1, y + 29), 15, 'Tension B', { 'font-weight': 600 }));
    if (least && l.every) out.push(text(0, zero + 5, 14, `line ${shown(least)} N`, { fill: INK2 }));
    else if (least) out.push(text(freeOfBars(plan, l, [t.a, t.b]), zero - 4, 14, `line ${shown(least)} N`, { 'text-anchor': 'end', fill: INK2, 'paint-order': 'stroke', stroke: '#fff', 'stroke-width': 3 }));
  }
  return out;
}

/** freeOfBars is the right end of a place for the line's name that no bar and no value stands in. */
function freeOfBars(plan, l, sides) {
  const taken = sides.flatMap((s) => {
    const c = characteristicOf(plan, s.code);
    return c ? slots(plan, c, s.method).map((p) => l.x(p.position)) : [];
  }).sort((a, b) => b - a);
  let right = l.width - 4;
  for (const x of taken) {
    if (right - x > 150) break; // a bar, its value of four digits and the name
    right = x - 12;
  }
  return right;
}

function bars(plan, job, l, s, { zero, scale, line, width, now }) {
  const c = characteristicOf(plan, s.code);
  if (!c) return [];
  const isB = s.code === TENSION_B;
  const at = new Map(s.readings.map((r) => [r.index, r]));
  const out = [];
  // A short bar has its value beside the line and not across it: it would read as crossed out.
  const offLine = (y, size) => (isB ? Math.max(y, zero + size * 0.75 + 3) : Math.min(y, zero - 4));
  for (const slot of slots(plan, c, s.method)) {
    const x = l.x(slot.position);
    const r = at.get(slot.position);
    const mine = now?.characteristic === s.code && now.position === slot.position;
    const side = isB ? 1 : -1;
    if (!r) {
      const h = 11;
      out.push(rect(x - width / 2, isB ? zero : zero - h, width, h, mine ? { fill: '#fff', stroke: NOTE, 'stroke-width': 3 } : { fill: '#fff', stroke: EDGE, 'stroke-width': 1.4, 'stroke-dasharray': '2.5 2' }));
      if (s.method === SAMPLE && !l.narrow) out.push(besideBar(l, x, width, offLine(zero + side * 7 + 5, l.size), l.size, mine ? 'now' : 'open', { fill: mine ? NOTE : INK2, 'font-weight': mine ? 600 : 400 }));
      continue;
    }
    const over = decimal.number(r.value) - line;
    const h = Math.max(1, over * scale);
    out.push(rect(x - width / 2, isB ? zero : zero - h, width, h, isB ? { fill: 'url(#hatch)', stroke: 'var(--side-b)', 'stroke-width': 1.2 } : { fill: 'var(--side-a)' }));
    if (mine) out.push(rect(x - width / 2 - 2, isB ? zero : zero - h - 2, width + 4, h + 2, { fill: 'none', stroke: NOTE, 'stroke-width': 3 }));
    if (over < 0) out.push(cross(x, zero + side * 7));
    if (s.method === SAMPLE) {
      out.push(besideBar(l, x, width, offLine(zero + side * h / 2 + 5, l.narrow ? 14 : l.size), l.narrow ? 14 : l.size, shown(r.typed), { 'font-weight': 600, 'paint-order': 'stroke', stroke: '#fff', 'stroke-width': 3 }));
    }
  }
  return out;
}

/** besideBar puts a word right of a bar, or left of it where the page ends. A letter is at most 0.62 of its size wide. */
function besideBar(l, x, width, y, size, word, more) {
  const fits = x + width / 2 + 5 + word.length * size * 0.62 <= l.width;
  return text(fits ? x + width / 2 + 5 : x - width / 2 - 5, y, size, word, fits ? more : { ...more, 'text-anchor': 'end' });
}

/** spoken is the strip in a sentence, for a screen reader. */
function spoken(f) {
  const run = (name, r) => !r.wanted ? '' : r.tir ? `${name} ${shown(r.tir.value)} mm over ${r.taken} of ${r.wanted} readings. ` : `${name} open. `;
  return `Rim unrolled, spokes 1 to ${f.holes}. ${run('Lateral', f.lateral)}${run('Radial', f.radial)}Tension: ${f.tension.taken} of ${f.tension.wanted} taken.`;
}

/** spokeSpoken tells what one spoke carries, for the arrow keys. */
export function spokeSpoken(f, index) {
  const out = [`Spoke ${index + 1}, side ${index % 2 ? 'B' : 'A'}`];
  for (const [name, r] of [['lateral', f.lateral], ['radial', f.radial]]) {
    const s = r.stations.find((x) => x.index === index);
    if (s) out.push(`${name} ${signed(s.typed)} mm`);
    const mask = r.masked?.find((m) => m.index === index);
    if (mask) out.push(`${name} not judged: ${reasonWords(mask)}`);
  }
  const t = (index % 2 ? f.tension.b : f.tension.a).readings.find((x) => x.index === index);
  if (t) out.push(`tension ${shown(t.typed)} ${t.unit}`);
  if (out.length === 1) out.push('nothing read yet');
  return out.join(', ');
}
