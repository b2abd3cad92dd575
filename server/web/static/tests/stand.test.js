import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { newJob, current, open, undo, switchMethods, keyOf, put, putSpoke, goTo } from '../floor-job.js';
import { take, answer } from '../floor-take.js';
import { resolve } from '../floor-ask.js';
import { Hands } from '../floor-hands.js';
import { answerRest } from '../floor-job.js';
import { figures, outside } from '../stand-figures.js';
import { shape as wheel, entries, methodsFor } from '../stand-shape.js';
import { check } from '../stand-check.js';
import { faultSentences } from '../stand-screen.js';
import { casesOf } from './cases.js';
import { wheelPlan } from './plans.js';

const shape = { ...wheel, check };
const begin = (plan, every = false) => newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, every) });

/** hands types one line after another and gives the last answer. */
function hands(plan, job, lines) {
  let said;
  let now = 1000;
  for (const line of lines) ({ job, said } = take({ plan, shape, job }, line, (now += 1000)));
  return { job, said };
}

test('a quick wheel is twelve entries in the order of the work, then the list', () => {
  const plan = wheelPlan();
  const order = entries(plan, begin(plan)).map((e) => e.key);
  assert.deepEqual(order.slice(0, 12), [
    'lateral_runout/extremes/highest', 'lateral_runout/extremes/lowest', 'radial_runout/extremes/highest', 'radial_runout/extremes/lowest', 'dish/whole/0', 'dish/whole/1',
    'tension_a/sample/0', 'tension_a/sample/12', 'tension_a/sample/24', 'tension_b/sample/7', 'tension_b/sample/19', 'tension_b/sample/31']);
  assert.equal(order.length, 18);
});

test('an extreme is its value, then its spoke', () => {
  const plan = wheelPlan();
  let { job, said } = hands(plan, begin(plan), ['0.13']);
  assert.equal(said.kind, 'staged');
  assert.equal(current(job, entries(plan, job)).slot, 'highest');
  ({ job, said } = hands(plan, job, ['40']));
  assert.equal(said.kind, 'refused');
  ({ job, said } = hands(plan, job, ['9']));
  assert.equal(said.spoke, 8);
  assert.equal(current(job, entries(plan, job)).slot, 'lowest');
});

test('a lowest above its highest is refused, equal is taken', () => {
  const plan = wheelPlan();
  let { job, said } = hands(plan, begin(plan), ['0.13', '9', '0.14']);
  assert.equal(said.kind, 'refused');
  assert.deepEqual(job.events.map(({ what, characteristic, value }) => [what, characteristic, value]), [['refused', 'lateral_runout', '0.14']]);
  ({ said } = hands(plan, job, ['0.13']));
  assert.equal(said.kind, 'staged');
});

test('every hole: run-out in the order of the spokes and spoke 1 again, tension from side to side', () => {
  const plan = wheelPlan();
  const job = begin(plan, true);
  const all = entries(plan, job);
  const lateral = all.filter((e) => e.characteristic === 'lateral_runout');
  assert.deepEqual(lateral.map((e) => e.position), [...Array(36).keys(), 0]);
  const tension = all.filter((e) => e.group === 'tension');
  assert.deepEqual(tension.map((e) => e.position), [...Array(36).keys()]);
  assert.deepEqual(tension.slice(0, 3).map((e) => e.characteristic), ['tension_a', 'tension_b', 'tension_a']);
});

// The limits at both sides and on the line: equal to the limit passes.
test('lateral run-out against 0.30', () => {
  const plan = wheelPlan();
  for (const [high, low, state] of [['0.13', '-0.16', 'passes'], ['0.13', '-0.17', 'passes'], ['0.13', '-0.18', 'fault'], ['0.1', '-0.2001', 'fault']]) {
    const { job } = hands(plan, begin(plan), [high, '9', low, '28']);
    assert.equal(figures(plan, job).lateral.state, state, `${high} ${low}`);
  }
});

test('a run-out is lost as soon as it is over, and passes only when it is whole', () => {
  const plan = wheelPlan();
  let { job } = hands(plan, begin(plan, true), ['0.00', '0.10', '0.20', '0.30']);
  assert.equal(figures(plan, job).lateral.state, 'open');
  ({ job } = hands(plan, job, ['0.31']));
  const f = figures(plan, job).lateral;
  assert.equal(f.state, 'fault');
  // 0.31 wide in a band of 0.30: both ends stick out by the same half hundredth.
  assert.deepEqual(f.stations.map((s) => outside(f, s)), [true, false, false, false, true]);
});

