import test from 'node:test';
import assert from 'node:assert/strict';
import { newJob, switchMethods, answerRest, current, setInstrument } from '../floor-job.js';
import { take } from '../floor-take.js';
import { submission, resume } from '../floor-submission.js';
import { placed, joined } from '../floor-problems.js';
import { shape as wheel, entries, methodsFor } from '../stand-shape.js';
import { check } from '../stand-check.js';
import { wheelPlan } from './plans.js';

const shape = { ...wheel, check };
const startedAt = Date.UTC(2026, 10, 25, 9, 41, 0);

function hands(plan, job, lines) {
  let now = startedAt;
  for (const line of lines) ({ job } = take({ plan, shape, job }, line, (now += 1000)));
  return job;
}

const begin = (plan, every) => newJob({ id: '0193', serial: plan.serial, stage: plan.stage, place: 'stand 2', startedAt, methods: methodsFor(plan, every) });
const whole = ['0.13', '9', '-0,09', '28', '.12', '17', '-0.14', '3', '67.40', '67.80', '1085', '1120', '1062', '711', '738', '704'];

// The fields are those of models.Submission; the server decodes strictly and
// refuses any other.
const fields = ['id', 'serial', 'product', 'stage', 'person', 'place', 'started_at', 'finished_at', 'conditions', 'sets', 'parts', 'corrects', 'reason', 'events'];
const setFields = ['characteristic', 'method', 'instrument', 'unit', 'manner', 'values', 'index', 'moments'];

test('a quick wheel is sent as it was typed', () => {
  const plan = wheelPlan();
  let job = hands(plan, begin(plan), whole);
  job = answerRest(job, entries(plan, job).filter((e) => e.kind === 'tick'), 'yes', startedAt + 60000);
  const sent = submission(job, plan, shape, { complete: true });
  assert.deepEqual(Object.keys(sent).filter((k) => !fields.includes(k)), []);
  for (const s of sent.sets) assert.deepEqual(Object.keys(s).filter((k) => !setFields.includes(k)), []);
  assert.deepEqual(sent.sets[0], { characteristic: 'lateral_runout', method: 'extremes', instrument: 'L-14', unit: 'mm', values: ['0.13', '-0,09'], index: [8, 27], moments: [2000, 4000] });
  assert.deepEqual(sent.sets.find((s) => s.characteristic === 'dish').index, [0, 1]);
  assert.deepEqual(sent.sets.find((s) => s.characteristic === 'tension_b').index, [7, 19, 31]);
  assert.deepEqual(sent.sets.find((s) => s.characteristic === 'washer_seat'), { characteristic: 'washer_seat', method: 'whole', values: ['yes'], moments: [60000] });
  assert.equal(sent.started_at, '2026-11-25T09:41:00.000Z');
  assert.equal(sent.finished_at, '2026-11-25T09:42:00.000Z');
});

test('every hole is sent with the reread of spoke 1 last', () => {
  const plan = wheelPlan();
  const job = hands(plan, begin(plan, true), Array(37).fill('0.10'));
  const set = submission(job, plan, shape, { complete: true }).sets.find((s) => s.characteristic === 'lateral_runout');
  assert.equal(set.method, 'every_hole');
  assert.deepEqual(set.index, [...Array(36).keys(), 0]);
  assert.equal(set.values.length, 37);
});

test('whole extremes stay as evidence; a begun method that was left is kept as events', () => {
  const plan = wheelPlan();
  let job = hands(plan, begin(plan), ['0.13', '9', '-0.09', '28']);
  job = hands(plan, switchMethods(job, methodsFor(plan, true)), ['0.01', '0.02']);
  job = switchMethods(job, methodsFor(plan, false));
  const sent = submission(job, plan, shape, { complete: true });
  assert.deepEqual(sent.sets.map((s) => s.method), ['extremes']);
  assert.deepEqual(sent.events.map((e) => [e.what, e.position, e.value]), [['undone', 0, '0.01'], ['undone', 1, '0.02']]);
});

