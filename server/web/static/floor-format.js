// How numbers, times and lists are written on the floor pages.
import * as decimal from './floor-decimal.js';

const MINUS = '\u2212';

/** shown writes a decimal with the typographic minus. */
export const shown = (d) => decimal.text(d).replace('-', MINUS);

/** signed writes a run-out reading: +0.12, −0.09, 0.00. */
export const signed = (d) => (decimal.sign(d) > 0 ? '+' : '') + shown(d);

/** atDecimals writes a decimal with exactly this many decimals, rounded half to even. */
export function atDecimals(d, decimals) {
  const r = decimal.roundTo(d, decimals);
  return shown({ n: r.n * 10n ** BigInt(decimals - r.scale), scale: decimals });
}

let zone; // the shop's; undefined is the tablet's own

/** useZone has times shown in the shop's zone, an IANA name; an unknown one leaves the tablet's. */
export function useZone(name) {
  try {
    zone = name && new Intl.DateTimeFormat('en-GB', { timeZone: name }).resolvedOptions().timeZone;
  } catch {
    zone = undefined;
  }
}

/** parts of a moment in the zone shown. */
function partsOf(when) {
  const t = new Date(when);
  if (Number.isNaN(t.getTime())) return null;
  const style = { timeZone: zone || undefined, hourCycle: 'h23', year: 'numeric', month: 'numeric', day: 'numeric', hour: '2-digit', minute: '2-digit' };
  return Object.fromEntries(new Intl.DateTimeFormat('en-GB', style).formatToParts(t).map((p) => [p.type, p.value]));
}

/** clock is the time of day: 09:41. */
export function clock(when) {
  const p = partsOf(when);
  return p ? `${p.hour}:${p.minute}` : '';
}

/** moment is the time of day, with the day before it when that is not today: 24 Nov, 16:00. */
export function moment(when, now = Date.now()) {
  const p = partsOf(when);
  const today = partsOf(now);
  if (!p) return '';
  const same = p.day === today.day && p.month === today.month && p.year === today.year;
  return `${same ? '' : `${Number(p.day)} ${months[Number(p.month) - 1]}, `}${p.hour}:${p.minute}`;
}

const months = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'];

/** day writes a date of the form 2027-03-03 as 3 Mar 2027. */
export function day(iso) {
  const parts = /^(\d{4})-(\d{2})-(\d{2})/.exec(iso ?? '');
  if (!parts) return '';
  return `${Number(parts[3])} ${months[Number(parts[2]) - 1] ?? ''} ${parts[1]}`;
}

/** atMost writes a decimal as it stands where it has so many decimals or fewer, otherwise rounded, without the zeros that brings. */
export function atMost(d, decimals) {
  if (d.scale <= decimals) return shown(d);
  const text = shown(decimal.roundTo(d, decimals));
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}

/** took is how long something took: 3 min 10 s, 26 h 5 min. */
export function took(ms) {
  const seconds = Math.max(0, Math.round(ms / 1000));
  const minutes = Math.floor(seconds / 60);
  if (minutes >= 60) return `${Math.floor(minutes / 60)} h ${minutes % 60} min`;
  return minutes ? `${minutes} min ${seconds % 60} s` : `${seconds} s`;
}

/** list joins words: a, b and c. */
export function list(words) {
  if (words.length < 2) return words.join('');
  return words.slice(0, -1).join(', ') + ' and ' + words[words.length - 1];
}

/** capital raises the first letter. */
export const capital = (s) => s.charAt(0).toUpperCase() + s.slice(1);
