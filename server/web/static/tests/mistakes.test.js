// The mistakes that are made at a truing stand, each with the place where it is
// caught: at once on the page where the practitioner still has the wheel in hand,
// or by the office at the verdict or after the round.
import test from 'node:test';
import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { newJob } from '../floor-job.js';
import { take } from '../floor-take.js';
import { pedal } from '../floor-keys.js';
import { check } from '../stand-check.js';
import { shape as wheel, methodsFor } from '../stand-shape.js';
import { mask } from '../stand-mask.js';
import { wheelPlan } from './plans.js';

const shape = { ...wheel, check };

/** atPage types lines at a wheel read at every hole and gives what was said of the last. */
function atPage(lines, change = () => {}) {
  const plan = wheelPlan(change);
  let job = newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, true) });
  let said;
  let now = 0;
  for (const line of lines) ({ job, said } = typeof line === 'object' ? { job: { ...job, at: line.at } } : take({ plan, shape, job }, line, (now += 1000)));
  return said;
}

const turn = (value) => Array(36).fill(value);
const tension = { at: 'tension_a/every_hole/0' };

const atOnce = [
  ['a station skipped: spoke 1 once more does not agree', () => atPage([...turn('0.10'), '0.16']), 'refused', /wheel or gauge moved/],
  ['wheel loose in the stand: spoke 1 once more does not agree', () => atPage([...turn('0.10'), '0.04']), 'refused', /wheel or gauge moved/],
  ['unit mixed up: kgf typed as newtons', () => atPage([tension, '104']), 'ask', /kgf\? As N it would be 1.?020/],
  ['tension at a crossing or on a bent spoke', () => atPage([...[0, 2, 4, 6].flatMap((i, n) => [{ at: `tension_a/every_hole/${i}` }, n < 3 ? '1000' : '1210'])]), 'doubt', /over 20 %/],
  ['an indicator that sticks while the rim moves', () => atPage([
    ...['0.00', '0.05', '0.00', '0.05'].flatMap((v, i) => [{ at: `radial_runout/every_hole/${i}` }, v]), ...[0, 1, 2, 3].flatMap((i) => [{ at: `lateral_runout/every_hole/${i}` }, '0.02'])]), 'doubt', /four alike/],
  ['a weld or decal under the tip', () => atPage(['0.10', '0.10', '0.45']), 'doubt', /a jump/],
  ['no table for this spoke', () => atPage([tension, '22 div'], (json) => { json.specification.characteristics.find((c) => c.code === 'tension_a').units.push('div'); }), 'refused', /./],
];

for (const [mistake, act, kind, words] of atOnce) {
  test(`caught at the page: ${mistake}`, () => {
    const said = act();
    assert.equal(said.kind, kind);
    assert.match(said.reason, words);
  });
}

test('caught at the page: pedal bounce, counted and ignored', () => {
  let at = 0;
  const seen = { pressed: 0, bounced: 0 };
  const foot = pedal({ acts: { pedal: () => { seen.pressed += 1; }, bounced: () => { seen.bounced += 1; } }, now: () => at, later: () => 1, never: () => {} });
  for (const t of [0, 149, 400]) { at = t; foot.down(false); foot.up(); }
  assert.deepEqual(seen, { pressed: 2, bounced: 1 });
});

// What only a whole set or a round can tell is caught by the office; the page
// shows its remark beside the verdict, or the stop after the turns.
const atTheOffice = [
  ['sides swapped, by their ratio', 'models/trade/kinds/wheel_test.go', 'TestExchangedSidesAreRemarked', 'side_swap'],
  ['sides swapped, turned the wrong way, a shifted start, the other flank: by the round', 'models/trade/wheel/explain_test.go', 'TestExplainNamesTheMistake', 'OtherFlank'],
  ['and that round stops', 'models/work/truing/truing_test.go', 'TestAMistakeIsStopped', 'Stop'],
  ['gauge not set to zero against the dish', 'models/work/capture/masks_test.go', 'TestDoubtsOfAWholeSetAreRemarks', 'gauge_not_zeroed'],
  ['a mean that fits another unit', 'models/work/capture/masks_test.go', 'TestDoubtsOfAWholeSetAreRemarks', 'unit_suspect'],
  ['table of another spoke or gauge', 'models/work/capture/divisions_test.go', 'TestTensionInDivisions', 'no_gauge_table'],
  ['wheel loose, pressed both ways', 'models/trade/wheel/masked_test.go', 'Loose', 'Loose'],
];

for (const [mistake, file, name, word] of atTheOffice) {
  test(`caught by the office: ${mistake}`, () => {
    const text = readFileSync(new URL(`../../../../${file}`, import.meta.url), 'utf8');
    assert.ok(text.includes(name) && text.includes(word), `${file} has no ${name} with ${word}`);
  });
}

// One in nine of 36 holes, at most four.
test('a mask counts as answered, and a fifth is refused', () => {
  const plan = wheelPlan();
  let job = newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: methodsFor(plan, true) });
  for (const i of [18, 19, 20, 0]) {
    const entry = shape.entries(plan, job).find((e) => e.key === `lateral_runout/every_hole/${i}`);
    ({ job } = mask({ plan, job, shape }, entry, { reason: 'weld' }, 1000 + i));
  }
  assert.equal(shape.entries(plan, job).some((e) => e.characteristic === 'lateral_runout' && e.slot === 'reread'), false, 'spoke 1 is asked for again though it is masked');
  const fifth = shape.entries(plan, job).find((e) => e.key === 'lateral_runout/every_hole/5');
  assert.match(mask({ plan, job, shape }, fifth, { reason: 'weld' }, 5000).refused, /4 of 36/);
});
