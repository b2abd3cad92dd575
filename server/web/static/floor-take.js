// Taking what was typed: read it, doubt it, put it, go on. One function for
// every page where readings are taken; the kind of item adds its own doubts.
import * as decimal from './floor-decimal.js';
import { readTyped, readSpoke, outsideRange } from './floor-reading.js';
import { inUnit, symbol } from './floor-units.js';
import { shown } from './floor-format.js';
import { instrumentOf } from './floor-plan.js';
import * as work from './floor-job.js';

/** unitOf is the unit a characteristic is read in now. */
export const unitOf = (job, entry) => job.units[entry.characteristic] ?? entry.unit ?? '';

/** readEntry reads what is typed for an entry, as take would take it. */
export function readEntry(job, entry, typed, { gauge = false } = {}) {
  // Hundredths are a person's shorthand; a gauge's value is taken as it stands.
  return readTyped(typed, { unit: unitOf(job, entry), units: entry.units ?? [], hundredths: entry.hundredths && !gauge });
}

/** holdsReadings says whether a characteristic has readings already. */
export const holdsReadings = (job, characteristic) => Object.keys(job.values).some((key) => key.startsWith(characteristic + '/'));

/** useUnit reads a characteristic in a unit, and with it those read with the same gauge, as far as they are empty. */
export function useUnit(shape, job, characteristic, unit) {
  const others = (shape.sameUnit?.(characteristic) ?? []).filter((c) => !holdsReadings(job, c));
  return [characteristic, ...others].reduce((j, c) => work.setUnit(j, c, unit), job);
}

/**
 * take takes what is typed for the entry in hand. The answer is the new job and
 * what to say: {job, said: {kind, entry, text, value, unit, reason}}; kind is
 * taken, staged (an extreme, its spoke next), refused, doubt, ask or nothing.
 */
export function take(context, typed, now, { gauge = false, by = gauge ? 'gauge' : 'hand' } = {}) {
  const { plan, shape } = context;
  let { job } = context;
  const entries = shape.entries(plan, job);
  const entry = work.current(job, entries);
  if (!entry) return { job, said: { kind: 'nothing' } };
  if (work.awaitsSpoke(job, entry)) return takeSpoke(job, entries, entry, typed, shape.spokes(plan), now);
  if (entry.kind === 'text') return takeText(context, entries, entry, typed, now);

  const read = readEntry(job, entry, typed, { gauge: by === 'gauge' });
  if (!read.ok) return refused(job, entry, typed, read.reason, now);
  if (by === 'unsure' && read.hundredths) return askWhose(job, entry, typed.trim(), read);
  if (read.unit !== unitOf(job, entry)) {
    if (holdsReadings(job, entry.characteristic)) {
      return refused(job, entry, typed, `This set is read in ${symbol(unitOf(job, entry))}`, now);
    }
    job = useUnit(shape, job, entry.characteristic, read.unit);
  }
  return takeRead({ plan, shape, job }, entries, entry, read, now);
}

/** askWhose: whole digits, and nobody knows whether a person meant hundredths or a gauge typed them. */
function askWhose(job, entry, typed, read) {
  const options = [{ label: withUnit(read.value, read.unit), does: 'hand' }, { label: withUnit(readEntry(job, entry, typed, { gauge: true }).value, read.unit), does: 'stands' }];
  const text = `${typed}: typed by hand in hundredths, or by the gauge?`;
  return { job: { ...job, ask: { text, options, key: entry.key, typed } }, said: { kind: 'ask', entry, text: typed, value: read.value, unit: read.unit, reason: text } };
}

/** orNeither: a digit that was left out fits another unit too, and then neither answer is right. */
const orNeither = (ask) => (ask.options.some((o) => o.does === 'unit') ? { ...ask, options: [...ask.options, { label: 'Neither', small: 'read or type it again', does: 'again' }] } : ask);