// testdata/cases/wheels.json, kind runout: full indicator reading of whole turns.
test('the agreed cases of run-out', () => {
  let seen = 0;
  for (const c of casesOf('wheels.json', 'runout')) {
    if (c.input.stations !== c.input.readings.length || c.input.station_0_reread !== undefined) continue;
    const plan = wheelPlan((p) => { p.form.wheel.holes = c.input.stations; });
    let job = begin(plan, true);
    const code = c.input.what === 'radial' ? 'radial_runout' : 'lateral_runout';
    c.input.readings.forEach((v, i) => { job = put(job, { key: keyOf(code, 'every_hole', String(i)), characteristic: code }, String(v), i); });
    const f = figures(plan, job)[code === 'radial_runout' ? 'radial' : 'lateral'];
    const want = c.expected.tir_stations ?? c.expected.tir;
    if (want === undefined) continue;
    seen++;
    assert.ok(Math.abs(decimal.number(f.tir.value) - want) < 1e-9, `${c.id}: ${decimal.text(f.tir.value)}`);
  }
  assert.ok(seen > 0, 'no case was compared');
});

// testdata/cases/wheels.json, kind dish.
test('the agreed cases of dish', () => {
  for (const c of casesOf('wheels.json', 'dish')) {
    const plan = wheelPlan();
    let job = begin(plan);
    job = put(job, { key: 'dish/whole/0', characteristic: 'dish' }, String(c.input.shoulder_distance_A), 1);
    job = put(job, { key: 'dish/whole/1', characteristic: 'dish' }, String(c.input.shoulder_distance_B), 2);
    const f = figures(plan, job).dish;
    assert.equal(decimal.number(f.offset), c.expected.rim_offset_toward_A, c.id);
    assert.equal(decimal.number(f.abs.value), c.expected.dish_abs, c.id);
  }
});

// testdata/cases/wheels.json, kind tension_statistics: even index A, odd index B.
test('the agreed cases of tension', () => {
  for (const c of casesOf('wheels.json', 'tension_statistics')) {
    const plan = wheelPlan((p) => { p.form.wheel.holes = c.input.tensions.length; });
    let job = begin(plan, true);
    c.input.tensions.forEach((v, i) => {
      const code = i % 2 ? 'tension_b' : 'tension_a';
      job = put(job, { key: keyOf(code, 'every_hole', String(i)), characteristic: code }, String(v), i);
    });
    const t = figures(plan, job).tension;
    for (const [side, want] of [[t.a, c.expected.A], [t.b, c.expected.B]]) {
      assert.ok(Math.abs(decimal.number(side.mean) - want.mean) < 1e-5, c.id);
      const dev = side.results.find((r) => r.code.startsWith('side_tension_dev'));
      assert.ok(Math.abs(decimal.number(dev.value) - want.max_dev_pct) <= 0.0005, `${c.id}: ${decimal.text(dev.value)}`);
      assert.ok(Math.abs(side.spread - want.cv_pct) < 1e-6, `${c.id}: spread ${side.spread}`);
      const step = side.results.find((r) => r.code.startsWith('adjacent'));
      assert.ok(Math.abs(decimal.number(step.value) - (100 * want.max_adjacent_same_side) / want.mean) <= 0.0005, c.id);
    }
    assert.equal(decimal.text(t.ratio), c.expected.ratio_A_over_B.toFixed(2), c.id);
  }
});

test('a spoke under 450 N is a fault at once, 450 is none', () => {
  const plan = wheelPlan();
  let job = put(begin(plan), { key: 'tension_a/sample/0', characteristic: 'tension_a' }, '450', 1);
  assert.equal(figures(plan, job).tension.state, 'open');
  job = put(job, { key: 'tension_a/sample/12', characteristic: 'tension_a' }, '449.99', 2);
  assert.equal(figures(plan, job).tension.state, 'fault');
});

