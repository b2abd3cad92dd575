// What a stand makes of a burst of keys: a scan, a reading, or nothing it
// takes. Scanner and gauge both type, and at the same speed, so the text
// decides: a symbology identifier (ISO/IEC 15424) makes a scan; without one
// only a good serial is a scan, and a number outside the gauge's range is
// refused while a reading is awaited.
import { readTyped, outsideRange } from './floor-reading.js';
import { inUnit, symbol } from './floor-units.js';
import { shown } from './floor-format.js';
import * as decimal from './floor-decimal.js';
import { serialOf, printed, prefixOf } from './floor-serial.js';

/**
 * readBurst says what a stand makes of a text. awaits is 'serial' or
 * 'reading'; gauge is {code, unit, rangeLow, rangeHigh, resolution}, of which
 * only the unit is needed; end is the key that closed it, '' for none.
 *
 * It gives {what: 'scan'|'reading'|'refused', from: 'scanner'|'gauge'|'', tone,
 * word, why}: word is large on the page, why says what to set or do.
 * works stands at what is refused though its sender did right.
 */
export function readBurst(text, { awaits = 'reading', gauge = { unit: 'mm' }, end = 'Enter' } = {}) {
  const typed = text.trim();
  if (!typed) return { what: 'refused', from: '', tone: 'care', word: 'Nothing', why: `${end || 'A pause'} came without a character before it.` };
  const read = prefixOf(typed) ? ofScanner(prefixOf(typed), typed.slice(3)) : withoutPrefix(typed, awaits, gauge);
  if (read.what === 'refused') return read;
  if (end === '') return { ...read, tone: 'care', why: `${read.why} But no Enter came behind it: set Enter as its suffix, or a stand waits for ever.` };
  if (end === 'Tab' && read.from === 'scanner') return { ...read, tone: 'care', why: `${read.why} It ended with Tab; a stand takes that too, but set Enter.` };
  return read;
}

const refuse = (from, word, why) => ({ what: 'refused', from, tone: 'fail', word, why });

function ofScanner(prefix, rest) {
  const gs = rest.includes('\u001d') ? ' The group separator arrives.' : '';
  const { serial, error } = serialOf(rest);
  if (serial) return { what: 'scan', from: 'scanner', tone: 'pass', word: `Scan: ${printed(serial)}`, why: `The prefix ${prefix} came, and the check character fits. Never a reading.${gs}` };
  if (error === 'check') return refuse('scanner', 'Refused: misread', `${short(rest)} looks like a serial, but its check character does not fit.`);
  // The scanner did all it should; the code is another one.
  return { ...refuse('scanner', 'Refused: no serial', `A scan with prefix ${prefix}: ${short(rest)} is no serial of ours. It lands in no reading.${gs}`), works: true };
}

function withoutPrefix(typed, awaits, gauge) {
  const { serial, error } = serialOf(typed);
  if (serial) return { what: 'scan', from: 'scanner', tone: 'care', word: `Scan: ${printed(serial)}`, why: 'Taken, since the check character fits. No prefix came: set the AIM identifier, so that other codes are known for scans too.' };
  if (error === 'check' && /[A-Za-z]/.test(typed)) return refuse('', 'Refused: misread', `${short(typed)} looks like a serial, but its check character does not fit.`);
  // A prefix whose bracket came out as something else.
  for (const cut of [3, 4]) {
    if (typed.length > cut && serialOf(typed.slice(cut)).serial) {
      return refuse('scanner', 'Refused: layout', `${short(typed.slice(0, cut))} came where a closing bracket and two characters belong: the scanner’s keyboard layout is not the tablet’s.`);
    }
  }
  if (awaits === 'serial') return refuse('', 'Refused', `${short(typed)} is not a serial, and a serial is awaited.`);
  return reading(typed, gauge);
}

function reading(typed, gauge) {
  const units = ['mm', 'um', 'in', 'N', 'kgf', 'lbf', 'V', 'mV', 'ohm', 'mohm', 'uohm', 'S', 'degC', 'A'].filter((u) => inUnit(decimal.make(1), u, gauge.unit) !== null);
  const read = readTyped(typed, { unit: gauge.unit, units });
  if (!read.ok) return refuse('', 'Refused', `${read.reason}.`);
  const far = gauge.code ? outsideRange(read.value, gauge, (v, unit) => inUnit(v, read.unit, unit)) : '';
  if (far) return refuse('', 'Refused', `${far}. If this was a scan, its prefix is missing.`);
  const step = gauge.resolution && decimal.plain(gauge.resolution);
  const finer = step && read.unit === gauge.unit && read.value.scale > step.scale ? ` It has more digits than ${gauge.code} shows; that is kept and flagged once.` : '';
  const range = gauge.code ? `Within what ${gauge.code} can show.` : 'No range is known here: choose the gauge above, and a number beyond it is refused.';
  return { what: 'reading', from: 'gauge', tone: 'pass', word: `Reading: ${shown(read.value)} ${symbol(read.unit)}`, why: range + finer };
}

const short = (s) => (s.length > 24 ? s.slice(0, 24) + '…' : s);

/** nameOf is what a key is called in the list of what arrived. */
export function nameOf(key) {
  const names = { ' ': 'Space', '\u001d': 'GS', ArrowLeft: '←', ArrowRight: '→', Backspace: '⌫' };
  return names[key] ?? key;
}

/** bounce says whether a press is the same press again: within 150 ms of the one before. */
export const bounce = (at, before) => at - before < 150;
