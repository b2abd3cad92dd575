// A job as it is sent, and a draft read back into a job. What is sent is the
// API's submission, field by field; a draft is the same with gaps.
import { keyOf, newJob } from './floor-job.js';
import { instrumentOf } from './floor-plan.js';
import { maskValue } from './stand-mask.js';

// A draft may have an extreme whose spoke is not read yet: the others keep theirs.
const UNREAD = -1;

/** submission builds what is sent. complete leaves out what no set may hold. */
export function submission(job, plan, shape, { complete = false } = {}) {
  const last = Math.max(0, ...Object.values(job.values).map((v) => v.at));
  const out = {
    id: job.id,
    serial: job.serial,
    stage: job.stage,
    started_at: new Date(job.startedAt).toISOString(),
    finished_at: new Date(job.startedAt + last).toISOString(),
    conditions: conditionsOf(job, shape, complete),
    sets: [],
  };
  if (job.product) out.product = job.product;
  if (job.place) out.place = job.place;
  let events = job.events;
  for (const c of plan.specification.characteristics) {
    for (const method of methodsInOrder(job, c)) {
      const set = setOf(job, plan, shape, c, method);
      const chosen = method === (job.methods[c.code] ?? c.methods[0]);
      if (complete && set.gaps && !chosen) {
        events = events.concat(leftOver(job, c, method, set)); // begun by another method: kept as it was read
      } else if (set.sent.values.length || set.sent.masks || (!complete && chosen && c.methods.length > 1)) {
        out.sets.push(set.sent);
      }
    }
  }
  const parts = partsOf(job, plan, shape);
  if (parts.length) out.parts = parts;
  if (job.corrects) {
    out.corrects = job.corrects;
    out.reason = job.reason;
  }
  if (events.length) out.events = events;
  return out;
}

/** methodsInOrder puts the chosen method first, so that a draft remembers it. */
function methodsInOrder(job, c) {
  const chosen = job.methods[c.code] ?? c.methods[0];
  return [chosen, ...c.methods.filter((m) => m !== chosen)].filter(Boolean);
}

function setOf(job, plan, shape, c, method) {
  const sent = { characteristic: c.code, method, values: [] };
  if (c.form === 'measured') {
    const instrument = instrumentOf(plan, job, c.code);
    if (instrument) sent.instrument = instrument.code;
    sent.unit = job.units[c.code] ?? c.unit;
    if (job.manners[c.code]) sent.manner = job.manners[c.code];
  }
  const index = [];
  const moments = [];
  let gaps = false;
  for (const slot of shape.slots(plan, c, method)) {
    const value = job.values[keyOf(c.code, method, slot.slot)];
    if (!value || (slot.kind === 'extreme' && value.spoke === undefined)) gaps = gaps || !slot.optional;
    if (!value) continue;
    if (value.mask) {
      (sent.masks ??= []).push({ index: slot.position, ...value.mask });
      continue;
    }
    sent.values.push(value.text);
    moments.push(value.at);
    const position = slot.kind === 'extreme' ? value.spoke ?? UNREAD : slot.position;
    if (position !== undefined && position !== null) index.push(position);
  }
  if (index.some((i) => i !== UNREAD)) sent.index = index;
  if (moments.length) sent.moments = moments;
  return { sent, gaps };
}

function leftOver(job, c, method, set) {
  return set.sent.values.map((value, i) => ({
    at: set.sent.moments[i], what: 'undone', characteristic: c.code, position: Math.max(0, set.sent.index?.[i] ?? 0), value,
  }));
}

function conditionsOf(job, shape, complete) {
  const at = (slot) => job.values[keyOf('conditions', 'whole', slot)]?.text;
  const out = {};
  if (at('rest_hours') !== undefined) out.rest_hours = at('rest_hours');
  if (at('on_charger') === 'yes') out.on_charger = true;
  else if (at('on_charger') && !complete) out.off_charger = true; // an inspection leaves both out: a draft has to know that it was answered
  if (at('load_a') !== undefined) out.load_a = at('load_a');
  const note = shape.note?.(job);
  if (note) out.note = note;
  return out;
}

