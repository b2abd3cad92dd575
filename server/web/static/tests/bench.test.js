import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { newJob, put, current, goTo, keyOf } from '../floor-job.js';
import { take, answer } from '../floor-take.js';
import { resolve } from '../floor-ask.js';
import { submission, resume } from '../floor-submission.js';
import { figures, gateLines } from '../bench-figures.js';
import { shape as pack, entries, given } from '../bench-shape.js';
import { check, ways } from '../bench-check.js';
import { endOf, fitted, string } from '../bench-string.js';
import { bench } from '../bench-screen.js';
import { casesOf } from './cases.js';
import { packPlan } from './plans.js';

const shape = { ...pack, check };
const begin = (plan) => given(plan, newJob({ id: 'i', serial: plan.serial, stage: 'final', startedAt: 0, methods: { block_temperature: 'whole' } }));
const voltages = (job, list, string = 1) => list.reduce((j, v, i) => put(j, { key: `block_voltage/every_block/${string}.${i + 1}`, characteristic: 'block_voltage' }, String(v), i), job);

function conditions(job, { rest, charger, load }) {
  const say = (slot, text) => { job = put(job, { key: keyOf('conditions', 'whole', slot), local: true }, text, 1); };
  if (rest !== undefined) say('rest_hours', String(rest));
  if (charger !== undefined) say('on_charger', charger ? 'yes' : 'no');
  if (load !== undefined) say('load_a', String(load));
  return job;
}

test('a pack is asked for in the order of the work', () => {
  const plan = packPlan({ parts: [{ role: 'block', place: '1.1', number: 'Q2-0987' }] });
  const groups = [...new Set(entries(plan, begin(plan)).map((e) => e.group))];
  assert.deepEqual(groups, ['blocks', 'gate', 'voltage', 'resistance', 'pack', 'ticks']);
  assert.deepEqual(entries(plan, begin(plan)).filter((e) => e.group === 'blocks').map((e) => e.slot), ['1.2', '1.3', '1.4', 'all']);
});

test('why a doubtful block was taken goes with its number, and is gone with it', () => {
  const plan = packPlan({ blocks: 2 });
  let job = begin(plan);
  ({ job } = take({ plan, shape, job }, 'Q2-0992', 5));
  const key = keyOf('parts', 'number', '1.1');
  job = { ...job, values: { ...job.values, [key]: { ...job.values[key], why: 'nothing else in stock' } } };
  const sent = submission(job, plan, shape);
  assert.deepEqual(sent.parts, [{ role: 'block', place: '1.1', number: 'Q2-0992', reason: 'nothing else in stock' }]);
  assert.equal(resume(sent, plan, shape).values[key].why, 'nothing else in stock');
  ({ job } = take({ plan, shape, job: goTo(job, key) }, 'Q2-0993', 9));
  assert.deepEqual(submission(job, plan, shape).parts, [{ role: 'block', place: '1.1', number: 'Q2-0993' }]);
});

test('a number that does not fit is shown by its end, and says so', () => {
  assert.equal(endOf('PB17-501104', 11), 'PB17-501104');
  assert.equal(endOf('PB17-501104', 10), '…17-501104');
  assert.equal(endOf('PB17-501104', 4), '…104');
});

test('a block whose number is not known is passed over with Take alone', () => {
  const plan = packPlan({ blocks: 2 });
  let job = begin(plan);
  assert.equal(current(job, entries(plan, job)).group, 'blocks');
  for (const line of ['', 'Q2-0992', '']) ({ job } = take({ plan, shape, job }, line, 5));
  assert.equal(current(job, entries(plan, job)).slot, 'rest_hours');
  assert.deepEqual(submission(job, plan, shape).parts, [{ role: 'block', place: '1.2', number: 'Q2-0992' }]);
});

// testdata/cases/packs.json, kind reading_gate.
test('the agreed cases of the gate', () => {
  for (const c of casesOf('packs.json', 'reading_gate')) {
    const plan = packPlan({ blocks: 1, form: { chemistry: c.input.chemistry, min_rest_hours: String(c.input.min_rest_h) } });
    const job = voltages(conditions(begin(plan), { rest: c.input.rest_h, charger: c.input.on_charger, load: c.input.load_A }), [c.input.ocv_V]);
    const g = figures(plan, job).gate;
    assert.equal(g.state === 'passes', c.expected.valid, c.id);
    const reasons = [g.short && 'rest_too_short', g.charger === 'yes' && 'on_charger', decimal.sign(g.load) !== 0 && 'under_load', g.charged.length && 'surface_charge_suspected'].filter(Boolean);
    assert.deepEqual(reasons, c.expected.reasons, c.id);
  }
});

