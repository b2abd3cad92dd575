// Doubts about a pack's readings while they are taken. Windows are common
// practice, no source: a lead-acid cell between 1.5 and 2.7 V, a lithium cell
// between 1.5 and 4.4 V; a resistance from half the product's window to twice it;
// a workshop between -20 and 45 degrees. A negative voltage is kept with its sign
// and judged: it says that something is reversed.
import * as decimal from './floor-decimal.js';
import { inUnit, symbol } from './floor-units.js';
import { moment, shown } from './floor-format.js';
import { holdsReadings } from './floor-take.js';
import { noBlock } from './floor-serial.js';
import { VOLTAGE, RESISTANCE, TEMPERATURE, PACK, blocks, blocksOfString, blockName, partOf, placeKey } from './bench-shape.js';
import { contradicts, recordedRest, restOf } from './bench-work.js';

/** check says what speaks against a reading: {refuse}, {ask} or nothing. */
export function check({ plan, job, entry, read, now }) {
  if (entry.slot === 'rest_hours') return rest(plan, read, now);
  if (entry.characteristic === TEMPERATURE) return warmth(job, read);
  if (entry.characteristic === VOLTAGE || entry.characteristic === PACK) return charging(plan, job, read, now) ?? doubt(job, entry, read, windowOfVoltage(plan, entry));
  if (entry.characteristic === RESISTANCE) {
    if (decimal.sign(read.value) <= 0) return { refuse: `${shown(read.value)} is no resistance` };
    if (!job.manners[RESISTANCE]) return askManner();
    return doubt(job, entry, read, windowOfResistance(plan));
  }
  return {};
}

const MANNERS = { ac_1khz: '1 kHz a.c.', dc_two_point: 'Two currents, d.c.' };

/** ways are the other ways of measuring resistance. The two are never mixed in one set: they differ by half and more. */
export function ways(job, entry) {
  const now = job.manners[RESISTANCE];
  if (entry.characteristic !== RESISTANCE || !now) return [];
  const refuse = holdsReadings(job, RESISTANCE) ? `This set is read by ${MANNERS[now]}; take its readings back before another method` : '';
  return Object.entries(MANNERS).filter(([manner]) => manner !== now).map(([manner, label]) => ({ label, small: refuse ? 'not in one set with the readings there' : `instead of ${MANNERS[now]}`, refuse, job: { ...job, manners: { ...job.manners, [RESISTANCE]: manner } } }));
}

/** checkText says what speaks against a block's number: one block has one place. */
export function checkText({ plan, job, entry, text }) {
  if (entry.characteristic !== 'parts' || entry.method !== 'number' || !text) return '';
  const against = noBlock(text);
  if (against) return against;
  const other = blocks(plan).find((b) => placeKey(b) !== entry.slot && partOf(plan, job, b).number.toLowerCase() === text.toLowerCase());
  return other ? `${text} is ${blockName(plan, other)} already` : '';
}

/** rest: a typed rest that the recorded charge contradicts asks which is right; neither is changed by itself. */
function rest(plan, read, now) {
  if (decimal.sign(read.value) < 0) return { refuse: 'A rest cannot be negative' };
  if (!plan.build || !contradicts(plan.build, read.value, now)) return {};
  const recorded = recordedRest(plan.build, now);
  return { ask: {
    text: `Rested ${shown(read.value)} h? Its charge ended ${moment(restOf(plan.build, now).since, now)}, ${recorded} h ago`,
    options: [{ label: `${recorded} h`, small: 'by the record', does: 'instead', text: recorded }, { label: `${shown(read.value)} h`, small: 'kept, judged by the shorter', does: 'typed' }],
  } };
}

/** charging refuses a voltage that is read on the charger: it is the charger's, not the block's. */
function charging(plan, job, read, now) {
  const said = job.values['conditions/whole/on_charger']?.text;
  const byRecord = restOf(plan.build, now);
  if (said === 'yes') return { refuse: `${shown(read.value)} ${symbol(read.unit)} on the charger: take it off and let it rest` };
  if (!said && byRecord.state === 'charging') return { refuse: `${shown(read.value)} ${symbol(read.unit)} on ${byRecord.charger || 'the charger'} by the record: end the charge, or say that it is off` };
  return null;
}

const COLDEST = decimal.make(-20);
const WARMEST = decimal.make(45);

/** warmth: a number that is no workshop's in degrees Celsius, and one in Fahrenheit, is asked about. */
function warmth(job, read) {
  const fits = (t) => decimal.cmp(t, COLDEST) >= 0 && decimal.cmp(t, WARMEST) <= 0;
  if (read.unit !== 'degC' || job.sure[TEMPERATURE] || fits(read.value)) return {};
  const celsius = decimal.divide(decimal.mul(decimal.sub(read.value, decimal.make(32)), decimal.make(5)), decimal.make(9), 1);
  if (!fits(celsius)) return { refuse: `${shown(read.value)} °C is no temperature of a workshop` };
  return { ask: {
    text: `${shown(read.value)}: °F? It would be ${shown(celsius)} °C`,
    options: [{ label: `${shown(read.value)} °F`, small: `taken as ${shown(celsius)} °C`, does: 'instead', text: decimal.text(celsius) }, { label: `${shown(read.value)} °C`, small: 'as typed', does: 'sure', unit: 'degC', characteristic: TEMPERATURE }],
  } };
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
  return { ask: { text: 'How is resistance measured here?', options: [way(MANNERS.ac_1khz, 'four wires', 'ac_1khz'), way(MANNERS.dc_two_point, 'from the change of voltage', 'dc_two_point')] } };
}

const inside = (v, w) => v && decimal.cmp(decimal.abs(v), w.low) >= 0 && decimal.cmp(decimal.abs(v), w.high) <= 0;

/** doubt asks which unit was meant, where the number fits in another. Nothing is converted before a key is pressed. */
function doubt(job, entry, read, window) {
  if (!window || job.sure[entry.characteristic]) return {};
  if (inside(inUnit(read.value, read.unit, window.unit), window)) return {};
  const other = (entry.units ?? []).find((u) => u !== read.unit && inside(inUnit(read.value, u, window.unit), window));
  // A pack may show anything where a block is reversed. A voltage far from every block is read again, and a resistance: it may be so where a terminal is bad.
  if (!other) return entry.characteristic === PACK ? {} : { doubt: `Read again: ${shown(read.value)} ${symbol(read.unit)} is far from ${shown(window.low)} to ${shown(window.high)} ${symbol(window.unit)}`, near: entry.characteristic === VOLTAGE ? '0.02' : decimal.text(decimal.divide(read.value, decimal.make(20), 6)) };
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
