import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { byTable } from '../stand-table.js';
import { newJob, setUnit, goTo, keyOf } from '../floor-job.js';
import { take } from '../floor-take.js';
import { figures } from '../stand-figures.js';
import { shape as wheel, entries, methodsFor } from '../stand-shape.js';
import { setRows } from '../stand-rows.js';
import { check } from '../stand-check.js';
import { casesOf } from './cases.js';
import { wheelPlan } from './plans.js';

// testdata/cases/wheels.json, kind tension_table: null is outside the table.
test('the agreed cases of a gauge table', () => {
  for (const c of casesOf('wheels.json', 'tension_table')) {
    const points = c.input.reading.map((reading, i) => ({ reading: String(reading), tension: String(c.input.tension[i]) }));
    c.input.query.forEach((q, i) => {
      const want = c.expected.tension[i];
      const got = byTable(points, q);
      if (want === null) assert.equal(got, null, `${c.id} at ${q}`);
      else assert.ok(Math.abs(got - want) < 1e-4 * Math.max(1, want / 1000), `${c.id} at ${q}: ${got}, want ${want}`);
    });
  }
});

const points = [{ reading: '12', tension: '420' }, { reading: '20', tension: '1000' }, { reading: '25.5', tension: '1610' }];
const withTable = (table) => wheelPlan((p) => {
  for (const c of p.specification.characteristics) if (c.code.startsWith('tension')) c.units = ['N', 'kgf', 'lbf', 'div'];
  p.form.wheel.spoke_type = '2.3 mm plain';
  p.instruments.find((i) => i.code === 'T-03').table = table;
});
const shape = { ...wheel, check };
const begin = (plan) => goTo(setUnit(newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, false) }), 'tension_a', 'div'), 'tension_a/sample/0');

test('divisions are offered only where a gauge has a table for this spoke', () => {
  const units = (plan) => entries(plan, newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, false) })).find((e) => e.characteristic === 'tension_a').units;
  assert.deepEqual(units(withTable(points)), ['N', 'kgf', 'lbf', 'div']);
  assert.deepEqual(units(withTable([])), ['N', 'kgf', 'lbf']);
});

test('divisions are kept as typed and judged in newtons', () => {
  const plan = withTable(points);
  let { job, said } = take({ plan, shape, job: begin(plan) }, '20', 1);
  assert.equal(said.kind, 'taken');
  assert.equal(job.values[keyOf('tension_a', 'sample', '0')].text, '20');
  assert.equal(decimal.number(figures(plan, job).tension.a.mean), 1000);
  // 12 divisions are 420 N on the point, under the 450 N that no spoke may be below.
  ({ job, said } = take({ plan, shape, job }, '12', 3));
  assert.equal(said.kind, 'taken');
  assert.equal(figures(plan, job).tension.state, 'fault');
});

test('beyond the table a reading is asked for again, then kept, and its side says nothing', () => {
  const plan = withTable(points);
  let { job, said } = take({ plan, shape, job: begin(plan) }, '25,6', 1);
  assert.equal(said.kind, 'doubt');
  assert.match(said.reason, /beyond the table of T-03 for 2\.3 mm plain/);
  ({ job, said } = take({ plan, shape, job }, '25,6', 2));
  assert.equal(said.kind, 'taken');
  assert.equal(job.values[keyOf('tension_a', 'sample', '0')].text, '25,6');
  const { a } = figures(plan, job).tension;
  assert.equal(a.taken, 1);
  assert.equal(a.mean, undefined);
  assert.deepEqual(a.results, []);
});

test('a whole set with a reading beyond the table is read, not passed', () => {
  const plan = withTable(points);
  const job = setUnit(setUnit(newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, false) }), 'tension_a', 'div'), 'tension_b', 'div');
  const state = (last) => {
    const slots = entries(plan, job).filter((e) => e.characteristic === 'tension_a' || e.characteristic === 'tension_b');
    const values = Object.fromEntries(slots.map((e, i) => [e.key, { text: i === slots.length - 1 ? last : '20', at: i }]));
    const read = { ...job, values };
    const f = figures(plan, read);
    return { ...f.tension, row: setRows(plan, read, f, null).find((r) => r.key === 'tension') };
  };
  assert.equal(state('20').state, 'passes');
  const beyond = state('26');
  assert.match(beyond.row.sub, /beyond the gauge’s table: kept, not judged/);
  assert.equal(beyond.whole, true);
  assert.equal(beyond.state, 'read');
  assert.equal(beyond.ratio, undefined);
});

test('without a table for the spoke divisions are refused with the gauge and the spoke', () => {
  const plan = withTable([]);
  const { said } = take({ plan, shape, job: begin(plan) }, '20', 1);
  assert.equal(said.kind, 'refused');
  assert.match(said.reason, /T-03 has no table for 2\.3 mm plain/);
});