test('a rest that is short and nothing else is provisional from four hours', () => {
  const plan = packPlan();
  const state = (rest) => figures(plan, conditions(begin(plan), { rest, charger: false, load: 0 })).gate.state;
  assert.equal(state('24'), 'passes');
  assert.equal(state('23.9'), 'provisional');
  assert.equal(state('4'), 'provisional');
  assert.equal(state('3.9'), 'unjudged');
  assert.equal(gateLines(plan, figures(plan, begin(plan)))[0].shape, 'open');
});

// testdata/cases/packs.json, kind series_sum.
test('the agreed cases of the series sum', () => {
  for (const c of casesOf('packs.json', 'series_sum')) {
    const plan = packPlan({ blocks: c.input.blocks_V.length });
    let job = voltages(begin(plan), c.input.blocks_V);
    job = put(job, { key: 'pack_voltage/whole/1', characteristic: 'pack_voltage' }, String(c.input.pack_V), 99);
    const [s] = figures(plan, job).pack.strings;
    assert.ok(Math.abs(decimal.number(s.sum) - c.expected.sum_V) < 0.0005, c.id);
    assert.ok(Math.abs(decimal.number(s.apart) - c.expected.diff_V) < 0.0005, c.id);
  }
});

// testdata/cases/packs.json, kind pack_spread.
test('the agreed cases of spread', () => {
  for (const c of casesOf('packs.json', 'pack_spread')) {
    const plan = packPlan({ blocks: c.input.ocv25_V.length });
    let job = voltages(begin(plan), c.input.ocv25_V);
    c.input.R25_mohm.forEach((v, i) => { job = put(job, { key: `block_resistance/every_block/1.${i + 1}`, characteristic: 'block_resistance' }, String(v), i); });
    const f = figures(plan, job);
    assert.ok(Math.abs(decimal.number(f.voltage.spread.value) - c.expected.ocv_range_V) < 0.0002, c.id);
    assert.ok(Math.abs(decimal.number(f.resistance.spread.value) - c.expected.ir_range_pct_of_median) < 0.01, c.id);
    assert.equal(f.voltage.spread.verdict, c.expected.ocv_range_V <= 0.1 ? 'pass' : 'fail', c.id);
  }
});

// testdata/cases/packs.json, kind ir_unit_guess: a number that fits in another unit is asked about.
test('the agreed cases of a resistance in another unit', () => {
  const unit = { entered_in_ohm: 'ohm', entered_in_microohm: 'uohm', conductance_in_siemens: 'S' };
  for (const c of casesOf('packs.json', 'ir_unit_guess')) {
    const plan = packPlan({ blocks: 1, form: { resistance_low: String(c.input.expected_low_mohm), resistance_high: String(c.input.expected_high_mohm) } });
    const { job, said } = take({ plan, shape, job: goTo(begin(plan), 'block_resistance/every_block/1.1') }, String(c.input.entered), 1);
    if (!unit[c.expected.guess]) {
      assert.equal(said.kind, c.expected.guess === 'implausible' ? 'doubt' : 'taken', c.id);
      continue;
    }
    assert.equal(said.kind, 'ask', c.id);
    assert.equal(job.ask.options[0].unit, unit[c.expected.guess], c.id);
    const after = resolve({ plan, shape, job }, job.ask.options[0], 2).job;
    assert.ok(Math.abs(decimal.number(figures(plan, after).resistance.readings[0].value) - c.expected.as_mohm) < 0.001, c.id);
  }
});

// A window of 4 to 20 milliohm: half of it to twice it is taken as it is; 41 would be
// 24.4 milliohm as siemens. In a set that holds readings no other unit is offered.
test('a resistance is doubted beyond half and twice its window', () => {
  const plan = packPlan({ blocks: 2 });
  const first = (typed) => take({ plan, shape, job: goTo(begin(plan), 'block_resistance/every_block/1.1') }, typed, 1);
  for (const typed of ['2', '4', '20', '40']) assert.equal(first(typed).said.kind, 'taken', typed);
  const asked = first('41');
  assert.equal(asked.said.kind, 'ask');
  assert.equal(asked.job.ask.options[0].unit, 'S');
  const { job } = first('9.6');
  const second = take({ plan, shape, job }, '0.0094', 2);
  assert.deepEqual(second.job.ask?.options?.filter((o) => o.does === 'unit') ?? [], []);
  assert.match(second.said.reason, /Read again: 0.0094 mΩ, or Ω/);
  assert.equal(second.job.values['block_resistance/every_block/1.2'], undefined);
});

