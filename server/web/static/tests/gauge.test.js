import test from 'node:test';
import assert from 'node:assert/strict';
import { stand } from '../stand-screen.js';
import { wheelPlan } from './plans.js';
import { newJob } from '../floor-job.js';
import { takeGauge } from '../floor-gauge.js';
import { scanned } from '../floor-serial.js';
import { take } from '../floor-take.js';
import { pedal } from '../floor-keys.js';

const plan = wheelPlan((json) => { json.specification.characteristics[0].hundredths = true; });
const begun = (every = true) => ({ plan, shape: stand, job: newJob({ id: 'x', serial: plan.serial, stage: 'after_relief', startedAt: 0, methods: every ? stand.every(plan) : stand.begin(plan) }) });
const values = (job) => Object.values(job.values).map((v) => v.text);

test('twelve typed is 0.12 in hundredths; twelve from a gauge is refused by its range', () => {
  assert.deepEqual(values(take(begun(), '12', 1).job), ['0.12']);
  const got = takeGauge(begun(), { value: '12', unit: 'mm', instrument: 'L-14', id: '1' }, 1);
  assert.equal(got.said.kind, 'refused');
  assert.match(got.said.reason, /outside L-14/);
  assert.deepEqual(values(takeGauge(begun(), { value: '2', unit: 'mm', id: '1' }, 1).job), ['2']);
});

test('a set begun with one gauge is not gone on with by another', () => {
  const c = begun();
  const first = takeGauge(c, { value: '0.10', unit: 'mm', instrument: 'L-15', id: '1' }, 1);
  assert.equal(first.job.instruments.lateral_runout, 'L-15');
  assert.equal(takeGauge({ ...c, job: first.job }, { value: '0.11', unit: 'mm', instrument: 'L-14', id: '2' }, 2).said.kind, 'refused');
  assert.equal(takeGauge({ ...c, job: first.job }, { value: '0.11', unit: 'mm', instrument: 'T-03', id: '3' }, 2).said.kind, 'refused');
  assert.deepEqual(values(takeGauge({ ...c, job: first.job }, { value: '0.11', unit: 'mm', instrument: 'L-15', id: '4' }, 2).job), ['0.10', '0.11']);
});

test('a gauge gives no spoke number', () => {
  const c = begun(false);
  const { job } = takeGauge(c, { value: '0.10', unit: 'mm', id: '1' }, 1);
  assert.equal(takeGauge({ ...c, job }, { value: '9', unit: 'mm', id: '2' }, 2).said.kind, 'refused');
});

test('a prefix makes a scan', () => {
  assert.equal(scanned(']C0W26000051'), 'W26000051');
  assert.equal(scanned('0.12'), null);
});

test('a pedal: press, bounce, hold', () => {
  let at = 0;
  let due = null;
  const got = [];
  let bounces = 0;
  const p = pedal({ now: () => at, later: (f) => { due = f; return 1; }, never: () => { due = null; }, acts: { pedal: (held) => got.push(held), bounced: () => { bounces++; } } });
  const press = (ms) => { p.down(false); at += ms; p.up(); };
  press(80);
  at += 149;
  press(80);
  assert.deepEqual([got, bounces], [[false], 1]);
  at += 150;
  p.down(false);
  p.down(true); // the key repeats while it is held
  due();
  p.up();
  assert.deepEqual(got, [false, true]);
});
