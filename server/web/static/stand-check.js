// Doubts about a wheel's readings while they are taken. The limits are common
// practice, no source: closure 0.05 mm, second difference 0.3 mm, tension
// 20 % from its side, plausible tensions 300 to 2000 N.
import * as decimal from './floor-decimal.js';
import { valueOf } from './floor-reading.js';
import { inUnit, symbol } from './floor-units.js';
import { shown, signed } from './floor-format.js';
import { keyOf } from './floor-job.js';
import { unitOf, holdsReadings } from './floor-take.js';
import { DIVISION, doubtOfDivision } from './stand-table.js';
import { LATERAL, RADIAL, TENSION_A, TENSION_B, EXTREMES, EVERY_HOLE } from './stand-shape.js';

const CLOSURE = decimal.make(5, 2);
const SPIKE = decimal.make(3, 1);
const PLAUSIBLE = [decimal.make(300), decimal.make(2000)];

/** check says what speaks against a reading: {refuse}, {ask}, {doubt, near} or nothing. */
export function check({ plan, job, entry, read }) {
  const value = read.value;
  if (entry.method === EXTREMES) return checkExtreme(job, entry, value);
  if ((entry.characteristic === LATERAL || entry.characteristic === RADIAL) && entry.method === EVERY_HOLE) {
    return checkStation(job, entry, value);
  }
  if (entry.characteristic === TENSION_A || entry.characteristic === TENSION_B) return checkTension(plan, job, entry, read);
  return {};
}

const taken = (job, entry, slot, method = entry.method) => valueOf(job.values[keyOf(entry.characteristic, method, slot)]?.text);

function checkExtreme(job, entry, value) {
  const other = taken(job, entry, entry.slot === 'lowest' ? 'highest' : 'lowest');
  if (!other) return {};
  if (entry.slot === 'lowest' && decimal.cmp(value, other) > 0) {
    return { refuse: `The lowest, ${signed(value)}, is above the highest, ${signed(other)}` };
  }
  if (entry.slot === 'highest' && decimal.cmp(value, other) < 0) {
    return { refuse: `The highest, ${signed(value)}, is below the lowest, ${signed(other)}` };
  }
  return {};
}

function checkStation(job, entry, value) {
  if (entry.slot === 'reread') {
    const first = taken(job, entry, '0');
    const apart = first && decimal.sub(value, first);
    if (apart && decimal.cmp(decimal.abs(apart), CLOSURE) > 0) {
      return { refuse: `Spoke 1 again is ${signed(apart)} from its first reading: wheel or gauge moved. Read spoke 1 once more, or the set again` };
    }
    return {};
  }
  const clash = contradiction(job, entry, value);
  if (clash) return clash;
  const before = taken(job, entry, String(entry.position - 1));
  const twoBefore = taken(job, entry, String(entry.position - 2));
  if (before && twoBefore) {
    const second = decimal.add(decimal.sub(value, decimal.add(before, before)), twoBefore);
    if (decimal.cmp(decimal.abs(second), SPIKE) > 0) {
      return { doubt: `Read again: a jump of ${signed(decimal.sub(value, before))} from the spoke before`, near: '0.05' };
    }
  }
  if (entry.characteristic === LATERAL && stuck(job, entry, value)) {
    return { doubt: 'Read again: four alike while the rim moves in and out', near: '0' };
  }
  return {};
}

/** stuck: the fourth like lateral reading in a row, where radial readings of the same spokes differ. */
function stuck(job, entry, value) {
  const at = (code, back) => valueOf(job.values[keyOf(code, EVERY_HOLE, String(entry.position - back))]?.text);
  const alike = (a, b) => a && b && decimal.cmp(a, b) === 0;
  const lateral = [1, 2, 3].map((back) => at(LATERAL, back));
  if (!lateral.every((v) => alike(v, value)) || alike(at(LATERAL, 4), value)) return false;
  const radial = [0, 1, 2, 3].map((back) => at(RADIAL, back));
  return radial.every(Boolean) && radial.some((v) => !alike(v, radial[0]));
}

/** contradiction: an extreme read at this spoke before says something else. */
function contradiction(job, entry, value) {
  for (const slot of ['highest', 'lowest']) {
    const key = keyOf(entry.characteristic, EXTREMES, slot);
    const extreme = job.values[key];
    if (extreme?.spoke !== entry.position) continue;
    const was = valueOf(extreme.text);
    if (was && decimal.cmp(decimal.abs(decimal.sub(value, was)), CLOSURE) > 0) {
      return { ask: {
        text: `The ${slot} here was ${signed(was)}. Which is right?`,
        options: [
          { label: `${signed(value)} now`, does: 'drop', drop: key },
          { label: `${signed(was)} before`, does: 'again' },
        ],
      } };
    }
  }
  return null;
}

function checkTension(plan, job, entry, read) {
  if (decimal.sign(read.value) <= 0) return { refuse: `${shown(read.value)} is no tension` };
  const unit = read.unit;
  if (unit === DIVISION) {
    const doubt = doubtOfDivision(plan, job, entry.characteristic, read.value);
    if (doubt) return doubt;
  }
  const doubt = unit === DIVISION ? null : unitDoubt(job, entry, read, unit);
  if (doubt) return doubt;
  const others = sideValues(job, entry).filter(([slot]) => slot !== entry.slot).map(([, v]) => v);
  if (others.length < 3) return {};
  const mean = decimal.mean(others, 6);
  const apart = decimal.abs(decimal.sub(read.value, mean));
  // more than 20 % of the side's mean: 5 x apart > mean
  if (decimal.cmp(decimal.mul(apart, decimal.make(5)), mean) > 0) {
    return { doubt: `Read again: over 20 % from its side, ${shown(decimal.roundTo(mean, 0))} ${symbol(unit)}`, near: decimal.text(decimal.divide(mean, decimal.make(20), 6)) };
  }
  return {};
}

const inside = (v) => v && decimal.cmp(v, PLAUSIBLE[0]) >= 0 && decimal.cmp(v, PLAUSIBLE[1]) <= 0;

function unitDoubt(job, entry, read, unit) {
  if (job.sure[entry.characteristic]) return null;
  if (inside(inUnit(read.value, unit, 'N'))) return null;
  const other = (entry.units ?? []).find((u) => u !== unit && u !== DIVISION && inside(inUnit(read.value, u, 'N')));
  if (!other) return null;
  if (holdsReadings(job, entry.characteristic)) {
    return { doubt: `Read again: ${shown(read.value)} ${symbol(unit)}, or ${symbol(other)}?`, near: '0' };
  }
  const as = decimal.roundTo(inUnit(read.value, other, 'N'), 0);
  return { ask: {
    text: `${shown(read.value)}: ${symbol(other)}? As N it would be ${shown(as)}`,
    options: [
      { label: `${shown(read.value)} ${symbol(other)}`, does: 'unit', unit: other, characteristic: entry.characteristic },
      { label: `${shown(read.value)} ${symbol(unit)}`, does: 'sure', unit, characteristic: entry.characteristic },
    ],
  } };
}

/** sideValues lists the readings of a side by the method in hand. */
export function sideValues(job, entry) {
  const head = keyOf(entry.characteristic, entry.method, '');
  return Object.entries(job.values).filter(([key]) => key.startsWith(head))
    .map(([key, v]) => [key.slice(head.length), valueOf(v.text)]).filter(([, v]) => v);
}

/** unitInHand is the unit of the entry in hand, for the field. */
export const unitInHand = (job, entry) => (entry ? unitOf(job, entry) : '');
