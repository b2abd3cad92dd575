import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { newJob, current, goTo, put } from '../floor-job.js';
import { take } from '../floor-take.js';
import { resolve } from '../floor-ask.js';
import { actOf, answeredBy, apartSaid, contradicts, lastDone, mayJoin, recordedRest, restOf, spanText, stepsOf, stringRefused, takenBack, withActs } from '../bench-work.js';
import { workScreen, workRows, restBar } from '../bench-work-screen.js';
import { bench } from '../bench-screen.js';
import { entries, given, onward } from '../bench-shape.js';
import { placed } from '../floor-problems.js';
import { submission } from '../floor-submission.js';
import { packPlan } from './plans.js';

const HOUR = 3600000;
const now = Date.parse('2026-11-25T09:35:00Z');
const ended = (hours) => ({ id: 'c', kind: 'charge', charger: 'CH-2', started_at: new Date(now - (hours + 9) * HOUR).toISOString(), started_by: 'Marek', ended_at: new Date(now - hours * HOUR).toISOString(), ended_by: 'Marek', end_current_a: '0.19' });
const build = (more = {}) => ({
  steps: [{ code: 'joined', words: 'Blocks joined in their order', done: false }, { code: 'soldered', words: 'Soldered or bolted', done: false }],
  history: [], rest_hours: 24, cautions: [{ code: 'short_circuit', at: 'joining', message: 'insulated tools' }, { code: 'hydrogen', at: 'charging', message: 'an aired place' }, { code: 'makers_data_first', message: 'the maker first' }], ...more,
});
const tick = (step, done, at = now) => actOf({ id: `${step}${done}${at}`, serial: 'P26000051', at, by: 'Ines', does: { kind: 'tick', step, done } });
const plan = (more, shape = {}) => ({ ...packPlan({ blocks: 2, ...shape, parts: [{ role: 'block', place: '1.1', number: 'a' }, { role: 'block', place: '1.2', number: 'b' }] }), build: build(more) });
const job = (p) => given(p, newJob({ id: 'i', serial: p.serial, stage: 'final', startedAt: now, methods: { block_temperature: 'whole' } }));

test('what was done here stands on top of what the office knows', () => {
  const b = withActs(build(), [tick('soldered', true), tick('joined', true, now + 1), tick('soldered', false, now + 2)]);
  assert.deepEqual(b.steps.map((s) => [s.code, s.done, s.done_by, s.waits]), [['joined', true, 'Ines', true], ['soldered', false, 'Ines', true]]);
  assert.equal(stepsOf(b).next.code, 'soldered');
  assert.equal(lastDone(b).code, 'joined');
  assert.equal(b.history.length, 3);
  assert.match(takenBack(b)[0], /^Soldered or bolted: taken back by Ines/);
  assert.equal(build().steps[0].done, false, 'what the office said is not changed');
});

test('a charge begun and ended here', () => {
  const does = [{ kind: 'charge', charge: 'c9', what: 'charge', charger: 'CH-2' }, { kind: 'end', charge: 'c9', current: '0.19' }];
  const acts = does.map((d, i) => actOf({ id: `a${i}`, serial: 'P26000051', at: now + i, by: 'Ines', does: d }));
  assert.deepEqual(acts[0].act, { method: 'POST', path: 'items/P26000051/charges', body: { id: 'c9', kind: 'charge', charger: 'CH-2', started_at: '2026-11-25T09:35:00.000Z' } });
  assert.deepEqual(acts[1].act, { method: 'POST', path: 'charges/c9/end', body: { end_current_a: '0.19', ended_at: '2026-11-25T09:35:00.001Z' } });
  assert.equal(restOf(withActs(build(), acts.slice(0, 1)), now).state, 'charging');
  const b = withActs(build(), acts);
  assert.deepEqual([b.charge.end_current_a, b.charge.ended_by, restOf(b, now + HOUR).state], ['0.19', 'Ines', 'short']);
  assert.equal(answeredBy(build(), does[0], { id: 'c9' }).charge.id, 'c9');
});

// Provisional from 4 h, in full from what the product asks for: common practice.
test('the rest since the recorded end of the charge', () => {
  for (const [hours, state] of [[0, 'short'], [3.99, 'short'], [4, 'provisional'], [23.99, 'provisional'], [24, 'rested'], [300, 'rested']]) {
    assert.equal(restOf(build({ charge: ended(hours) }), now).state, state, `${hours} h`);
  }
  assert.equal(restOf(build(), now).state, 'none');
  assert.equal(restOf(build({ charge: ended(1.5), rest_hours: 1 }), now).state, 'rested', 'lithium rests an hour');
  assert.equal(spanText(26 + 10 / 60), '26 h 10 min');
  assert.equal(recordedRest(build({ charge: ended(23.99) }), now), '23.9', 'cut, not rounded: no rest is said that was not had');
  assert.equal(recordedRest(build(), now), '');
});

