// The pack as its strings in their real order, minus to plus: each block with
// its number, voltage and resistance, and below each how far it lies from the
// string's own middle. Several strings stand one under another; a phone shows
// the one in hand.
import * as decimal from './floor-decimal.js';
import { atMost, shown, signed } from './floor-format.js';
import { symbol } from './floor-units.js';
import { limitOf } from './floor-plan.js';
import { median } from './bench-figures.js';
import { VOLTAGE, RESISTANCE, strings, blocksOfString, partOf, placeKey } from './bench-shape.js';

const INK = 'var(--ink)';
const INK2 = 'var(--ink-2)';
const NOTE = 'var(--note)';
const FAIL = 'var(--fail)';

const text = (x, y, size, words, more = {}) => ['text', { x, y, 'font-size': size, fill: INK, ...more }, words];
const path = (d, more = {}) => ['path', { d, fill: 'none', stroke: INK, ...more }];
const rect = (x, y, width, height, more = {}) => ['rect', { x, y, width, height, ...more }];

function layout(plan, narrow, plain) {
  const many = strings(plan) > 1 && !narrow;
  const n = blocksOfString(plan);
  const l = narrow ? { width: 366, left: 28, right: 338, box: 76, band: 28 } : { width: 760, left: 122, right: 724, box: 104, band: 46 };
  const pitch = (l.right - l.left) / n;
  return { ...l, n, many, narrow, plain, pitch, boxWidth: pitch - (narrow ? 5 : 9), box: plain ? (narrow ? 52 : many ? 44 : 64) : many ? 92 : l.box, x: (i) => l.left + pitch * i };
}

/**
 * string draws the whole pack. now is the entry in hand, walk the block the arrow
 * keys stand on; plain shows which block stands where and nothing read.
 */
export function string(plan, job, f, { now = null, walk = null, narrow = false, plain = false } = {}) {
  const l = layout(plan, narrow, plain);
  const mine = walk !== null && walk !== undefined ? f.voltage.list[walk]?.block : now?.position?.[1] ? now.position : null;
  const parts = [];
  let y = 8;
  const inHand = mine?.[0] ?? now?.position?.[0] ?? 1;
  for (let s = narrow ? inHand : 1; s <= (narrow ? inHand : strings(plan)); s++) {
    const rows = l.many || plain ? [] : narrow ? [bandFor(now)] : [VOLTAGE, RESISTANCE];
    const height = l.box + rows.length * (l.band + 18);
    if (mine && mine[0] === s && !l.many) parts.push(rect(l.x(mine[1] - 1), y - 8, l.pitch, height + 8, { fill: 'var(--note-tint)' }));
    parts.push(...boxes(plan, job, f, l, s, y, now, mine));
    let at = y + l.box + 14;
    for (const code of rows) {
      parts.push(...band(plan, f, l, s, code, at, now));
      at += l.band + 18;
    }
    y += height + (l.many ? 18 : 0);
  }
  return ['svg', { width: l.width, height: y, viewBox: `0 0 ${l.width} ${y}`, role: 'img', 'aria-label': spoken(plan, f), class: 'strip' }, ...parts];
}

const bandFor = (now) => (now?.characteristic === RESISTANCE ? RESISTANCE : VOLTAGE);

const WIDE = 0.58; // of a digit, in its size

/**
 * fitted writes the values of a string as they fit into their boxes: whole, or
 * where all share their part before the point without it, which is then given as
 * before; otherwise with fewer decimals. {texts, before}; null for no value.
 */
export function fitted(values, width, size) {
  const fits = (texts) => texts.every((t) => t === null || t.length * WIDE * size <= width);
  const written = (decimals) => values.map((v) => (v ? atMost(v, decimals) : null));
  const whole = written(3);
  if (fits(whole)) return { texts: whole, before: '' };
  const parts = new Set(whole.filter(Boolean).map((t) => (t.includes('.') ? t.slice(0, t.indexOf('.')) : t)));
  const short = whole.map((t) => t && t.slice(t.indexOf('.')));
  if (parts.size === 1 && whole.every((t) => !t || t.includes('.')) && fits(short)) return { texts: short, before: [...parts][0] };
  const fewer = [2, 1].map(written).find(fits);
  return { texts: fewer ?? written(0), before: '' };
}

/** endOf is a number as it fits: whole, or an ellipsis and its end, which tells blocks of one delivery apart. */
export const endOf = (name, room) => (name.length <= room ? name : `…${name.slice(name.length - room + 1)}`);

