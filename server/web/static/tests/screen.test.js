import test from 'node:test';
import assert from 'node:assert/strict';
import { newJob, goTo, put, switchMethods, answerRest } from '../floor-job.js';
import { take } from '../floor-take.js';
import { stand } from '../stand-screen.js';
import { bench } from '../bench-screen.js';
import { startScreen, sendingScreen, verdictScreen } from '../floor-scenes.js';
import { wheelPlan, packPlan } from './plans.js';

const begin = (kind, plan) => {
  const job = newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: kind.begin(plan) });
  return kind.given ? kind.given(plan, job) : job;
};

/** sound walks a screen and complains of what must never be shown. */
function sound(value, path) {
  if (typeof value === 'number') assert.ok(Number.isFinite(value), `${path}: ${value}`);
  if (typeof value === 'string') assert.doesNotMatch(value, /NaN|undefined|null|Infinity|\[object/, `${path}: ${value}`);
  if (typeof value === 'function' || !value || typeof value !== 'object') return;
  for (const [key, inner] of Object.entries(value)) if (key !== 'entry' && key !== 'entries' && key !== 'left') sound(inner, `${path}.${key}`);
}

const model = (plan, job, more = {}) => ({ plan, job, typed: '', said: null, walk: null, narrow: false, ...more });

/** everyStep goes through all entries of a kind and looks at each screen. */
function everyStep(kind, plan, first, value) {
  let job = first;
  let now = 1000;
  const asked = new Set();
  for (let guard = 0; guard < 400; guard++) {
    const s = kind.screen(model(plan, job));
    sound(s, 'screen');
    sound(kind.screen(model(plan, job, { narrow: true, typed: '1' })), 'narrow');
    sound(kind.screen(model(plan, job, { walk: 1, typed: '-' })), 'walked');
    if (!s.entry) break;
    asked.add(s.entry.key);
    if (s.entry.kind === 'tick' || s.entry.kind === 'choice') job = { ...put(job, s.entry, s.entry.kind === 'tick' ? 'yes' : 'no', (now += 9)), at: null };
    else {
      const lines = s.entry.kind === 'extreme' ? [value(s.entry), '5'] : [value(s.entry)];
      for (const line of lines) {
        const got = take({ plan, shape: kind, job }, line, (now += 1000));
        assert.ok(['taken', 'staged'].includes(got.said.kind), `${s.entry.key} ${line}: ${got.said.kind} ${got.said.reason ?? ''}`);
        sound(kind.screen(model(plan, got.job, { said: got.said })), 'taken');
        assert.notEqual(kind.spokenTaken({ ...got.said, spoke: got.said.spoke }), '');
        job = got.job;
      }
    }
  }
  return { job, asked };
}

const wheelValue = (e) => (e.slot === 'highest' ? '0.10' : e.slot === 'lowest' ? '-0.05' : e.characteristic === 'dish' ? '67.4' : e.characteristic.startsWith('tension') ? '1000' : '0.02');

test('every step of a quick wheel can be shown', () => {
  const plan = wheelPlan();
  const { job, asked } = everyStep(stand, plan, begin(stand, plan), wheelValue);
  assert.equal(asked.size, 18);
  assert.equal(stand.screen(model(plan, job)).go.label, 'Send');
});

test('every step of every hole can be shown, whatever the count of spokes', () => {
  for (const n of [12, 28, 36, 72]) {
    const plan = wheelPlan((p) => { p.form.wheel.holes = n; });
    const { asked } = everyStep(stand, plan, switchMethods(begin(stand, plan), stand.every(plan)), wheelValue);
    assert.equal(asked.size, 2 * (n + 1) + 2 + n + 6, `${n} spokes`);
  }
});

test('every step of a pack can be shown, one string or more', () => {
  for (const shape of [{ blocks: 1 }, { blocks: 4 }, { strings: 3, blocks: 5 }, { blocks: 16 }]) {
    const plan = packPlan(shape);
    const value = (e) => ({ conditions: e.slot === 'load_a' ? '0' : '26', parts: e.slot === 'all' ? 'BL-0012' : '', block_voltage: '12.86', block_resistance: '9.4', block_temperature: '23', pack_voltage: '40' })[e.characteristic];
    const { asked } = everyStep(bench, plan, begin(bench, plan), value);
    const n = (shape.strings ?? 1) * shape.blocks;
    assert.equal(asked.size, n + 1 + 3 + 1 + 2 * n + (shape.strings ?? 1) + 2, JSON.stringify(shape));
  }
});

test('what became of an entry is shown with its reason', () => {
  const plan = wheelPlan();
  const job = begin(stand, plan);
  for (const [line, word, reason] of [['1.2.3', 'Refused', '1.2.3 is not a number'], ['9', 'Refused', '9 is outside L-14’s range, \u22125 to 5 mm; the range is set under Instruments']]) {
    const { job: after, said } = take({ plan, shape: stand, job }, line, 1);
    const { last } = stand.screen(model(plan, after, { said }));
    assert.equal(last.lab.word, word);
    assert.equal(last.sub, reason);
    assert.equal(last.struck, true);
  }
  // A spoke that is refused: its number is, the value was taken.
  const { job: staged } = take({ plan, shape: stand, job }, '0.12', 1);
  const { job: asked, said } = take({ plan, shape: stand, job: staged }, '40', 2);
  const { last } = stand.screen(model(plan, asked, { said }));
  assert.deepEqual([last.lab.word, last.rest, last.value, last.struck], ['Refused', '40 is not a spoke: 1 to 36', '40', true]);
  assert.match(last.slot.before, /^\+0\.12 mm .*at spoke$/);
  const unsent = stand.screen(model(plan, job, { said: { kind: 'unsent', reason: 'The office does not answer.' } })).last;
  assert.equal(unsent.lab.word, 'Not sent');
  const whole = stand.screen(model(plan, job, { said: { kind: 'refused', entry: null, text: 'Not taken', reason: 'why' } })).last;
  assert.equal(whole.sub, 'why');
});

test('a fault is said as soon as it is there, and no colour of a verdict before', () => {
  const plan = wheelPlan();
  let job = begin(stand, plan);
  assert.equal(stand.screen(model(plan, job)).third.v.tone, 'ink');
  for (const line of ['0.20', '9', '-0.11', '28']) ({ job } = take({ plan, shape: stand, job }, line, 9e3));
  const s = stand.screen(model(plan, job));
  assert.deepEqual([s.third.v.tone, s.third.v.word, s.third.note], ['fail', 'A fault', 'Lateral 0.31 mm, over 0.30.']);
  assert.equal(s.tools.find((t) => t.does === 'every').go, true);
});

// 1403 is the mean of 1400, 1420 and 1390 rounded to the newton; 800 to 1300 are the plan's limits.
test('beside the mark of the tensions stands the side that failed, else the tighter one', () => {
  const read = (a, b) => {
    const plan = wheelPlan();
    let job = begin(stand, plan);
    for (const [side, at, all] of [['a', [0, 12, 24], a], ['b', [7, 19, 31], b]]) all.forEach((v, i) => { job = put(job, { key: `tension_${side}/sample/${at[i]}`, characteristic: `tension_${side}` }, v, i); });
    const s = stand.screen(model(plan, job));
    const row = s.sets.find((r) => r.key === 'tension');
    return [row.name + (row.nameMore ?? ''), row.value, row.v.word, row.sub.split(';')[0]];
  };
  const mild = ['900', '910', '880'], hard = ['1400', '1420', '1390'];
  assert.deepEqual(read(mild, hard), ['Tension B', '1403', 'Fails', 'side A 897 N']);
  assert.deepEqual(read(hard, mild), ['Tension A', '1403', 'Fails', 'side B 897 N']);
  assert.deepEqual(read(mild, ['900', '930', '920']), ['Tension B', '917', 'Passes', 'side A 897 N']);
  assert.deepEqual(read(['900', '930', '920'], mild), ['Tension A', '917', 'Passes', 'side B 897 N']);
  assert.deepEqual(read(mild, ['500', '700', '600']), ['Tension B', '600', 'Fails', 'side A 897 N']); // 100 of 600 from the mean is over 15 %
  assert.deepEqual(read(mild, ['440']).slice(0, 3), ['Tension B', '440', 'Fails']);
  assert.deepEqual(read(mild, []).slice(0, 2), ['Tension A', '897']);
  const plan = wheelPlan();
  let job = begin(stand, plan);
  [...mild, ...hard].forEach((v, i) => { job = put(job, { key: `tension_${i < 3 ? 'a' : 'b'}/sample/${[0, 12, 24, 7, 19, 31][i]}`, characteristic: `tension_${i < 3 ? 'a' : 'b'}` }, v, i); });
  assert.equal(stand.screen(model(plan, job)).third.note, 'Mean of the tighter side, B: 1403 N, over 1300.');
});

test('what is open is named, and nothing is called open once everything is read', () => {
  const plan = wheelPlan();
  let job = begin(stand, plan);
  const note = () => stand.screen(model(plan, job)).third;
  const hands = (lines) => { for (const line of lines) ({ job } = take({ plan, shape: stand, job }, line, 9e3)); };
  assert.equal(note().note, 'Open: everything.');
  hands(['0.10', '9', '-0.10', '28']);
  assert.equal(note().note, 'Passed: lateral. Open: radial, dish, tension and list.');
  hands(['0.10', '9', '-0.10', '28', '67.40', '67.40', '1000', '1010', '1020', '1000', '1010', '1020']);
  assert.deepEqual([note().note, note().short], ['Passed: lateral, radial, dish and tension. Open: list.', '6 ticks open']);
  job = answerRest(job, stand.entries(plan, job), 'yes', 9e3);
  assert.deepEqual([note().note, note().short], ['All read, not sent yet.', 'all read']);
});

test('a gauge says how its checks stand, and that it is out of use, before that it is in date', () => {
  const said = (more) => {
    const plan = wheelPlan((p) => Object.assign(p.instruments[0], { due_on: '2099-11-02', ...more }));
    const { state } = stand.screen(model(plan, begin(stand, plan))).third.gauge;
    return [state.tone, state.text];
  };
  assert.deepEqual(said({ checks: 'due' }), ['care', 'L-14: check it today']);
  assert.deepEqual(said({ checks: 'failed' }), ['care', 'L-14 failed its last check']);
  assert.deepEqual(said({ checks: 'done' }), ['pass', 'in date to 2 Nov 2099']);
  assert.deepEqual(said({ checks: 'done', state: 'out', out_note: 'only to sort' }), ['care', 'L-14 is out of use, and may be used: only to sort']);
});

test('an overdue gauge is said and kept going', () => {
  const plan = wheelPlan((p) => Object.assign(p.instruments[0], { due_on: '2026-11-02', overdue: true }));
  const s = stand.screen(model(plan, begin(stand, plan)));
  assert.deepEqual([s.third.gauge.state.tone, s.third.gauge.state.text], ['care', 'L-14 is overdue since 2 Nov 2026']);
  assert.equal(take({ plan, shape: stand, job: begin(stand, plan) }, '0.1', 1).said.kind, 'staged');
});

test('a hold, an earlier verdict and no gauge are said before the first reading', () => {
  const held = wheelPlan((p) => { p.holds = [{ code: 'rim', reason: 'Rim lot in doubt' }]; }); // as an older page kept it
  assert.equal(stand.screen(model(held, begin(stand, held))).last.sub, 'Rim: Rim lot in doubt');
  const twice = wheelPlan((p) => {
    p.holds = [{ code: 'recheck_failed', name: 'a recheck failed', reason: 'adjacent_diff_pct_b', message: 'Neighbour difference, side B.' }, { code: 'recall', name: 'called back', reason: 'R26-00001', message: 'R26-00001' }];
  });
  const said = stand.screen(model(twice, begin(stand, twice))).last;
  assert.deepEqual([said.rest, said.sub], ['by 2 holds', 'Called back: R26-00001. A recheck failed: Neighbour difference, side B'], 'the newest first, in words');
  const judged = wheelPlan((p) => { p.standing = [{ person: 'Thandi Roos', verdict: 'pass', measured_at: '2026-11-24T09:31:00Z' }]; });
  assert.match(stand.screen(model(judged, begin(stand, judged))).last.sub, /Thandi Roos judged it .*passed/);
  for (const [state, word] of [['in_process', 'Nothing read yet'], ['released', 'Certified'], ['shipped', 'Shipped'], ['recalled', 'Called back']]) {
    const plan = wheelPlan((p) => Object.assign(p, { item: { kind: 'wheel', state }, standing: [{ person: 'Thandi Roos', verdict: 'pass', measured_at: '2026-11-24T09:31:00Z' }] }));
    const { lab, sub } = stand.screen(model(plan, begin(stand, plan))).last;
    assert.equal(lab.word, word);
    assert.match(sub, /passed/);
  }
  const none = wheelPlan((p) => { p.instruments = []; });
  const { last, third } = stand.screen(model(none, begin(stand, none)));
  assert.deepEqual([third.gauge.name, third.gauge.state.text], ['No dial gauge in use', 'the owner or an inspector adds one under Instruments']);
  assert.equal(last.sub, 'No dial gauge, dish gauge or tension gauge is in use: the owner or an inspector adds them under Instruments; what you read waits here.');
  const noDial = (more) => wheelPlan((p) => Object.assign(p, { instruments: p.instruments.filter((i) => i.kind !== 'dial') }, more));
  const words = 'No dial gauge is in use: the owner or an inspector adds one under Instruments; what you read waits here.';
  assert.deepEqual(['lab', 'sub'].map((k) => stand.screen(model(noDial(), begin(stand, noDial()))).last[k]), [{ tone: 'care', shape: 'triangle', word: 'A gauge is missing' }, words]);
  for (const [state, word, sub] of [['recalled', 'Called back', words], ['scrapped', 'Scrapped', words], ['shipped', 'A gauge is missing', `Shipped. ${words}`], ['in_process', 'A gauge is missing', words]]) {
    const plan = noDial({ item: { kind: 'wheel', state } });
    const said = stand.screen(model(plan, begin(stand, plan))).last;
    assert.deepEqual([said.lab.word, said.sub], [word, sub], state);
  }
  const both = noDial({ holds: [{ code: 'rim', reason: 'Rim lot in doubt' }] });
  assert.equal(stand.screen(model(both, begin(stand, both))).last.sub, `Rim: Rim lot in doubt. ${words}`);
});

const answerOf = (verdict, more = {}) => ({
  placed: true, item: { serial: 'W26000051' }, inspection: { verdict, round: 2, remarks: [], first_set: true },
  results: [{ code: 'lateral_tir', name: 'Lateral', shown: '0.15', unit: 'mm', verdict: 'pass' }, { code: 'radial_tir', name: 'Radial', shown: '0.61', unit: 'mm', verdict: 'fail', message: 'Above 0.50 mm.' }, { code: 'washer_seat', name: 'Washer', value: 'na', verdict: 'pass' }],
  ...more,
});

test('each verdict is a shape, a word and a colour; what fails stands first', () => {
  const plan = wheelPlan();
  const { job } = everyStep(stand, plan, begin(stand, plan), wheelValue);
  for (const [verdict, word, tone] of [['pass', 'Passes', 'pass'], ['fail', 'Fails', 'fail'], ['provisional', 'Provisional', 'care'], ['incomplete', 'Incomplete', 'care']]) {
    const s = verdictScreen(stand, { plan, job, answer: answerOf(verdict), savedAt: 0 }, stand.screen(model(plan, job)));
    sound(s, verdict);
    assert.deepEqual([s.verdict.big.word, s.verdict.big.tone], [word, tone]);
    assert.ok(s.verdict.big.shape);
    assert.deepEqual(s.verdict.lines.map((l) => l.name), ['Radial', 'Lateral', 'Washer']);
    assert.equal(s.ask.big, 'next wheel');
  }
  const kept = verdictScreen(stand, { plan, job, answer: { placed: false, unplaced: { cause: { message: 'No such serial.' } } }, savedAt: 0 }, stand.screen(model(plan, job)));
  sound(kept, 'unplaced');
  assert.equal(kept.verdict.sub, 'No such serial.');
});

test('what the office remarks stands whole in the list of results, after what failed', () => {
  const plan = wheelPlan();
  const job = begin(stand, plan);
  const remarks = [1, 2, 3, 4].map((n) => ({ message: `Spoke ${n}, 430 N, is over 20 % from its side (347 N): read it twice, away from a crossing.` }));
  const answer = answerOf('fail');
  answer.inspection.remarks = remarks;
  const s = verdictScreen(stand, { plan, job, answer, savedAt: 0, narrow: false }, stand.screen(model(plan, job)));
  assert.deepEqual(s.verdict.lines.map((r) => r.name), ['Radial', ...remarks.map(() => 'Worth knowing'), 'Lateral', 'Washer']);
  assert.deepEqual(s.verdict.lines.slice(1, 5).map((r) => r.reason), remarks.map((r) => r.message));
  assert.equal(s.third.note, 'Worth knowing: 4, in the list.');
});

test('before a serial, and while the office judges', () => {
  for (const kind of [stand, bench]) sound(startScreen(kind, { person: 'Ines', place: '', typed: '', drafts: [], narrow: false }), 'start');
  const plan = wheelPlan();
  const s = sendingScreen(stand.screen(model(plan, goTo(answerRest(begin(stand, plan), [], 'yes', 1), null))));
  assert.equal(s.go.disabled, true);
});
