// What a person types at the stand, read as a number. The text is kept as it
// was typed; the decimal beside it is exact.
import * as decimal from './floor-decimal.js';
import { unitOf, symbol } from './floor-units.js';
import { shown } from './floor-format.js';

const MOST_DIGITS = 19; // what the office keeps of one number
// A kind letter, two digits of the year, five characters and the check character.
const SERIAL = /^[A-Za-z]\d{2}[- ]?[0-9A-Za-z]{5}[- ]?[0-9A-Za-z]$/;
const UNIT_BEGINS = /[A-Za-zµμΩΩ°℃%"]/;

/**
 * readTyped reads one entry. Comma or point, once, also leading; a sign; the
 * unit behind it if the set accepts it. With hundredths, whole digits are
 * hundredths: 12 is 0.12; a typed mark is taken as it stands.
 *
 * It gives {ok, text, value, unit, hundredths} or {ok: false, reason}; reason
 * is empty when nothing was typed.
 */
export function readTyped(typed, { unit = '', units = [], hundredths = false } = {}) {
  const whole = typed.trim();
  if (whole === '') return { ok: false, reason: '' };
  const cut = whole.search(UNIT_BEGINS);
  const text = (cut < 0 ? whole : whole.slice(0, cut)).trim();
  const behind = cut < 0 ? '' : whole.slice(cut).trim();

  const value = readNumber(text);
  if (SERIAL.test(whole)) return refuse('That is a serial; a reading is awaited');
  if (!value || /\d/.test(behind)) return refuse(`${short(whole)} is not a number`);
  if (value === 'long') return refuse(`${short(whole)} has more than ${MOST_DIGITS} digits`);

  let inUnit = unit;
  if (behind) {
    inUnit = unitOf(behind);
    if (!inUnit) return refuse(`${short(behind)} is not a unit`);
    if (inUnit !== unit && !units.includes(inUnit)) {
      return refuse(`${symbol(inUnit)} does not fit here; this is read in ${units.map(symbol).join(', ') || symbol(unit)}`);
    }
  }
  if (hundredths && inUnit === unit && /^[+\-\u2212]?\d+$/.test(text)) {
    const scaled = decimal.make(value.n, 2);
    return { ok: true, text: decimal.text(scaled), value: scaled, unit: inUnit, hundredths: true };
  }
  return { ok: true, text, value, unit: inUnit, hundredths: false };
}

/** valueOf reads the text of a reading that was taken before; null if it is none. */
export function valueOf(text) {
  const value = readNumber((text ?? '').trim());
  return value && value !== 'long' ? value : null;
}

function readNumber(text) {
  const parts = /^([+\-\u2212]?)(\d*)(?:[.,](\d+))?$/.exec(text);
  if (!parts || (!parts[2] && !parts[3])) return null;
  const [, mark, digits, fraction = ''] = parts;
  if ((digits + fraction).replace(/^0+/, '').length > MOST_DIGITS || fraction.length > MOST_DIGITS) return 'long';
  const n = BigInt(digits + fraction);
  return { n: mark === '-' || mark === '\u2212' ? -n : n, scale: fraction.length };
}

const refuse = (reason) => ({ ok: false, reason });

/** short keeps a sentence readable when a page was pasted into the field. */
const short = (s) => (s.length > 24 ? s.slice(0, 24) + '…' : s);

/** changeSign puts a minus before what is typed, or takes it away. */
export function changeSign(typed) {
  const text = typed.trim();
  if (/^[-\u2212]/.test(text)) return text.slice(1);
  return '-' + text.replace(/^\+/, '');
}

/** readSpoke reads the number of a spoke, from 1; the answer is its index, from 0. */
export function readSpoke(typed, spokes) {
  const text = typed.trim();
  if (text === '') return { ok: false, reason: '' };
  const number = /^\d{1,3}$/.test(text) ? Number(text) : 0;
  if (number < 1 || number > spokes) return refuse(`${short(text)} is not a spoke: 1 to ${spokes}`);
  return { ok: true, index: number - 1 };
}

/**
 * outsideRange says why an instrument cannot have shown this value, or gives
 * ''. The range is in the instrument's own unit; convert reads the value so.
 */
export function outsideRange(value, instrument, convert) {
  if (!instrument) return '';
  const own = convert(value, instrument.unit);
  if (!own) return '';
  const low = decimal.plain(instrument.rangeLow);
  const high = decimal.plain(instrument.rangeHigh);
  if ((low && decimal.cmp(own, low) < 0) || (high && decimal.cmp(own, high) > 0)) {
    const from = low ? shown(low) : '';
    const to = high ? shown(high) : '';
    return `${shown(value)} is outside ${instrument.code}’s range, ${from} to ${to} ${symbol(instrument.unit)}; the range is set under Instruments`;
  }
  return '';
}

/** finer says whether a text has more decimals than the instrument shows. */
export function finer(value, instrument) {
  const step = instrument && decimal.plain(instrument.resolution);
  return Boolean(step) && value.scale > step.scale;
}