test('a draft read back is the same job', () => {
  const plan = wheelPlan();
  for (const [name, job] of [
    ['begun', hands(plan, begin(plan), whole.slice(0, 7))],
    ['an extreme waiting for its spoke', hands(plan, begin(plan), whole.slice(0, 3))],
    ['every hole after extremes', hands(plan, switchMethods(hands(plan, begin(plan), whole.slice(0, 4)), methodsFor(plan, true)), ['0.01', '0.02', '0.03'])],
    ['switched, nothing read yet', switchMethods(begin(plan), methodsFor(plan, true))],
    ['another gauge', setInstrument(hands(plan, begin(plan), whole.slice(0, 2)), 'lateral_runout', 'L-15')],
  ]) {
    const sent = submission(job, plan, shape);
    const back = resume(JSON.parse(JSON.stringify(sent)), plan, shape);
    assert.deepEqual(back.values, job.values, name);
    assert.deepEqual(submission(back, plan, shape), sent, name);
    assert.equal(current(back, entries(plan, back)).key, current({ ...job, at: null }, entries(plan, job)).key, name);
  }
});

test('an inspection as the office has it is read back whole', () => {
  const plan = wheelPlan();
  let job = hands(plan, begin(plan), whole);
  job = answerRest(job, entries(plan, job).filter((e) => e.kind === 'tick'), 'yes', startedAt + 60000);
  const sent = submission(job, plan, shape, { complete: true });
  // The office writes the index of every value: a tick has the first place, 0.
  const sets = sent.sets.map((s) => ({ ...s, index: s.index ?? s.values.map((_, i) => i) }));
  assert.deepEqual(sets.find((s) => s.characteristic === 'washer_seat').index, [0]);
  const back = resume({ ...sent, sets }, plan, shape, { complete: true });
  for (const key of Object.keys(job.values)) assert.equal(back.values[key]?.text, job.values[key].text, key);
});

test('a correction names what it corrects and why', () => {
  const plan = wheelPlan();
  const job = { ...begin(plan), corrects: 'old', reason: 'Taken back' };
  const sent = submission(job, plan, shape);
  assert.equal(sent.corrects, 'old');
  assert.equal(resume(sent, plan, shape).reason, 'Taken back');
});

test('problems of the office stand at their entries', () => {
  const plan = wheelPlan();
  const job = hands(plan, begin(plan), whole);
  const sent = submission(job, plan, shape, { complete: true });
  const at = (field) => placed([{ field, code: 'x', message: 'why' }], sent, plan, shape);
  assert.deepEqual(at('sets[0].values[1]').entries, [{ key: 'lateral_runout/extremes/lowest', text: '-0,09', message: 'why' }]);
  const b = sent.sets.findIndex((s) => s.characteristic === 'tension_b');
  assert.equal(at(`sets[${b}].values[2]`).entries[0].key, 'tension_b/sample/31');
  assert.equal(at('sets[0].instrument').entries[0].key, 'lateral_runout/extremes/highest');
  assert.deepEqual(at('serial').others, ['why (serial)']);
  assert.deepEqual(at('sets[99].values[0]').others, ['why (sets[99].values[0])']);
});

test('a draft with an extreme whose spoke is not read gives it no other’s', () => {
  const plan = wheelPlan();
  const job = hands(plan, begin(plan), ['0.13', '9', '-0.09', '28']);
  const [highest, lowest] = Object.keys(job.values);
  delete job.values[highest].spoke;
  const back = resume(submission(job, plan, shape), plan, shape);
  assert.deepEqual([back.values[highest].text, back.values[highest].spoke], ['0.13', undefined]);
  assert.deepEqual([back.values[lowest].text, back.values[lowest].spoke], ['-0.09', 27]);
  delete job.values[lowest].spoke;
  assert.equal(submission(job, plan, shape).sets[0].index, undefined);
});

test('several messages are one line, with one full stop', () => {
  assert.equal(joined(['Say which gauge took the readings.', 'Nothing was read at spoke 3.']), 'Say which gauge took the readings; Nothing was read at spoke 3.');
  assert.equal(joined([]), '');
});