test('the lowest tension is one fault, of the lowest spoke on either side', () => {
  const plan = wheelPlan();
  const values = [['a', 0, '450'], ['a', 12, '455'], ['a', 24, '440'], ['b', 7, '430'], ['b', 19, '300'], ['b', 31, '310']];
  const job = values.reduce((j, [side, i, v]) => put(j, { key: `tension_${side}/sample/${i}`, characteristic: `tension_${side}` }, v, i), begin(plan));
  assert.deepEqual(figures(plan, job).tension.results.filter((r) => r.verdict === 'fail').map((r) => [r.code, r.at]), [
    ['tension_lowest', 19], ['side_tension_dev_pct_b', undefined], ['tension_mean_tight', undefined]]);
  assert.match(faultSentences(figures(plan, job))[0], /^Lowest tension 300 N at spoke 20, under 450/);
});

test('104 is asked about: nothing is converted before a key is pressed', () => {
  const plan = wheelPlan();
  let job = goTo(begin(plan), 'tension_a/sample/0');
  let said;
  ({ job, said } = take({ plan, shape, job }, '104', 1));
  assert.equal(said.kind, 'ask');
  assert.equal(said.reason, '104: kgf? As N it would be 1020');
  assert.equal(job.values['tension_a/sample/0'], undefined);
  const kgf = resolve({ plan, shape, job }, job.ask.options[0], 2).job;
  assert.equal(kgf.units.tension_a, 'kgf');
  assert.equal(kgf.units.tension_b, 'kgf');
  assert.equal(kgf.values['tension_a/sample/0'].text, '104');
  const newton = resolve({ plan, shape, job }, job.ask.options[1], 2).job;
  assert.equal(newton.units.tension_a, 'N');
  assert.equal(figures(plan, newton).tension.state, 'fault');
});

test('a digit that was left out: neither answer is right, and the reading is typed again', () => {
  const plan = wheelPlan();
  let { job, said } = take({ plan, shape, job: goTo(begin(plan), 'tension_a/sample/0') }, '45', 1);
  assert.equal(said.kind, 'ask');
  assert.equal(job.ask.options.at(-1).label, 'Neither');
  ({ job, said } = resolve({ plan, shape, job }, job.ask.options.at(-1), 2));
  assert.deepEqual([said.kind, job.ask, job.units, job.values, job.events.map((e) => [e.what, e.value])], ['refused', null, {}, {}, [['refused', '45']]]);
  ({ job, said } = take({ plan, shape, job }, '450', 3));
  assert.deepEqual([said.kind, said.unit, job.values['tension_a/sample/0'].text], ['taken', 'N', '450']);
});

/** Asked is a page with a question between two readings. */
class Asked extends Hands {
  change(job, said) { Object.assign(this, { job, said }); }
  screen() { return { ask: { lead: '', big: '' }, left: [1], entries: entries(this.plan, this.job) }; }
  draw() {}
}

test('Escape leaves a question between two readings, and takes nothing', () => {
  globalThis.document ??= { getElementById: () => ({}) };
  const plan = wheelPlan();
  const { job } = take({ plan, shape, job: goTo(begin(plan), 'tension_a/sample/0') }, '45', 1);
  const page = Object.assign(new Asked(), { plan, job, kind: { ...shape, faultSentences: () => [], figures }, phase: 'reading', input: { value: '1' }, moving: { drop() {} } });
  page.clear();
  assert.ok(page.job.ask, 'what was typed goes first');
  page.clear();
  assert.deepEqual([page.job.ask, page.job.values, page.said.reason], [null, {}, 'Read it again']);
});

test('spoke 1 again: 0.05 mm apart is taken, more is refused', () => {
  const plan = wheelPlan();
  let job = begin(plan, true);
  for (let i = 0; i < 36; i++) job = put(job, { key: keyOf('lateral_runout', 'every_hole', String(i)), characteristic: 'lateral_runout' }, '0.10', i);
  const again = (text) => take({ plan, shape, job: goTo(job, 'lateral_runout/every_hole/reread') }, text, 99).said.kind;
  assert.equal(again('0.15'), 'taken');
  assert.equal(again('0.16'), 'refused');
});

test('a jump is read again, and a second like reading is taken', () => {
  const plan = wheelPlan();
  let { job, said } = hands(plan, begin(plan, true), ['0.00', '0.01', '0.40']);
  assert.equal(said.kind, 'doubt');
  assert.equal(job.values['lateral_runout/every_hole/2'], undefined);
  ({ job, said } = hands(plan, job, ['0.42']));
  assert.equal(said.kind, 'taken');
  assert.equal(job.values['lateral_runout/every_hole/2'].text, '0.42');
});