function boxes(plan, job, f, l, s, y, now, mine) {
  const line = y + (l.plain ? 20 : 26);
  const size = l.narrow ? 28 : 34;
  const out = [path(`M${l.left - 18} ${line}H${l.right + 18}`, { 'stroke-width': 3 }),
    text(l.left - 22, line + 10, size, '\u2212', { 'text-anchor': 'end', 'font-weight': 600 }), text(l.right + 20, line + 11, size, '+', { 'font-weight': 600 })];
  if (l.many) out.push(text(0, y + (l.plain ? 34 : 60), 15, `String ${s}`, { 'font-weight': 600 }));
  const of = (set, size) => fitted(set.list.filter((r) => r.block[0] === s).map((r) => r.value), l.boxWidth, size);
  const values = { [VOLTAGE]: of(f.voltage, sizes(l).big), [RESISTANCE]: of(f.resistance, sizes(l).small) };
  for (let p = 1; p <= l.n; p++) out.push(...box(plan, job, f, l, [s, p], y, now, mine, values));
  if (!l.plain) for (const code of [VOLTAGE, RESISTANCE]) out.push(text(l.left - 24, valueAt(l, y, code), 14, values[code].before, { fill: INK2 }));
  const swapped = (f.taps?.swapped ?? []).filter((b) => b[0] === s);
  for (let i = 1; i < swapped.length; i++) {
    const [from, to] = [swapped[i - 1], swapped[i]].map((b) => l.x(b[1] - 1) + l.pitch / 2);
    out.push(path(`M${from} ${y + l.box}Q${(from + to) / 2} ${y + l.box + 26} ${to} ${y + l.box}`, { stroke: FAIL, 'stroke-width': 4 }));
  }
  return out;
}

/** sizes of the two values of a block; with its unit behind it a value is smaller. */
const sizes = (l) => ({
  big: Math.max(14, Math.min(l.narrow ? 19 : 30, l.boxWidth / (withUnits(l) ? 4.7 : 3.9))),
  small: Math.max(14, Math.min(l.narrow ? 18 : 26, l.boxWidth / (withUnits(l) ? 5 : 4.2))),
});
const withUnits = (l) => l.boxWidth > 110;
const valueAt = (l, y, code) => (code === VOLTAGE ? y + (l.many ? 54 : l.box * 0.6) : y + (l.many ? 80 : l.box * 0.9));

function box(plan, job, f, l, block, y, now, mine, values) {
  const [s, p] = block;
  const i = f.voltage.list.findIndex((r) => r.block[0] === s && r.block[1] === p);
  const v = f.voltage.list[i];
  const r = f.resistance.list[i];
  const here = mine && mine[0] === s && mine[1] === p;
  const x = l.x(p - 1) + (l.pitch - l.boxWidth) / 2;
  const colour = here ? NOTE : INK;
  const { big, small } = sizes(l);
  const pole = Math.min(12, l.boxWidth / 6);
  const out = [rect(x, y, l.boxWidth, l.box, { rx: 4, fill: '#fff', stroke: colour, 'stroke-width': here ? 4 : 2 }),
    ['path', { d: `M${x + pole} ${y - 7}h${pole}v7h${-pole}zM${x + l.boxWidth - 2 * pole} ${y - 7}h${pole}v7h${-pole}z`, fill: colour }],
    text(x + 10, y + 24, l.narrow ? 17 : 21, String(p), { 'font-weight': 600 })];
  const part = partOf(plan, job, block);
  const name = part.number || part.lot;
  if (l.plain) {
    const shown = endOf(name, Math.max(4, Math.floor(l.boxWidth / 11)));
    const size = Math.max(13, Math.min(20, (l.boxWidth - 16) / (0.6 * Math.max(shown.length, 6)))); // a digit of this type is 0.6 wide
    out.push(text(x + l.boxWidth / 2, y + l.box - (l.narrow ? 10 : 14), size, shown, { 'text-anchor': 'middle', class: 'mono-text' }));
    return out;
  }
  if (name && !l.narrow && l.boxWidth > 90) out.push(text(x + l.boxWidth - 9, y + 23, 14, endOf(name, Math.floor((l.boxWidth - 40) / 8)), { 'text-anchor': 'end', fill: INK2, class: 'mono-text' }));
  const middle = x + l.boxWidth / 2;
  const vUnit = withUnits(l);
  const rows = [[VOLTAGE, v, 'V', big, 600], [RESISTANCE, r, 'mohm', small, 400]];
  for (const [code, value, unit, fontSize, weight] of rows) {
    const ty = valueAt(l, y, code);
    if (value?.value) {
      const words = text(vUnit ? x + l.boxWidth - 34 : middle, ty, fontSize, values[code].texts[p - 1], { 'text-anchor': vUnit ? 'end' : 'middle', 'font-weight': weight });
      out.push(words);
      if (vUnit) out.push(text(x + l.boxWidth - 29, ty, 15, symbol(unit), { fill: INK2 }));
    } else {
      const asked = now?.characteristic === code && now.position?.[0] === s && now.position?.[1] === p;
      out.push(text(vUnit ? x + l.boxWidth - 12 : middle, ty, l.narrow ? 15 : 17, asked ? (l.narrow || l.boxWidth < 100 ? 'now' : 'take now') : !l.narrow ? 'not yet' : l.boxWidth > 44 ? 'open' : '', { 'text-anchor': vUnit ? 'end' : 'middle', 'font-weight': asked ? 600 : 400, fill: asked ? NOTE : INK2 }));
    }
  }
  return out;
}

