// What the office refused, brought back to the entries it is about. A problem
// names its field: "sets[0].values[3]", "conditions.rest_hours", "serial".
import { keyOf } from './floor-job.js';

/** placed sorts problems: {entries: [{key, text, message}], others: [message]}. */
export function placed(errors, sent, plan, shape) {
  const out = { entries: [], others: [] };
  for (const e of errors) {
    const key = keyOfField(e.field ?? '', sent, plan, shape);
    const message = e.message || e.code || 'refused';
    if (key) out.entries.push({ key: key.key, text: key.text, message });
    else out.others.push(e.field ? `${message} (${e.field})` : message);
  }
  return out;
}

function keyOfField(field, sent, plan, shape) {
  const set = /^sets\[(\d+)\](?:\.(values|index|unit|instrument|method|manner)(?:\[(\d+)\])?)?/.exec(field);
  if (set) {
    const one = sent.sets[Number(set[1])];
    const c = one && plan.specification.characteristics.find((x) => x.code === one.characteristic);
    if (!c) return null;
    const slots = shape.slots(plan, c, one.method);
    const place = set[3] === undefined ? 0 : Number(set[3]);
    const slot = slots.find((s) => s.kind !== 'extreme' && one.index && JSON.stringify(s.position ?? null) === JSON.stringify(one.index[place] ?? null) && (s.slot !== 'reread' || place >= slots.length - 1)) ?? slots[place];
    return slot ? { key: keyOf(one.characteristic, one.method, slot.slot), text: one.values[place] ?? '' } : null;
  }
  const condition = /^conditions\.(\w+)/.exec(field);
  if (condition) return { key: keyOf('conditions', 'whole', condition[1]), text: String(sent.conditions?.[condition[1]] ?? '') };
  return null;
}
