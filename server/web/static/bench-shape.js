// What a pack asks for, in the order of the work: what its blocks are, how it is
// built and charged, rest and load, temperature, voltages, resistances, the whole
// pack, the ticked list.
import { keyOf } from './floor-job.js';
import { characteristicOf, ticksOf } from './floor-plan.js';
import { recordedRest, restOf, stepsOf } from './bench-work.js';

export const VOLTAGE = 'block_voltage';
export const RESISTANCE = 'block_resistance';
export const TEMPERATURE = 'block_temperature';
export const PACK = 'pack_voltage';
export const WHOLE = 'whole';
export const EVERY_BLOCK = 'every_block';
export const TAPS = 'taps';

export const strings = (plan) => Math.max(1, Number(plan.form.strings) || 1);
export const blocksOfString = (plan) => Math.max(1, Number(plan.form.blocks) || 1);

/** blocks lists every block as [string, place], minus to plus. */
export function blocks(plan) {
  const out = [];
  for (let s = 1; s <= strings(plan); s++) for (let p = 1; p <= blocksOfString(plan); p++) out.push([s, p]);
  return out;
}

export const placeKey = ([s, p]) => `${s}.${p}`;

/** blockName is a block in words: "block 3", with several strings "block 3 of string 2". */
export const blockName = (plan, [s, p]) => (strings(plan) > 1 ? `block ${p} of string ${s}` : `block ${p}`);

export function methodOf(plan, job, code) {
  const c = characteristicOf(plan, code);
  if (!c) return '';
  return c.methods.includes(job.methods[code]) ? job.methods[code] : c.methods.includes(WHOLE) ? WHOLE : c.methods[0] ?? EVERY_BLOCK;
}

/** slots lists what one set holds, in the order of its values. */
export function slots(plan, c, method) {
  if (c.form === 'ticked') return [{ slot: '', kind: 'tick' }];
  if (c.code === PACK) {
    const out = [];
    for (let s = 1; s <= strings(plan); s++) out.push({ slot: String(s), kind: 'reading', position: [s, 0] });
    return out;
  }
  if (method === EVERY_BLOCK) return blocks(plan).map((b) => ({ slot: placeKey(b), kind: 'reading', position: b }));
  return [{ slot: '', kind: 'reading' }];
}

/** parts lists the blocks with what is known of each already. */
export function parts(plan) {
  return blocks(plan).map((b) => {
    const known = plan.parts.find((p) => p.role === 'block' && p.place === placeKey(b));
    return { role: 'block', place: placeKey(b), lotSlot: 'all', known: Boolean(known), number: known?.number ?? '', id: known?.item_id ?? '', lot: known?.lot ?? '' };
  });
}

/** partOf is what is known or was scanned of one block. */
export function partOf(plan, job, block) {
  const part = parts(plan).find((p) => p.place === placeKey(block));
  return {
    id: part.id,
    number: part.number || job.values[keyOf('parts', 'number', part.place)]?.text || '',
    lot: part.lot || job.values[keyOf('parts', 'lot', 'all')]?.text || '',
  };
}

const groupOf = { [TEMPERATURE]: 'gate', [VOLTAGE]: 'voltage', [RESISTANCE]: 'resistance', [PACK]: 'pack' };

/** groups are the rows of the list of sets. */
export function groups(plan) {
  const there = new Set(plan.specification.characteristics.map((c) => (c.form === 'ticked' ? 'ticks' : groupOf[c.code])));
  const names = { blocks: 'Blocks', build: 'Building', charge: 'Charge', gate: 'Rest and load', voltage: 'Voltage', resistance: 'Resistance', pack: 'Whole pack', ticks: 'Ticked list' };
  return Object.entries(names).filter(([key]) => key === 'blocks' || key === 'gate' || (plan.build && (key === 'build' || key === 'charge')) || there.has(key)).map(([key, name]) => ({ key, name }));
}

function entriesOf(plan, code, method) {
  const c = characteristicOf(plan, code);
  if (!c) return [];
  return slots(plan, c, method).map((s) => ({
    ...s, key: keyOf(code, method, s.slot), characteristic: code, method, group: groupOf[code] ?? 'ticks',
    unit: c.unit, units: c.units, hundredths: c.hundredths,
  }));
}

