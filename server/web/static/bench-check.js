// Doubts about a pack's readings while they are taken. Windows are common
// practice, no source: a lead-acid cell between 1.5 and 2.7 V, a lithium cell
// between 1.5 and 4.4 V; a resistance from half the product's window to twice it.
import * as decimal from './floor-decimal.js';
import { inUnit, symbol } from './floor-units.js';
import { shown } from './floor-format.js';
import { holdsReadings } from './floor-take.js';
import { VOLTAGE, RESISTANCE, blocksOfString, PACK } from './bench-shape.js';

/** check says what speaks against a reading: {refuse}, {ask} or nothing. */
export function check({ plan, job, entry, read }) {
  if (entry.slot === 'rest_hours' && decimal.sign(read.value) < 0) return { refuse: 'A rest cannot be negative' };
  if (entry.characteristic === VOLTAGE || entry.characteristic === PACK) return doubt(job, entry, read, windowOfVoltage(plan, entry));
  if (entry.characteristic === RESISTANCE) {
    if (decimal.sign(read.value) <= 0) return { refuse: `${shown(read.value)} is no resistance` };
    if (!job.manners[RESISTANCE]) return askManner();
    return doubt(job, entry, read, windowOfResistance(plan));
  }
  return {};
}

/** windowOfVoltage is what a block, or a string of them, can plausibly show in V. */
export function windowOfVoltage(plan, entry) {
  const cells = (Number(plan.form.cells) || 6) * (entry.characteristic === PACK ? blocksOfString(plan) : 1);
  const lead = !['lifepo4', 'li_ion'].includes(plan.form.chemistry);
  return { unit: 'V', low: decimal.make(15 * cells, 1), high: decimal.make((lead ? 27 : 44) * cells, 1) };
}

function windowOfResistance(plan) {
  const low = decimal.plain(plan.form.resistance_low);
  const high = decimal.plain(plan.form.resistance_high);
  return low && high ? { unit: 'mohm', low: decimal.half(low), high: decimal.add(high, high) } : null;
}

/** askManner: the two ways of measuring are never mixed, so one that the product does not name is asked for once. */
function askManner() {
  const way = (label, small, manner) => ({ label, small, does: 'manner', characteristic: RESISTANCE, manner });
  return { ask: { text: 'How is resistance measured here?', options: [way('1 kHz a.c.', 'four wires', 'ac_1khz'), way('Two currents, d.c.', 'from the change of voltage', 'dc_two_point')] } };
}

const inside = (v, w) => v && decimal.cmp(decimal.abs(v), w.low) >= 0 && decimal.cmp(decimal.abs(v), w.high) <= 0;

/** doubt asks which unit was meant, where the number fits in another. Nothing is converted before a key is pressed. */
function doubt(job, entry, read, window) {
  if (!window || job.sure[entry.characteristic]) return {};
  if (inside(inUnit(read.value, read.unit, window.unit), window)) return {};
  const other = (entry.units ?? []).find((u) => u !== read.unit && inside(inUnit(read.value, u, window.unit), window));
  if (!other) return {};
  if (holdsReadings(job, entry.characteristic)) {
    return { doubt: `Read again: ${shown(read.value)} ${symbol(read.unit)}, or ${symbol(other)}?`, near: '0' };
  }
  const as = decimal.roundTo(inUnit(read.value, other, window.unit), 3);
  return { ask: {
    text: `${shown(read.value)}: ${symbol(other)}? It would be ${shown(as)} ${symbol(window.unit)}`,
    options: [
      { label: `${shown(read.value)} ${symbol(other)}`, does: 'unit', unit: other, characteristic: entry.characteristic },
      { label: `${shown(read.value)} ${symbol(read.unit)}`, does: 'sure', unit: read.unit, characteristic: entry.characteristic },
    ],
  } };
}
