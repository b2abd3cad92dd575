// What the office refused, brought back to the entries it is about. A problem
// names its field: "sets[0].values[3]", "conditions.rest_hours", "parts[2].number",
// "serial".
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

/** joined are several messages as one line: each but the last without its full stop. */
export const joined = (messages) => messages.map((m, i) => (i < messages.length - 1 ? m.replace(/\.$/, '') : m)).join('; ');

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
  const part = /^parts\[(\d+)\]/.exec(field);
  if (part) return partOf(sent.parts?.[Number(part[1])], plan, shape);
  const condition = /^conditions\.(\w+)/.exec(field);
  if (condition) return { key: keyOf('conditions', 'whole', condition[1]), text: String(sent.conditions?.[condition[1]] ?? '') };
  return null;
}

/** partOf is where a part was named; null where the page does not ask for it. */
function partOf(part, plan, shape) {
  if (!part) return null;
  const slot = part.number ? part.place : shape.parts?.(plan).find((p) => p.place === part.place)?.lotSlot ?? part.place;
  const key = keyOf('parts', part.number ? 'number' : 'lot', slot);
  return shape.allEntries?.(plan).some((e) => e.key === key) ? { key, text: part.number ?? part.lot } : null;
}