/** conditionEntries ask what must be known before a voltage counts. */
function conditionEntries() {
  const say = (slot, kind, unit) => ({ key: keyOf('conditions', WHOLE, slot), characteristic: 'conditions', method: WHOLE, slot, kind, unit, units: unit ? [unit] : [], group: 'gate', local: true });
  return [say('rest_hours', 'reading', 'h'), say('on_charger', 'choice', ''), say('load_a', 'reading', 'A')];
}

/** partEntries ask for the maker's number of each block that is not known yet; Take alone leaves one unknown. */
function partEntries(plan) {
  const open = parts(plan).filter((p) => !p.known);
  const entry = (method, slot, position, field) => ({ key: keyOf('parts', method, slot), characteristic: 'parts', method, slot, position, kind: 'text', optional: true, group: 'blocks', local: true, field });
  const numbers = open.map((p) => entry('number', p.place, p.place.split('.').map(Number), 'Maker’s number'));
  return numbers.length ? [...numbers, entry('lot', 'all', null, 'Lot')] : [];
}

/** workEntries are the building steps and the charge. They stand on record and not in the job, and never hold a reading up. */
function workEntries(plan) {
  if (!plan.build) return [];
  const entry = (group, slot, kind, done) => ({ key: keyOf(group, WHOLE, slot), characteristic: group, method: WHOLE, slot, kind, group, optional: true, local: true, done });
  return [...plan.build.steps.map((s) => entry('build', s.code, 'step', s.done)), entry('charge', '', 'charge', Boolean(plan.build.charge?.ended_at))];
}

/** tapEntries ask for the taps of a string whose order is in doubt: from pack minus to behind each block. */
function tapEntries(plan, job) {
  if (!job?.taps) return [];
  return blocks(plan).filter(([s]) => s === job.taps).map((b) => ({ key: keyOf(TAPS, WHOLE, placeKey(b)), characteristic: TAPS, method: WHOLE, slot: placeKey(b), position: b, kind: 'reading', unit: 'V', units: ['V', 'mV'], group: TAPS, optional: true, local: true }));
}

/** entries lists what is asked for now, in order. */
export function entries(plan, job) {
  const of = (code) => entriesOf(plan, code, methodOf(plan, job, code));
  return [...partEntries(plan), ...workEntries(plan), ...conditionEntries(), ...tapEntries(plan, job), ...of(TEMPERATURE), ...of(VOLTAGE), ...of(RESISTANCE), ...of(PACK),
    ...ticksOf(plan).flatMap((c) => entriesOf(plan, c.code, WHOLE))];
}

/** allEntries lists what may hold a value by any method, for undo. */
export function allEntries(plan, job) {
  return [...partEntries(plan), ...conditionEntries(), ...tapEntries(plan, job), ...plan.specification.characteristics.flatMap((c) => (c.form === 'ticked' ? [WHOLE] : c.methods).flatMap((m) => entriesOf(plan, c.code, m)))];
}

/** given fills in what the product says: how resistance is measured, and where to begin. */
export function given(plan, job) {
  const manners = { ...job.manners };
  if (plan.form.resistance_method) manners[RESISTANCE] ??= plan.form.resistance_method;
  const first = partEntries(plan)[0];
  const begin = first && !Object.keys(job.values).length ? first.key : job.at ?? onward(plan, job);
  return { ...job, manners, at: begin };
}

/**
 * onward is where the work goes on while nothing was read: off a charger that it
 * is on; then the first building step that is open, then the charge until it is
 * over and rested. null: to the readings, as with a pack that was read before.
 */
export function onward(plan, job, now = Date.now()) {
  if (!plan.build || Object.keys(job.values).some((key) => !key.startsWith('parts/'))) return null;
  const charge = keyOf('charge', WHOLE, '');
  const { state } = restOf(plan.build, now);
  if (state === 'charging') return charge;
  if (plan.standing.length) return null;
  const { next } = stepsOf(plan.build);
  if (next) return keyOf('build', WHOLE, next.code);
  return state === 'rested' ? null : charge;
}

/** byRecord is what Enter alone takes for an entry: the rest since the recorded end of the charge. */
export function byRecord(plan, entry, now) {
  return entry.slot === 'rest_hours' ? recordedRest(plan.build, now) || undefined : undefined;
}

/** shape is what floor-job and floor-submission need to know of a pack. */
export const shape = {
  kind: 'pack', slots, groups, entries, allEntries, parts, given, onward, byRecord, spokes: () => 0,
  sameUnit: (code) => [code],
};

