// A value that a gauge posts to this stand, as the event 'gauge-reading' on
// document brings it: {value, unit, instrument, id}. It is taken like one that
// was typed, but never in hundredths and only by the gauge of the set.
import * as work from './floor-job.js';
import { take, holdsReadings } from './floor-take.js';
import { instrumentsFor, instrumentOf } from './floor-plan.js';

/** takeGauge takes a posted value for the entry in hand; the answer is that of take. */
export function takeGauge(context, { value, unit = '', instrument = '' }, now) {
  const { plan, shape } = context;
  let { job } = context;
  const entry = work.current(job, shape.entries(plan, job));
  const text = `${value} ${unit}`.trim();
  const refuse = (reason) => ({ job: entry ? work.refuse(job, entry, text.slice(0, 40), now) : job, said: { kind: 'refused', entry, text: text.slice(0, 40), reason } });
  if (!entry || (entry.kind !== 'reading' && entry.kind !== 'extreme')) return refuse('No reading is awaited');
  if (work.awaitsSpoke(job, entry)) return refuse('A spoke number is awaited');
  if (instrument) {
    const usable = instrumentsFor(plan, entry.characteristic);
    if (!usable.some((i) => i.code === instrument)) return refuse(`${instrument} does not read this`);
    if (instrument !== instrumentOf(plan, job, entry.characteristic)?.code) {
      if (holdsReadings(job, entry.characteristic)) return refuse(`This set is read with another gauge, not ${instrument}`);
      job = work.setInstrument(job, entry.characteristic, instrument);
    }
  }
  return take({ plan, shape, job }, text, now, { gauge: true });
}