// 21 for 2.1 in a window of 0.6 to 6 milliohm: as siemens it would be 47.6, which fits no better.
test('a resistance that fits in no unit is read again, and believed when it reads so twice', () => {
  const plan = packPlan({ blocks: 2, form: { resistance_low: '0.6', resistance_high: '6' } });
  const read = (job, typed) => take({ plan, shape, job }, typed, 1);
  const doubted = read(goTo(begin(plan), 'block_resistance/every_block/1.1'), '21');
  assert.deepEqual([doubted.said.kind, doubted.said.reason], ['doubt', 'Read again: 21 mΩ is far from 0.3 to 12 mΩ']);
  assert.equal(read(doubted.job, '2.1').said.kind, 'taken');
  assert.equal(read(doubted.job, '23').said.kind, 'doubt', 'read otherwise it is doubted once more');
  assert.equal(read(doubted.job, '22').said.kind, 'taken', 'a twentieth apart it is much the same');
});

test('a spread beyond its limit carries the mark of a fail', () => {
  const plan = packPlan({ blocks: 2 });
  const foot = (values) => {
    const job = values.reduce((j, v, i) => put(j, { key: `block_resistance/every_block/1.${i + 1}`, characteristic: 'block_resistance' }, v, i), begin(plan));
    return bench.screen({ plan, job, typed: '', said: null, walk: null, narrow: false }).beside.foot.find((r) => r.text.startsWith('Spread')).fails;
  };
  assert.equal(foot(['9.6', '9.4']), false);
  assert.equal(foot(['21', '2.1']), true);
});

// String 1 is 50 mV below the sum of its blocks, string 2 10 mV above.
test('the string that is furthest from its blocks counts, either way', () => {
  const plan = packPlan({ strings: 2, blocks: 2 });
  let job = voltages(voltages(begin(plan), ['12.80', '12.86']), ['12.90', '12.95'], 2);
  ['25.61', '25.86'].forEach((v, i) => { job = put(job, { key: `pack_voltage/whole/${i + 1}`, characteristic: 'pack_voltage' }, v, 9); });
  const { difference } = figures(plan, job).pack;
  assert.equal(decimal.text(difference.value), '0.05');
  assert.equal(difference.string, 1);
  assert.equal(difference.verdict, 'fail');
});

test('how resistance is measured is asked once where the product does not say', () => {
  const plan = packPlan({ blocks: 2, form: { resistance_method: '' } });
  let { job, said } = take({ plan, shape, job: goTo(begin(plan), 'block_resistance/every_block/1.1') }, '9.6', 1);
  assert.equal(said.kind, 'ask');
  ({ job, said } = resolve({ plan, shape, job }, job.ask.options[1], 2));
  assert.equal(said.kind, 'taken');
  ({ job, said } = take({ plan, shape, job }, '9.4', 3));
  assert.equal(said.kind, 'taken');
  assert.equal(submission(job, plan, shape).sets.find((s) => s.characteristic === 'block_resistance').manner, 'dc_two_point');
});

test('each string is measured and judged alone', () => {
  const plan = packPlan({ strings: 2, blocks: 2 });
  const job = voltages(voltages(begin(plan), ['12.80', '12.86']), ['12.90', '12.95'], 2);
  const f = figures(plan, job);
  assert.equal(decimal.text(f.voltage.spread.value), '0.06');
  assert.equal(f.voltage.spread.verdict, 'pass');
  assert.deepEqual(entries(plan, job).filter((e) => e.group === 'pack').map((e) => e.position), [[1, 0], [2, 0]]);
});

test('a pack is sent with its conditions, manner and places, and read back', () => {
  const plan = packPlan({ blocks: 2, parts: [{ role: 'block', place: '1.1', number: 'a' }, { role: 'block', place: '1.2', number: 'b' }] });
  let job = begin(plan);
  const type = (line) => { ({ job } = take({ plan, shape, job }, line, job.startedAt + 1)); };
  type('26');
  ({ job } = answer({ plan, shape, job }, current(job, entries(plan, job)), 'no', 2));
  ['0', '23,4', '12.87', '12.86', '9.6', '9.4', '25.73'].forEach(type);
  const sent = submission(job, plan, shape, { complete: true });
  assert.deepEqual(sent.conditions, { rest_hours: '26', load_a: '0' });
  const by = (code) => sent.sets.find((s) => s.characteristic === code);
  assert.deepEqual(by('block_voltage').index, [[1, 1], [1, 2]]);
  assert.equal(by('block_resistance').manner, 'ac_1khz');
  assert.deepEqual(by('pack_voltage').index, [[1, 0]]);
  assert.deepEqual([by('block_temperature').method, by('block_temperature').values, by('block_temperature').index], ['whole', ['23,4'], undefined]);
  const back = resume(JSON.parse(JSON.stringify(sent)), plan, shape);
  assert.equal(back.values['conditions/whole/on_charger'].text, 'no');
  assert.equal(current(back, entries(plan, back)).kind, 'tick');
});

