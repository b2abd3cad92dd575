// What a wheel asks for: which entries, in which order, by which method. The
// order is that of the work: run-out, dish, tension, ticked list.
import { keyOf } from './floor-job.js';
import { characteristicOf, ticksOf } from './floor-plan.js';
import { unitsFor } from './stand-table.js';

export const LATERAL = 'lateral_runout';
export const RADIAL = 'radial_runout';
export const DISH = 'dish';
export const TENSION_A = 'tension_a';
export const TENSION_B = 'tension_b';
export const EXTREMES = 'extremes';
export const EVERY_HOLE = 'every_hole';
export const SAMPLE = 'sample';
export const WHOLE = 'whole';

const runOuts = [LATERAL, RADIAL];
const tensions = [TENSION_A, TENSION_B];

/** holes is the count of spokes of the wheel. */
export const holes = (plan) => Number(plan.form.holes) || 36;

/** sideOf says on which flange a spoke sits: even index A, odd index B. */
export const sideOf = (index) => (index % 2 === 0 ? 'A' : 'B');

/** sideMark is the physical mark of a side: "cable side". */
export const sideMark = (plan, side) => (side === 'A' ? plan.form.side_a : plan.form.side_b) || '';

/** leans says which way a spoke leans; on each flange every second one leans ahead. */
export function leans(plan, index) {
  if (!Number(plan.form.crossing)) return 'runs straight out';
  return Math.floor(index / 2) % 2 === 0 ? 'leans ahead' : 'leans back';
}

/** methodOf is how a characteristic is read now. */
export function methodOf(plan, job, code) {
  const c = characteristicOf(plan, code);
  if (!c) return '';
  const chosen = job.methods[code];
  return c.methods.includes(chosen) ? chosen : quickMethod(c);
}

const quickMethod = (c) => c.methods.find((m) => m === EXTREMES || m === SAMPLE) ?? c.methods[0] ?? WHOLE;

/** methodsFor gives the methods of a quick wheel, or of one read at every hole. */
export function methodsFor(plan, every) {
  const out = {};
  for (const code of [...runOuts, ...tensions]) {
    const c = characteristicOf(plan, code);
    if (!c) continue;
    out[code] = every && c.methods.includes(EVERY_HOLE) ? EVERY_HOLE : quickMethod(c);
  }
  return out;
}

/** byEveryHole says whether any characteristic is read at every hole now. */
export const byEveryHole = (plan, job) => [...runOuts, ...tensions].some((c) => methodOf(plan, job, c) === EVERY_HOLE);

/** canSwitch says whether the specification lets the wheel be read either way. */
export const canSwitch = (plan) =>
  plan.specification.characteristics.some((c) => c.methods.includes(EVERY_HOLE) && c.methods.length > 1);

const range = (first, end, step) => {
  const out = [];
  for (let j = first; j < end; j += step) out.push(j);
  return out;
};

/**
 * slots lists what one set holds, in the order of its values. After the last
 * hole of a run-out, the first is read once more: the wheel must not have moved.
 */
export function slots(plan, c, method) {
  const n = holes(plan);
  if (c.form === 'ticked') return [{ slot: '', kind: 'tick' }];
  if (method === EXTREMES) return [{ slot: 'highest', kind: 'extreme' }, { slot: 'lowest', kind: 'extreme' }];
  if (c.code === DISH) {
    const two = !['face', 'frame_gauge'].includes(plan.form.dish_reference);
    return range(0, two ? 2 : 1, 1).map((i) => ({ slot: String(i), kind: 'reading', position: i }));
  }
  if (method === SAMPLE) return c.sample.map((i) => ({ slot: String(i), kind: 'reading', position: i }));
  if (tensions.includes(c.code)) {
    return range(c.code === TENSION_A ? 0 : 1, n, 2).map((i) => ({ slot: String(i), kind: 'reading', position: i }));
  }
  if (runOuts.includes(c.code)) {
    return [...range(0, n, 1).map((i) => ({ slot: String(i), kind: 'reading', position: i })),
      { slot: 'reread', kind: 'reading', position: 0 }];
  }
  return [{ slot: '', kind: 'reading' }];
}

const groupOf = { [LATERAL]: 'lateral', [RADIAL]: 'radial', [DISH]: 'dish', [TENSION_A]: 'tension', [TENSION_B]: 'tension' };

/** groups are the rows of the list of sets, in the order of the work. */
export function groups(plan) {
  const names = { lateral: 'Lateral', radial: 'Radial', dish: 'Dish', tension: 'Tension', ticks: 'Ticked list' };
  const there = new Set(plan.specification.characteristics.map((c) => (c.form === 'ticked' ? 'ticks' : groupOf[c.code])));
  return Object.entries(names).filter(([key]) => there.has(key)).map(([key, name]) => ({ key, name }));
}

function entriesOf(plan, code, method) {
  const c = characteristicOf(plan, code);
  if (!c) return [];
  return slots(plan, c, method).map((s) => ({
    ...s, key: keyOf(code, method, s.slot), characteristic: code, method,
    group: groupOf[code] ?? 'ticks', unit: c.unit, units: unitsFor(plan, c), hundredths: c.hundredths,
  }));
}

/** entries lists what is asked for now, in order. */
export function entries(plan, job) {
  const of = (code) => entriesOf(plan, code, methodOf(plan, job, code)).filter((e) => e.slot !== 'reread' || !job.values[keyOf(code, e.method, '0')]?.mask);
  const out = [...of(LATERAL), ...of(RADIAL), ...of(DISH)];
  const tension = [...of(TENSION_A), ...of(TENSION_B)];
  if (tension.some((e) => e.method === EVERY_HOLE)) tension.sort((a, b) => a.position - b.position);
  return [...out, ...tension, ...ticksOf(plan).flatMap((c) => entriesOf(plan, c.code, WHOLE))];
}

/** allEntries lists what may hold a value by any method, for undo. */
export function allEntries(plan) {
  return plan.specification.characteristics.flatMap((c) => {
    const methods = c.form === 'ticked' ? [WHOLE] : c.methods;
    return methods.flatMap((m) => entriesOf(plan, c.code, m));
  });
}

/** shape is what floor-job and floor-submission need to know of a wheel. */
export const shape = {
  kind: 'wheel', slots, groups, entries, allEntries, spokes: holes,
  // Both sides are read with one gauge in one unit, as long as the other holds no readings.
  sameUnit: (code) => (tensions.includes(code) ? tensions : [code]),
};
