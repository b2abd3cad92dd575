import test from 'node:test';
import assert from 'node:assert/strict';
import { Pace } from '../floor-pace.js';
import { newJob } from '../floor-job.js';
import { take } from '../floor-take.js';
import { resolve } from '../floor-ask.js';
import { shape, methodsFor } from '../stand-shape.js';
import { wheelPlan } from './plans.js';

// Keys of a keyboard at these times in ms, Enter last: who typed?
test('the pace of the keys tells a gauge from a person, at the limit of 35 ms', () => {
  for (const [times, want] of [
    [[0, 4, 8], 'gauge'], [[0, 34, 68], 'gauge'], [[0, 35, 70], 'hand'], [[0, 180, 420], 'hand'],
    [[0, 20, 300], 'unsure'], [[0, 300, 310], 'unsure'], [[0, 8], 'gauge'], [[0, 90], 'hand'], [[], 'hand'],
  ]) {
    const pace = new Pace();
    times.forEach((t) => pace.key(t));
    assert.equal(pace.says(), want, String(times));
  }
});

test('the keypad of the screen is a person, however fast', () => {
  const pace = new Pace();
  [0, 5, 10].forEach((t) => { pace.pressed(); pace.key(t); });
  assert.equal(pace.says(), 'hand');
  pace.clear();
  pace.key(0);
  pace.key(3);
  assert.equal(pace.says(), 'gauge', 'what was typed before is forgotten');
});

const plan = wheelPlan((json) => { json.specification.characteristics[0].hundredths = true; });
const begun = () => newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, true) });
const typed = (text, by) => take({ plan, shape, job: begun() }, text, 1000, { by });

test('hundredths are for a person; a gauge is taken as it stands', () => {
  assert.equal(typed('12', 'hand').said.text, '0.12');
  assert.equal(typed('2', 'gauge').said.text, '2');
  for (const by of ['hand', 'gauge', 'unsure']) assert.equal(typed('0,12', by).said.text, '0,12', by);
});

test('in doubt both values are shown and one is pressed', () => {
  const { job, said } = typed('2', 'unsure');
  assert.equal(said.kind, 'ask');
  assert.deepEqual(Object.keys(job.values), []);
  assert.deepEqual(job.ask.options.map((o) => o.label), ['0.02 mm', '2 mm']);
  assert.deepEqual([0, 1].map((i) => resolve({ plan, shape, job }, job.ask.options[i], 2000).said.text), ['0.02', '2']);
});
