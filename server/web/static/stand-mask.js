// A station taken out of a run-out, with its reason: weld, paint or a decal under
// the tip is not the rim's shape. It counts as answered, is never read, and the
// verdict says so. The limits are those of the office (our own choice).
import { keyOf, moment, eventOf, after } from './floor-job.js';
import { LATERAL, RADIAL, EVERY_HOLE } from './stand-shape.js';

const MOST = 4;

/** reasons, in the order of their keys; the last one is typed. */
export const reasons = [['weld', 'Weld'], ['paint', 'Paint or decal'], ['joint', 'Joint'], ['damage', 'Damage'], ['other', 'Other']];

/** mostMasked is how many stations may be masked: one in nine of the holes, at most four. */
export const mostMasked = (holes) => Math.min(MOST, Math.floor(holes / 9));

/** maskable says whether an entry can be masked: a station of a run-out read at every hole. */
export const maskable = (entry) => Boolean(entry) && [LATERAL, RADIAL].includes(entry.characteristic) && entry.method === EVERY_HOLE && entry.slot !== 'reread';

/** reasonWords is a mask's reason as it is said. */
export const reasonWords = (mask) => (mask.reason === 'other' ? mask.note : (reasons.find(([code]) => code === mask.reason)?.[1] ?? mask.reason).toLowerCase());

/** maskValue is how a mask stands among the values of a job. */
export const maskValue = (mask, at) => ({ text: `masked: ${reasonWords(mask)}`, at, mask });

/** masksOf lists the masks of a set: {index, reason, note}. */
export function masksOf(job, code) {
  const head = keyOf(code, EVERY_HOLE, '');
  return Object.entries(job.values).filter(([key, v]) => v.mask && key.startsWith(head)).map(([key, v]) => ({ index: Number(key.slice(head.length)), ...v.mask })).sort((a, b) => a.index - b.index);
}

/** mask puts a mask in the place of a reading and goes on; refused says why not. */
export function mask({ plan, job, shape }, entry, why, now) {
  const most = mostMasked(shape.spokes(plan));
  const others = masksOf(job, entry.characteristic).filter((m) => m.index !== entry.position);
  if (others.length >= most) return { refused: `${most} of ${shape.spokes(plan)} are masked: more would leave too little of the rim` };
  const values = { ...job.values };
  const events = [...job.events];
  // Without its first reading, spoke 1 once more says nothing of a drift.
  const gone = entry.slot === '0' ? [entry.key, keyOf(entry.characteristic, entry.method, 'reread')] : [entry.key];
  for (const key of gone) {
    if (!values[key]) continue;
    events.push(eventOf(job, entry, values[key], 'undone', now));
    delete values[key];
  }
  values[entry.key] = maskValue(why, moment(job, now));
  const next = { ...job, values, events, doubt: null, ask: null };
  return { job: { ...next, at: after(next, shape.entries(plan, next), entry) }, said: { kind: 'taken', entry, text: values[entry.key].text, mask: why } };
}
