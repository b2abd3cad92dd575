// A question between two readings, answered: two keys of equal weight, and
// nothing is changed before one is pressed.
import * as work from './floor-job.js';
import { readEntry, takeRead, useUnit } from './floor-take.js';

/** resolve answers the question in hand by its option. */
export function resolve(context, option, now) {
  const { plan, shape } = context;
  let { job } = context;
  const entries = shape.entries(plan, job);
  const entry = entries.find((e) => e.key === job.ask.key);
  const typed = job.ask.typed;
  job = { ...job, ask: null };
  if (option.does === 'again') {
    return { job: work.refuse(job, entry, typed, now), said: { kind: 'refused', entry, text: typed, reason: 'Read it again' } };
  }
  if (option.does === 'drop') {
    const dropped = shape.allEntries(plan).find((e) => e.key === option.drop);
    const values = { ...job.values };
    const events = [...job.events, work.eventOf(job, dropped, values[option.drop], 'undone', now)];
    delete values[option.drop];
    job = { ...job, values, events };
  }
  if (option.does === 'unit' || option.does === 'sure') {
    job = useUnit(shape, job, option.characteristic, option.unit);
    for (const c of shape.sameUnit?.(option.characteristic) ?? [option.characteristic]) {
      job = { ...job, sure: { ...job.sure, [c]: true } };
    }
  }
  if (option.does === 'instead') { // another figure than the typed one, which stays as an event
    job = work.refuse(job, entry, typed, now);
    return takeRead({ plan, shape, job }, entries, entry, readEntry(job, entry, option.text), now, { asked: true });
  }
  const read = readEntry(job, entry, typed, { gauge: option.does === 'stands' });
  if (option.does === 'hand' || option.does === 'stands') return takeRead({ plan, shape, job }, entries, entry, read, now); // other doubts may follow
  if (option.does === 'manner') {
    job = { ...job, manners: { ...job.manners, [option.characteristic]: option.manner } };
    return takeRead({ plan, shape, job }, entries, entry, read, now); // other doubts may follow
  }
  return takeRead({ plan, shape, job }, entries, entry, read, now, { asked: true });
}