test('a typed rest against the record', () => {
  const b = build({ charge: ended(20) }); // half an hour and a twentieth: 1.5 h
  for (const [typed, want] of [['20', false], ['21.5', false], ['18.5', false], ['21.6', true], ['18.4', true], ['26', true]]) {
    assert.equal(contradicts(b, decimal.plain(typed), now), want, typed);
  }
  assert.equal(contradicts(build(), decimal.plain('26'), now), false, 'without a record');
  const p = plan({ charge: ended(5.1) });
  let j = goTo(job(p), 'conditions/whole/rest_hours');
  let said;
  ({ job: j, said } = take({ plan: p, shape: bench, job: j }, '26', now));
  assert.equal(said.kind, 'ask');
  assert.deepEqual(j.ask.options.map((o) => o.label), ['5.1 h', '26 h']);
  assert.equal(resolve({ plan: p, shape: bench, job: j }, j.ask.options[0], now).job.values['conditions/whole/rest_hours'].text, '5.1');
  assert.equal(resolve({ plan: p, shape: bench, job: j }, j.ask.options[1], now).job.values['conditions/whole/rest_hours'].text, '26');
});

test('strings are compared in exact decimals, the limit itself passes', () => {
  const b = { join_limit_v: '0.15' };
  const join = (...list) => mayJoin(b, list.map(decimal.plain));
  assert.equal(join('38.60', '38.75').ok, true);
  assert.equal(join('38.600', '38.751').ok, false);
  assert.equal(join('38.60', '-38.60').ok, false);
  assert.equal(apartSaid(join('38.60', '38.90')), 'The strings differ by 0.30 V, more than the 0.15 V allowed: charge each singly first');
});

// Two blocks of 12 V: 2 x 11.80 V of scrap, 2 x 13.08 V of surface charge, common practice.
test('a string is joined rested, off the charger and at a voltage of this pack', () => {
  const b = (more) => build({ string_least_v: '23.6', string_most_v: '26.16', ...more });
  const said = (typed, more, n = 1) => stringRefused(b(more), decimal.plain(typed), n, now);
  for (const fine of ['23.6', '25.9', '26.16']) assert.equal(said(fine), '', fine);
  assert.match(said('0'), /^String 1 reads 0 V, below the 23.6 V of a rested string/);
  assert.match(said('1.2', {}, 2), /^String 2 reads 1.2 V, below/);
  assert.match(said('-25.9'), /the wrong way round/);
  assert.match(said('300'), /above the 26.16 V of a rested string/);
  assert.match(said('25.9', { charge: { id: 'c', charger: 'CH-2', started_at: '2026-11-25T08:00:00Z' } }), /^By the record it is on CH-2/);
  assert.match(said('25.9', { charge: ended(23.9) }), /^It rests since 23 h 54 min: strings are joined after 24 h/);
  assert.equal(said('25.9', { charge: ended(24) }), '');
});

test('the work comes in its order, and never holds a reading up', () => {
  const fresh = plan();
  assert.equal(current(job(fresh), entries(fresh, job(fresh))).slot, 'joined');
  const built = plan({ steps: build().steps.map((s) => ({ ...s, done: true })) });
  assert.equal(current(job(built), entries(built, job(built))).group, 'charge');
  const rested = plan({ steps: built.build.steps, charge: ended(25) });
  assert.equal(current(job(rested), entries(rested, job(rested))).slot, 'rest_hours');
  assert.equal(onward({ ...fresh, standing: [{}] }, job(fresh), now), null, 'a pack that was read before goes to its readings');
  const on = { ...plan({ charge: { id: 'c', charger: 'CH-2', started_at: '2026-11-25T08:00:00Z' } }), standing: [{}] };
  assert.equal(onward(on, job(on), now), 'charge/whole/', 'what is on a charger comes off it first');
  assert.equal(onward(fresh, put(job(fresh), { key: 'conditions/whole/rest_hours', local: true }, '26', 1), now), null, 'readings that were begun go on');
  const j = goTo(job(fresh), 'block_voltage/every_block/1.1');
  assert.equal(take({ plan: fresh, shape: bench, job: j }, '12.87', 1).said.kind, 'taken', 'no step is done');
  assert.equal(entries({ ...fresh, build: null }, j).some((e) => e.group === 'build'), false);
});