/** takeRead takes a reading that is a number in its unit; asked says that its question was answered. */
export function takeRead({ plan, shape, job }, entries, entry, read, now, { asked = false } = {}) {
  const check = shape.check?.({ plan, job, entry, read, entries, now }) ?? {};
  if (check.ask && !asked) {
    return { job: { ...job, ask: { ...orNeither(check.ask), key: entry.key, typed: read.text } }, said: { kind: 'ask', entry, text: read.text, value: read.value, unit: read.unit, reason: check.ask.text } };
  }
  const instrument = instrumentOf(plan, job, entry.characteristic);
  const far = outsideRange(read.value, instrument, (v, unit) => inUnit(v, read.unit, unit));
  const reason = far || check.refuse;
  if (reason) return refused(job, entry, read.text, reason, now);
  if (check.doubt && !secondLike(job, entry, read)) {
    const next = { ...work.refuse(job, entry, read.text, now), doubt: { key: entry.key, text: read.text, near: check.near } };
    return { job: next, said: { kind: 'doubt', entry, text: read.text, value: read.value, unit: read.unit, reason: check.doubt } };
  }
  return accept(job, entries, entry, read, now);
}

/** accept puts a reading that nothing speaks against. */
function accept(job, entries, entry, read, now) {
  let next = work.put(job, entry, read.text, now);
  const said = { kind: 'taken', entry, text: read.text, value: read.value, unit: read.unit };
  if (entry.kind === 'extreme') {
    return { job: { ...next, at: entry.key }, said: { ...said, kind: 'staged' } };
  }
  next = { ...next, at: work.after(next, entries, entry) };
  return { job: next, said };
}

/** secondLike: a doubtful reading is believed when it is read again much the same. */
function secondLike(job, entry, read) {
  if (job.doubt?.key !== entry.key) return false;
  const first = readTyped(job.doubt.text, { unit: read.unit });
  const near = decimal.plain(job.doubt.near ?? '0');
  return first.ok && decimal.cmp(decimal.abs(decimal.sub(first.value, read.value)), near) <= 0;
}

function takeSpoke(job, entries, entry, typed, spokes, now) {
  const read = readSpoke(typed, spokes);
  if (!read.ok) return { job, said: read.reason ? { kind: 'refused', entry, text: typed.trim(), reason: read.reason } : { kind: 'nothing' } };
  const next = work.putSpoke(job, entry, read.index, now);
  const value = job.values[entry.key];
  return {
    job: { ...next, at: work.after(next, entries, entry) },
    said: { kind: 'taken', entry, text: value.text, value: readTyped(value.text).value, unit: unitOf(job, entry), spoke: read.index },
  };
}

function takeText({ plan, shape, job }, entries, entry, typed, now) {
  const text = typed.trim();
  if (text === '' && !entry.optional) return { job, said: { kind: 'nothing' } };
  const against = shape.checkText?.({ plan, job, entry, text });
  if (against) return refused(job, entry, typed, against, now);
  const next = work.put(job, entry, text, now);
  return { job: { ...next, at: work.after(next, entries, entry) ?? shape.onward?.(plan, next) ?? null }, said: { kind: 'taken', entry, text: text || 'not known' } };
}

function refused(job, entry, typed, reason, now) {
  if (!reason) return { job, said: { kind: 'nothing' } };
  const text = typed.trim().slice(0, 40);
  return { job: work.refuse({ ...job, ask: null }, entry, text, now), said: { kind: 'refused', entry, text, reason } };
}

/** answer answers a tick or a choice in hand and goes on. */
export function answer(context, entry, text, now) {
  const { plan, shape, job } = context;
  const entries = shape.entries(plan, job);
  const next = work.put(job, entry, text, now);
  return { job: { ...next, at: work.after(next, entries, entry) }, said: { kind: 'taken', entry, text } };
}

/** withUnit writes a value with its unit. */
export const withUnit = (value, unit) => `${shown(value)} ${symbol(unit)}`.trim();