test('"not on the charger" is remembered by a draft before anything was read', () => {
  const plan = packPlan({ blocks: 2, parts: [{ role: 'block', place: '1.1', number: 'a' }, { role: 'block', place: '1.2', number: 'b' }] });
  let job = begin(plan);
  ({ job } = answer({ plan, shape, job }, entries(plan, job).find((e) => e.slot === 'on_charger'), 'no', 2)); // the rest is left for later
  const draft = JSON.parse(JSON.stringify(submission(job, plan, shape)));
  assert.equal(resume(draft, plan, shape).values['conditions/whole/on_charger']?.text, 'no');
  assert.deepEqual(submission(job, plan, shape, { complete: true }).conditions, {}, 'an inspection says it as before');
  assert.equal(resume(submission(begin(plan), plan, shape), plan, shape).values['conditions/whole/on_charger'], undefined, 'not asked yet');
});

// A digit of the type is 0.58 of its size wide: six of 14 px need 49 px.
test('values are written as they fit into their boxes', () => {
  const of = (width, ...list) => fitted(list.map((v) => (v ? decimal.plain(v) : null)), width, 14);
  assert.deepEqual(of(60, '12.871', null, '12.858'), { texts: ['12.871', null, '12.858'], before: '' });
  assert.deepEqual(of(34, '12.871', null, '12.858'), { texts: ['.871', null, '.858'], before: '12' }, 'what all share stands once');
  assert.deepEqual(of(34, '12.991', '13.004'), { texts: ['13', '13'], before: '' }, 'they share nothing: fewer decimals');
  assert.deepEqual(of(34, '9.41', '9.38'), { texts: ['9.41', '9.38'], before: '' });
  assert.deepEqual(of(34, null, null), { texts: [null, null], before: '' });
});

test('two methods of resistance are never in one set', () => {
  const plan = packPlan({ blocks: 2 });
  const at = { characteristic: 'block_resistance' };
  let job = goTo(begin(plan), 'block_resistance/every_block/1.1');
  const [other] = ways(job, at);
  assert.deepEqual([other.label, other.refuse, other.job.manners.block_resistance], ['Two currents, d.c.', '', 'dc_two_point']);
  ({ job } = take({ plan, shape, job }, '9.6', 1));
  assert.match(ways(job, at)[0].refuse, /read by 1 kHz a\.c\.; take its readings back/);
  assert.deepEqual(ways(job, { characteristic: 'block_voltage' }), []);
});

// The median of 5.00, 5.10, 5.20 and 4.90 is 5.05: 0.15 of it is 2.97 %, 0.05 is 0.99 %.
test('beside its point a block lies apart in the unit that its band is headed by', () => {
  const plan = packPlan();
  const job = ['5.00', '5.10', '5.20', '4.90'].reduce((j, v, i) => put(j, { key: `block_resistance/every_block/1.${i + 1}`, characteristic: 'block_resistance' }, v, i), voltages(begin(plan), ['12.80', '12.81', '12.83', '12.80']));
  const words = (more) => string(plan, job, figures(plan, job), more).filter((x) => x[0] === 'text').map((x) => x[2]);
  const wide = words();
  assert.ok(wide.includes('20 % wide') && wide.includes('100 mV wide'), String(wide));
  assert.deepEqual(wide.slice(wide.indexOf('20 % wide') + 1), ['\u22121.0', '+1.0', '+3.0', '\u22123.0']);
  assert.deepEqual(words({ narrow: true }).slice(-4), ['\u22125 mV', '+5 mV', '+25 mV', '\u22125 mV']);
  const noLimit = { ...plan, specification: { ...plan.specification, characteristics: plan.specification.characteristics.map((c) => ({ ...c, results: [] })) } };
  assert.ok(string(noLimit, job, figures(noLimit, job)).some((x) => x[2] === 'in %'));
});
