// One inspection in the making: which entries it asks for, which are answered,
// what comes next, and undo. Every change gives a new job; nothing here knows
// of pages or of the kind of item.
//
// A kind of item is a shape: {slots, groups, methods, check} (stand-shape.js,
// bench-shape.js). An entry is one question: {key, characteristic, method,
// slot, position, kind, group}; local: what is said of the whole, no reading.
// Kinds of entry: reading, extreme (a value, then its spoke), tick, choice, text,
// step and charge (work that stands on record: done says whether it does).

/** keyOf names an entry: lateral_runout/every_hole/17. */
export const keyOf = (characteristic, method, slot) => `${characteristic}/${method}/${slot}`;

/** newJob begins an inspection. Times are milliseconds. */
export function newJob({ id, serial, product = '', stage, place = '', startedAt, methods = {} }) {
  return {
    id, serial, product, stage, place, startedAt, methods,
    units: {}, instruments: {}, manners: {},
    values: {}, // key -> {text, at, spoke?}
    events: [], // undone and refused entries, as they are sent
    at: null, // the entry gone to; null: the first open one
    doubt: null, // {key, text, reason}: asked to be read again
    ask: null, // a question between two readings: {key, text, options}
    sure: {}, // characteristic -> a doubt about its unit was settled
    corrects: '', reason: '',
  };
}

/** answered says whether an entry needs nothing more. */
export function answered(job, entry) {
  if (entry.done !== undefined) return entry.done; // a step of the work: it stands on record, not in the job
  const value = job.values[entry.key];
  return Boolean(value) && (entry.kind !== 'extreme' || value.spoke !== undefined);
}

/** awaitsSpoke says whether an extreme's value is there and its spoke is next. */
export const awaitsSpoke = (job, entry) =>
  entry?.kind === 'extreme' && Boolean(job.values[entry.key]) && job.values[entry.key].spoke === undefined;

/** open lists the entries still to be answered. */
export const open = (job, entries) => entries.filter((e) => !e.optional && !answered(job, e));

/** current is the entry in hand; null when everything is answered. */
export function current(job, entries) {
  const gone = entries.find((e) => e.key === job.at);
  if (gone) return gone;
  const staged = entries.find((e) => awaitsSpoke(job, e));
  return staged ?? entries.find((e) => !answered(job, e) && !e.optional) ?? null;
}

/** after is where to go on: the same group first, then the first open entry. */
export function after(job, entries, entry) {
  const place = entries.findIndex((e) => e.key === entry.key);
  const rest = entries.slice(place + 1).concat(entries.slice(0, place));
  const next = rest.find((e) => e.group === entry.group && !answered(job, e) && !(e.optional && job.values[e.key]));
  return next?.key ?? null;
}

/** moment is the next time stamp of the job, later than every one before. */
export function moment(job, now) {
  const last = Math.max(-1, ...Object.values(job.values).map((v) => v.at));
  return Math.max(now - job.startedAt, last + 1);
}

/** eventOf writes an undone or refused entry as it is sent. */
export function eventOf(job, entry, value, what, now) {
  const position = value.spoke ?? entry.position ?? 0;
  return {
    at: Math.max(0, now - job.startedAt), what,
    characteristic: entry.characteristic, position, value: value.text,
  };
}

/** put answers an entry; an answer it replaces is kept as an event. */
export function put(job, entry, text, now) {
  const before = job.values[entry.key];
  const events = before && !entry.local ? [...job.events, eventOf(job, entry, before, 'undone', now)] : job.events;
  return { ...job, events, doubt: null, ask: null, values: { ...job.values, [entry.key]: { text, at: moment(job, now) } } };
}

/** putSpoke says where an extreme was read. */
export function putSpoke(job, entry, spoke, now) {
  const value = { ...job.values[entry.key], spoke, at: moment(job, now) };
  return { ...job, values: { ...job.values, [entry.key]: value } };
}

/** refuse keeps what was refused as an event; the entry stays open. */
export function refuse(job, entry, text, now) {
  if (entry.local) return job;
  return { ...job, events: [...job.events, eventOf(job, entry, { text }, 'refused', now)] };
}

/**
 * untouched says that no point of the ticked list is answered yet. Then one press takes
 * the whole list; once points are answered one by one, Enter after one of them is a habit
 * of the hand and answers no other, which nobody looked at.
 */
export const untouched = (job, entries) => !entries.some((e) => e.kind === 'tick' && answered(job, e));

/** answerRest answers several entries in one press: they share their moment. */
export function answerRest(job, entries, text, now) {
  const at = moment(job, now);
  const values = { ...job.values };
  for (const e of entries) if (!values[e.key]) values[e.key] = { text, at };
  return { ...job, values, at: null };
}

/** lastAnswers lists the entries that undo would take back, newest moment. */
export function lastAnswers(job, allEntries) {
  const there = allEntries.filter((e) => job.values[e.key] && !job.values[e.key].given);
  const newest = Math.max(-1, ...there.map((e) => job.values[e.key].at));
  return there.filter((e) => job.values[e.key].at === newest);
}

/** undo takes back the last answer, or all of one press, and goes there. */
export function undo(job, allEntries, now) {
  const last = lastAnswers(job, allEntries);
  if (job.doubt || job.ask) return { job: { ...job, doubt: null, ask: null }, undone: [] };
  if (!last.length) return { job, undone: [] };
  const values = { ...job.values };
  const events = [...job.events];
  for (const e of last) {
    if (!e.local) events.push(eventOf(job, e, values[e.key], 'undone', now));
    delete values[e.key];
  }
  const undone = last.map((e) => ({ entry: e, value: job.values[e.key] }));
  return { job: { ...job, values, events, at: last[0].key }, undone };
}

/** goTo takes an entry in hand, answered or not. */
export const goTo = (job, key) => ({ ...job, at: key, doubt: null, ask: null });

/** switchMethods changes how characteristics are read and keeps every value. */
export const switchMethods = (job, methods) => ({ ...job, methods: { ...job.methods, ...methods }, at: null, doubt: null, ask: null });

/** setUnit says in which unit a characteristic is read. */
export const setUnit = (job, characteristic, unit) => ({ ...job, units: { ...job.units, [characteristic]: unit } });

/** setInstrument says with which instrument. */
export const setInstrument = (job, characteristic, code) => ({ ...job, instruments: { ...job.instruments, [characteristic]: code } });