test('each part of the work tells its cautions, the maker’s sheet among them', () => {
  const p = plan();
  const at = (kind, group, slot) => workScreen({ plan: p, entry: { kind, group, slot }, typed: '', said: null }, now).beside.notes;
  assert.deepEqual(at('step', 'build', 'joined'), ['insulated tools', 'the maker first']);
  assert.deepEqual(at('charge', 'charge', ''), ['an aired place', 'the maker first']);
});

test('open work is seen in the list of sets, and the rest as a bar', () => {
  assert.equal(workRows(build(), now).build.v.word, 'Open');
  assert.equal(workRows(withActs(build(), [tick('joined', true)]), now).build.v.tone, 'care');
  assert.equal(workRows(build({ charge: ended(6) }), now).charge.v.word, 'Provis.');
  assert.equal(restBar(build(), now), null);
  const half = restBar(build({ charge: ended(12) }), now);
  assert.ok(Math.abs(half.full / half.mark - 0.5) < 1e-9);
  assert.equal(restBar(build({ charge: ended(30) }), now).over, true);
});

test('a voltage on the charger is refused with its reason', () => {
  const voltage = (p, said) => {
    let j = goTo(job(p), 'block_voltage/every_block/1.1');
    if (said) j = put(j, { key: 'conditions/whole/on_charger', local: true }, said, 1);
    return take({ plan: p, shape: bench, job: j }, '12.91', now).said;
  };
  const on = { charge: { id: 'c', kind: 'charge', charger: 'CH-2', started_at: '2026-11-25T08:00:00Z', started_by: 'Marek' } };
  assert.deepEqual([voltage(plan(), 'yes').kind, voltage(plan(), 'yes').reason], ['refused', '12.91 V on the charger: take it off and let it rest']);
  assert.equal(voltage(plan(on)).reason, '12.91 V on CH-2 by the record: end the charge, or say that it is off');
  assert.equal(voltage(plan(on), 'no').kind, 'taken', 'a person says that it is off');
  assert.equal(voltage(plan(), 'no').kind, 'taken');
});

test('Fahrenheit is offered, and what is no temperature refused', () => {
  const p = plan();
  const warm = (typed) => take({ plan: p, shape: bench, job: goTo(job(p), 'block_temperature/whole/') }, typed, now);
  assert.equal(warm('23,4').said.kind, 'taken');
  assert.equal(warm('-4').said.kind, 'taken');
  const { job: j, said } = warm('77');
  assert.equal(said.kind, 'ask');
  const taken = resolve({ plan: p, shape: bench, job: j }, j.ask.options[0], now).job;
  assert.equal(taken.values['block_temperature/whole/'].text, '25.0');
  assert.deepEqual(taken.events.map((e) => [e.what, e.value]), [['refused', '77']]);
  assert.equal(resolve({ plan: p, shape: bench, job: j }, j.ask.options[1], now).job.values['block_temperature/whole/'].text, '77');
  assert.equal(warm('234').said.kind, 'refused');
});

test('a negative voltage is kept with its sign, one far from every block read again', () => {
  const p = plan();
  const read = (j, typed) => take({ plan: p, shape: bench, job: j }, typed, now);
  const j = goTo(job(p), 'block_voltage/every_block/1.1');
  const negative = read(j, '\u221212.87');
  assert.equal(negative.said.kind, 'taken');
  assert.equal(decimal.text(bench.figures(p, negative.job).voltage.readings[0].value), '-12.87');
  const far = read(j, '92.88');
  assert.equal(far.said.kind, 'doubt');
  assert.equal(read(far.job, '92.88').said.kind, 'taken', 'read twice alike it is believed');
});

test('a block has one place', () => {
  const p = { ...packPlan({ blocks: 2 }), build: build() };
  let j = job(p);
  let said;
  ({ job: j } = take({ plan: p, shape: bench, job: j }, 'Q2-0974', 1));
  ({ job: j, said } = take({ plan: p, shape: bench, job: j }, 'q2-0974', 2));
  assert.deepEqual([said.kind, said.reason], ['refused', 'q2-0974 is block 1 already']);
  assert.equal(current(j, entries(p, j)).slot, '1.2');
});

test('a block that the office will not have is said at its place', () => {
  const p = { ...packPlan({ blocks: 2 }), build: build() };
  let j = job(p);
  for (const n of ['Q2-0974', 'Q2-0992']) ({ job: j } = take({ plan: p, shape: bench, job: j }, n, 1));
  const sent = submission(j, p, bench, { complete: true });
  const got = placed([{ field: 'parts[1].number', message: 'Q2-0992 is in another pack.' }, { field: 'parts[7].number', message: 'none such' }], sent, p, bench);
  assert.deepEqual(got.entries, [{ key: 'parts/number/1.2', text: 'Q2-0992', message: 'Q2-0992 is in another pack.' }]);
  assert.deepEqual(got.others, ['none such (parts[7].number)']);
});