test('four alike while radial moves are read again; a still rim may be alike', () => {
  const plan = wheelPlan();
  for (const [radial, kind] of [[['0.00', '0.01', '0.00', '0.00'], 'doubt'], [['0.00', '0.00', '0.00', '0.00'], 'taken']]) {
    let job = begin(plan, true);
    radial.forEach((v, i) => { job = put(job, { key: keyOf('radial_runout', 'every_hole', String(i)), characteristic: 'radial_runout' }, v, i); });
    assert.equal(hands(plan, job, ['0.05', '0.05', '0.05', '0.05']).said.kind, kind);
  }
});

test('switching keeps what is there, a contradiction asks, and back again loses nothing', () => {
  const plan = wheelPlan();
  let { job } = hands(plan, begin(plan), ['0.13', '2', '-0.09', '28']);
  job = switchMethods(job, methodsFor(plan, true));
  let said;
  ({ job, said } = hands(plan, job, ['0.00', '0.20']));
  assert.equal(said.kind, 'ask');
  const again = resolve({ plan, shape, job }, job.ask.options[1], 9);
  assert.equal(again.job.values['lateral_runout/every_hole/1'], undefined);
  const now = resolve({ plan, shape, job }, job.ask.options[0], 9).job;
  assert.equal(now.values['lateral_runout/every_hole/1'].text, '0.20');
  assert.equal(now.values['lateral_runout/extremes/highest'], undefined);
  const back = switchMethods(again.job, methodsFor(plan, false));
  assert.equal(back.values['lateral_runout/extremes/highest'].text, '0.13');
  assert.equal(back.values['lateral_runout/every_hole/0'].text, '0.00');
});

test('undo takes back the newest, keeps it as an event, and goes there', () => {
  const plan = wheelPlan();
  let { job } = hands(plan, begin(plan), ['0.13', '9', '-0.09', '28']);
  const got = undo(job, shape.allEntries(plan), 60000);
  assert.equal(got.undone[0].entry.slot, 'lowest');
  assert.deepEqual(got.job.events.at(-1), { at: 60000, what: 'undone', characteristic: 'lateral_runout', position: 27, value: '-0.09' });
  assert.equal(current(got.job, entries(plan, got.job)).slot, 'lowest');
  const before = undo(got.job, shape.allEntries(plan), 61000);
  assert.equal(before.undone[0].entry.slot, 'highest');
  assert.equal(undo(before.job, shape.allEntries(plan), 62000).undone.length, 0);
});

test('yes to the rest is one press, and undo takes back the press', () => {
  const plan = wheelPlan();
  let job = begin(plan);
  const list = entries(plan, job).filter((e) => e.kind === 'tick');
  ({ job } = answer({ plan, shape, job: goTo(job, list[0].key) }, list[0], 'na', 500));
  job = answerRest(job, list, 'yes', 900);
  assert.equal(job.values[list[0].key].text, 'na');
  assert.equal(new Set(list.slice(1).map((e) => job.values[e.key].at)).size, 1);
  assert.equal(undo(job, shape.allEntries(plan), 1000).undone.length, 5);
});

test('a whole good wheel leaves nothing open and no fault', () => {
  const plan = wheelPlan();
  let { job } = hands(plan, begin(plan), ['0.13', '9', '-0,09', '28', '.12', '17', '-0.14', '3', '67.40', '67.80', '1085', '1120', '1062', '711', '738', '704']);
  job = answerRest(job, entries(plan, job).filter((e) => e.kind === 'tick'), 'yes', 99999);
  assert.equal(open(job, entries(plan, job)).length, 0);
  const f = figures(plan, job);
  assert.deepEqual(f.faults, []);
  assert.equal(decimal.text(f.dish.abs.value), '0.20');
  assert.equal(decimal.text(decimal.roundTo(f.tension.a.mean, 0)), '1089');
  assert.equal(decimal.text(f.tension.ratio), '1.52');
});

test('putSpoke keeps the value', () => {
  const entry = { key: 'lateral_runout/extremes/highest', kind: 'extreme', characteristic: 'lateral_runout' };
  const job = putSpoke(put(newJob({ id: 'i', serial: 's', stage: 'x', startedAt: 0 }), entry, '0.1', 5), entry, 3, 6);
  assert.deepEqual(job.values[entry.key], { text: '0.1', at: 6, spoke: 3 });
});