/** band shows how far each block lies from the string's own middle, as wide as the spread may be. */
function band(plan, f, l, s, code, y, now) {
  const set = code === VOLTAGE ? f.voltage : f.resistance;
  const limit = decimal.plain(limitOf(plan, code === VOLTAGE ? 'ocv_spread' : 'resistance_spread_pct')?.high);
  const list = set.list.filter((r) => r.block[0] === s);
  const read = list.filter((r) => r.value);
  const middle = y + l.band / 2;
  const out = [rect(l.left - 6, y, l.right - l.left + 12, l.band, { fill: 'var(--band)', opacity: 0.85 }),
    path(`M${l.left - 6} ${y}H${l.right + 6}M${l.left - 6} ${y + l.band}H${l.right + 6}`, { stroke: INK2, 'stroke-width': 1.5 }),
    path(`M${l.left - 6} ${middle}H${l.right + 6}`, { stroke: INK2, 'stroke-dasharray': '2 4' })];
  const unit = code === VOLTAGE ? 'mV' : '%';
  const width = limit && shown(code === VOLTAGE ? decimal.roundTo(decimal.mul(limit, decimal.make(1000)), 0) : limit);
  if (!l.narrow) {
    out.push(text(0, middle - 6, 15, code === VOLTAGE ? 'Voltage' : 'Resistance', { 'font-weight': 600 }));
    out.push(text(0, middle + 12, 14, width ? `${width} ${unit} wide` : `in ${unit}`, { fill: INK2 }));
  }
  const centre = read.length ? median(read.map((r) => r.value)) : null;
  const span = spanOf(code, limit, centre, read);
  list.forEach((r) => {
    const x = l.x(r.block[1] - 1) + l.pitch / 2;
    if (!r.value) {
      const asked = now?.characteristic === code && now.position?.[0] === s && now.position?.[1] === r.block[1];
      out.push(rect(x - 8, middle - 8, 16, 16, asked ? { fill: '#fff', stroke: NOTE, 'stroke-width': 3 } : { fill: '#fff', stroke: 'var(--edge)', 'stroke-width': 1.4, 'stroke-dasharray': '3 2' }));
      return;
    }
    const off = decimal.sub(r.value, centre);
    const py = Math.max(y - 8, Math.min(y + l.band + 8, middle - (span ? (decimal.number(off) / span) * l.band : 0)));
    const out2 = py < y || py > y + l.band;
    if (Math.abs(py - middle) > 3) out.push(path(`M${x} ${middle}V${py}`, { 'stroke-width': 3, stroke: out2 ? FAIL : INK }));
    out.push(out2 ? path(`M${x - 5} ${py - 5}l10 10m0 -10l-10 10`, { stroke: FAIL, 'stroke-width': 3 }) : ['circle', { cx: x, cy: py, r: l.narrow ? 5 : 6, fill: INK }]);
    if (l.pitch > 48) out.push(text(x + 12, py + 6, l.narrow ? 14 : 17, apart(code, off, centre) + (l.narrow && l.pitch > 75 ? ` ${unit}` : ''), { 'paint-order': 'stroke', stroke: '#dfe9e4', 'stroke-width': 4 }));
  });
  return out;
}

/** apart is how far a block lies from the middle, in the unit that the band is headed by: millivolts, or per cent of the middle. */
function apart(code, off, centre) {
  if (code === VOLTAGE) return signed(decimal.roundTo(decimal.mul(off, decimal.make(1000)), 0));
  return decimal.sign(centre) > 0 ? signed(decimal.divide(decimal.mul(off, decimal.make(100)), centre, 1)) : '';
}

/** spanOf is what the band's height stands for, in the reading's unit. */
function spanOf(code, limit, centre, read) {
  if (!centre) return 0;
  const allowed = limit ? (code === VOLTAGE ? decimal.number(limit) : (decimal.number(limit) / 100) * decimal.number(centre)) : 0;
  if (allowed) return allowed;
  const values = read.map((r) => decimal.number(r.value));
  return (Math.max(...values) - Math.min(...values)) * 1.2;
}

function spoken(plan, f) {
  const many = strings(plan) > 1 ? `${strings(plan)} strings of ` : '';
  return `Pack, minus to plus: ${many}${blocksOfString(plan)} blocks. Voltage of ${f.voltage.taken}, resistance of ${f.resistance.taken} taken.`;
}

/** blockSpoken tells what one block carries, for the arrow keys. */
export function blockSpoken(plan, job, f, index) {
  const v = f.voltage.list[index];
  if (!v) return '';
  const r = f.resistance.list[index];
  const part = partOf(plan, job, v.block);
  const out = [`Block ${placeKey(v.block).replace('1.', strings(plan) > 1 ? '1.' : '')}`, part.number || part.lot];
  if (v.value) out.push(`${atMost(v.value, 4)} V`);
  if (r.value) out.push(`${atMost(r.value, 3)} mΩ`);
  if (!v.value && !r.value) out.push('nothing read yet');
  return out.filter(Boolean).join(', ');
}