function partsOf(job, plan, shape) {
  const parts = [];
  for (const part of shape.parts?.(plan) ?? []) {
    const { text: number, why } = job.values[keyOf('parts', 'number', part.place)] ?? {};
    const lot = job.values[keyOf('parts', 'lot', part.lotSlot ?? part.place)]?.text;
    if (part.known || (!number && !lot)) continue;
    // A block is named by its maker's number; its lot only where it has none.
    const sent = { role: part.role, place: part.place, ...(number ? { number, ...(why ? { reason: why } : {}) } : { lot }) };
    parts.push(sent);
  }
  return parts;
}

/** resume reads a draft back. */
export function resume(content, plan, shape, { complete = false } = {}) {
  const job = newJob({
    id: content.id, serial: content.serial, product: content.product ?? '', stage: content.stage,
    place: content.place ?? '', startedAt: Date.parse(content.started_at),
  });
  job.events = content.events ?? [];
  job.corrects = content.corrects ?? '';
  job.reason = content.reason ?? '';
  for (const set of content.sets ?? []) {
    const c = plan.specification.characteristics.find((x) => x.code === set.characteristic);
    if (!c) continue;
    job.methods[c.code] ??= set.method; // the chosen one stands first
    if (set.unit) job.units[c.code] = set.unit;
    if (set.instrument) job.instruments[c.code] = set.instrument;
    if (set.manner) job.manners[c.code] = set.manner;
    readSet(job, set, shape.slots(plan, c, set.method));
  }
  readConditions(job, content.conditions ?? {}, complete || (content.sets ?? []).some((s) => s.values?.length));
  shape.readNote?.(job, content.conditions?.note);
  // One after another, before all readings: taken back one by one.
  for (const [i, part] of (content.parts ?? []).entries()) {
    if (part.number) job.values[keyOf('parts', 'number', part.place)] = { text: part.number, at: i, ...(part.reason ? { why: part.reason } : {}) };
    const slot = shape.parts?.(plan).find((p) => p.place === part.place)?.lotSlot ?? part.place;
    if (part.lot) job.values[keyOf('parts', 'lot', slot)] = { text: part.lot, at: i };
  }
  return job;
}

function readSet(job, set, slots) {
  const masked = new Map((set.masks ?? []).map(({ index, ...why }, i) => [index, maskValue(why, i)]));
  const free = slots.filter((s) => {
    if (!masked.has(s.position)) return true;
    if (s.slot !== 'reread') job.values[keyOf(set.characteristic, set.method, s.slot)] = masked.get(s.position);
    return false;
  });
  (set.values ?? []).forEach((text, i) => {
    const position = set.index?.[i];
    const wanted = JSON.stringify(position ?? null);
    // A place without a number, as of a tick, is the only one: the office counts it as the first.
    const fits = (s) => s.kind === 'extreme' || s.position === undefined || JSON.stringify(s.position ?? null) === wanted || position === undefined;
    const place = free.findIndex(fits);
    if (place < 0) return;
    const [slot] = free.splice(place, 1);
    const value = { text, at: set.moments?.[i] ?? i };
    if (slot.kind === 'extreme' && position !== undefined && position !== UNREAD) value.spoke = position;
    job.values[keyOf(set.characteristic, set.method, slot.slot)] = value;
  });
}

/** readConditions: an inspection does not tell "not on the charger" from not asked; of what was read it was answered. */
function readConditions(job, c, begun) {
  const put = (slot, text) => { job.values[keyOf('conditions', 'whole', slot)] = { text, at: 0 }; };
  if (c.rest_hours !== undefined && c.rest_hours !== '') put('rest_hours', c.rest_hours);
  if (c.load_a !== undefined && c.load_a !== '') put('load_a', c.load_a);
  if (c.on_charger || c.off_charger || (begun && c.rest_hours)) put('on_charger', c.on_charger ? 'yes' : 'no');
}
