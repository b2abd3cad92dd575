import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { newJob, put, goTo } from '../floor-job.js';
import { take } from '../floor-take.js';
import { submission, resume } from '../floor-submission.js';
import { placesOf, suspects, tapOrder } from '../bench-taps.js';
import { figures } from '../bench-figures.js';
import { bench } from '../bench-screen.js';
import { casesOf } from './cases.js';
import { packPlan } from './plans.js';

const volts = (list) => list.map((v) => decimal.plain(String(v)));
const near = (d, want, within, what) => assert.ok(Math.abs(decimal.number(d) - want) <= within, `${what}: ${decimal.text(d)}, want ${want}`);

// testdata/cases/packs.json, kind tap_order.
test('the agreed cases of the order at the taps', () => {
  for (const c of casesOf('packs.json', 'tap_order')) {
    const got = tapOrder(volts(c.input.tap_V), volts(c.input.recorded.map((r) => r.ocv_V)), decimal.plain(String(c.input.tol_V)));
    got.places.forEach((v, i) => near(v, c.expected.position_V[i], 0.0005, c.id));
    assert.deepEqual(got.order.map((i) => c.input.recorded[i].id), c.expected.best_order, c.id);
    assert.equal(got.swapped.length > 0, c.expected.swap_suspected, c.id);
  }
});

// Every order of five blocks, by brute force: none fits better than the one found.
test('no other order of the blocks fits better', () => {
  const orders = (left) => (left.length < 2 ? [left] : left.flatMap((x, i) => orders([...left.slice(0, i), ...left.slice(i + 1)]).map((o) => [x, ...o])));
  let seed = 7;
  const random = () => { seed = (seed * 48271) % 2147483647; return seed % 60; };
  for (let n = 0; n < 40; n++) {
    const blocks = Array.from({ length: 5 }, () => decimal.make(12800 + random(), 3));
    const places = Array.from({ length: 5 }, () => decimal.make(12800 + random(), 3));
    const taps = places.map((_, i) => decimal.sum(places.slice(0, i + 1)));
    const apart = (order) => decimal.number(decimal.sum(places.map((v, i) => decimal.abs(decimal.sub(v, blocks[order[i]])))));
    const best = Math.min(...orders([0, 1, 2, 3, 4]).map(apart));
    assert.ok(Math.abs(apart(tapOrder(taps, blocks).order) - best) < 1e-9, `stock ${n}`);
    assert.deepEqual(placesOf(taps).map(decimal.text), places.map(decimal.text));
  }
});

// Two blocks 1 mV apart read 1 mV off at the taps: another order fits better, and
// nothing is known from that.
test('what no reading repeats is no swap', () => {
  const got = tapOrder(volts([12.861, 25.721]), volts([12.860, 12.861]));
  assert.deepEqual(got.order, [1, 0]);
  assert.deepEqual(got.swapped, []);
  assert.equal(got.off, false);
});

// testdata/cases/packs.json, kind series_sum: candidates count from 1.
test('the agreed cases of what a sum that is apart may mean', () => {
  for (const c of casesOf('packs.json', 'series_sum')) {
    const got = suspects(decimal.plain(String(c.input.pack_V)), volts(c.input.blocks_V), decimal.plain(String(c.input.tol_V)));
    const by = { reversed_block_suspected: got.reversed, missing_block_suspected: got.missing }[c.expected.verdict] ?? [...got.reversed, ...got.missing];
    assert.deepEqual(by.map((i) => i + 1), c.expected.candidates ?? [], c.id);
  }
});

// Blocks 2 and 3 lie the other way round and were read where they lie: the taps
// agree with the readings, and not with what was stored, 20 mV higher, before.
test('a swap is found by what is stored of the blocks', () => {
  const plan = (stored) => ({ ...packPlan({ blocks: 3 }), stored: stored && Object.fromEntries(stored.map((v, i) => [`1.${i + 1}`, decimal.plain(v)])) });
  const taps = (stored) => {
    let job = newJob({ id: 'i', serial: 's', stage: 'final', startedAt: 0 });
    ['12.885', '12.839', '12.852'].forEach((v, i) => { job = put(job, { key: `block_voltage/every_block/1.${i + 1}`, characteristic: 'block_voltage' }, v, i); });
    job = goTo({ ...job, taps: 1 }, 'taps/whole/1.1');
    for (const v of ['12.885', '25.724', '38.576']) ({ job } = take({ plan: plan(stored), shape: bench, job }, v, 9));
    return figures(plan(stored), job).taps;
  };
  assert.deepEqual(taps(null).swapped, [], 'nothing is stored');
  const found = taps(['12.905', '12.873', '12.859']);
  assert.deepEqual([found.swapped, found.text], [[[1, 2], [1, 3]], 'blocks 2 and 3 swapped, against what is stored of them']);
  assert.deepEqual(taps(['12.905', '12.859', '12.873']).swapped, [], 'stored as they lie');
  assert.deepEqual(taps(['12.905', '12.867', '12.865']).swapped, [], 'too near to each other to tell');
});

test('taps that were read stay on record and come back with a draft', () => {
  const plan = packPlan({ blocks: 3 });
  let job = newJob({ id: 'i', serial: plan.serial, stage: 'final', startedAt: 0 });
  ['12.885', '12.852', '12.839'].forEach((v, i) => { job = put(job, { key: `block_voltage/every_block/1.${i + 1}`, characteristic: 'block_voltage' }, v, i); });
  job = goTo({ ...job, taps: 1 }, 'taps/whole/1.1');
  for (const v of ['12.884', '25.722', '38.575']) ({ job } = take({ plan, shape: bench, job }, v, 9));
  assert.deepEqual(figures(plan, job).taps.swapped, [[1, 2], [1, 3]]);
  assert.match(bench.faultSentences(figures(plan, job)).join(), /taps blocks 2 and 3 swapped/);
  const sent = submission(job, plan, bench);
  assert.equal(sent.conditions.note, 'Taps of string 1, V: 12.884; 25.722; 38.575');
  const back = resume(JSON.parse(JSON.stringify(sent)), plan, bench);
  assert.deepEqual(figures(plan, back).taps.swapped, [[1, 2], [1, 3]]);
});
