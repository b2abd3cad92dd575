import test from 'node:test';
import assert from 'node:assert/strict';
import { nameOf, begunOf, turnsOf, stepOf, lastTurned, leftOf, partsOf, fraction, bandMiddle, outsideBand, deviating } from '../stand-turns-list.js';
import { tilesOf, passing, titleOf, remarksOf, gradeOf, lastRound, fixed } from '../stand-turns-words.js';
import { turnsScreen, awayScreen } from '../stand-turns-screen.js';
import { reachOf } from '../stand-turns-strip.js';
import { Lists } from '../stand-turns-kept.js';
import { again, againCode } from '../stand-turns-again.js';
import { InMemory } from '../floor-kept.js';
import { ApiError, NoAnswer, tickSent } from '../floor-api.js';

const HOLES = 36;
const wave = (size, by = 0) => Array.from({ length: HOLES }, (_, i) => size * Math.cos((2 * Math.PI * (i + by)) / HOLES));
const condition = { lateral_tir: 0.12, radial_tir: 0.2, lateral_mean: 0, deviation_pct_a: 8, deviation_pct_b: 9, cv_pct_a: 3, cv_pct_b: 4, mean_a: 1000, mean_b: 650, highest: 1100, lowest: 560 };
const turn = (n, spoke, turns, more = {}) => ({ n, spoke, side: spoke % 2 ? 'b' : 'a', lean: 'leading', turns, highest: 1000 + n, highest_at: 3, turned: false, turned_by: '', turned_at: null, ...more });
const listOf = (turns) => ({ turns, nipples: turns.length, predicted: { lateral: wave(0.05), radial: wave(0.1), tension: tensions() }, after: condition, highest: 1213, highest_at: 34, highest_after: 1, halved: [], dropped: [], lift: 0 });
const tensions = () => Array.from({ length: HOLES }, (_, i) => (i % 2 ? 650 : 1000));

/** ready is an answer of the office: invented figures. */
const ready = (more = {}) => ({
  inspection: 'i1', serial: 'W26000KX7', print: 'W26-000KX-7', product: 'Quillet 26 rear', holes: HOLES, stage: 'after_relief', round: 1, state: 'ready',
  measured: { lateral: wave(0.2), radial: wave(0.15), tension: tensions() }, limits: { lateral_tir: 0.3, radial_tir: 0.5, dish_abs: 1, side_deviation_pct: 15, tension_min: 450, tension_max: 1250, gauge_uncertainty: 37, ceiling: 1213 },
  before: { ...condition, lateral_tir: 0.41 }, step: 0.0625, largest_turn: 0.5, learned: { rounds: 0, lateral: 1, radial: 1, tension: 1 }, begun: '', take_tension_out: false, worst_excess: 0, targets_lowered: false,
  short: listOf([turn(1, 8, -0.0625), turn(2, 31, -0.125), turn(3, 0, 0.5)]), all: listOf([turn(1, 8, -0.0625), turn(2, 31, -0.125), turn(3, 0, 0.5), turn(4, 20, 0.125)]),
  rim_not_builder: [], rim: { text: '' }, honest: 'Stiffness is assumed.', ...more,
});
const keptOf = (answer, pending = []) => ({ id: answer.inspection, answer, pending, tiles: [], grade: '', marks: { a: 'cable side', b: 'disc side' } });

/** sound complains of what must never be shown. */
function sound(value, path) {
  if (typeof value === 'number') assert.ok(Number.isFinite(value), `${path}: ${value}`);
  if (typeof value === 'string') assert.doesNotMatch(value, /NaN|undefined|null|Infinity|\[object/, `${path}: ${value}`);
  if (!value || typeof value !== 'object') return;
  for (const [key, inner] of Object.entries(value)) sound(inner, `${path}.${key}`);
}

test('a turn is written in the shop’s parts', async (t) => {
  for (const [turns, parts, want] of [[-0.0625, 16, '1/16'], [0.125, 16, '2/16'], [0.5, 16, '8/16'], [-0.25, 8, '2/8'], [1, 16, '1'], [1.125, 8, '1 1/8'], [-0.03125, 32, '1/32']]) {
    await t.test(`${turns} in ${parts}`, () => assert.equal(fraction(turns, parts), want));
  }
  const halved = ready();
  halved.short.turns[1].turns = -0.09375;
  assert.equal(partsOf(ready()), 16, 'the smallest step');
  assert.equal(partsOf(halved), 32, 'a halved turn is written exactly');
  assert.equal(partsOf(ready({ step: 0.125, short: listOf([turn(1, 2, 0.25)]), all: listOf([]) })), 8);
});

test('what was ticked here stands over what the office knows', () => {
  const answer = ready();
  answer.short.turns[0] = turn(1, 8, -0.0625, { turned: true, turned_at: '2026-11-25T09:00:00.000Z' });
  const pending = [{ list: 'short', n: 2, turned: true }, { list: 'short', n: 1, turned: false }];
  const turns = turnsOf(answer, pending, 'short');
  assert.deepEqual(turns.map((x) => x.turned), [false, true, false]);
  assert.equal(leftOf(turns), 2);
  assert.equal(stepOf(turns, null).n, 1, 'the first that is not made');
  assert.equal(stepOf(turns, 3).n, 3, 'the one walked to');
  assert.equal(stepOf(turns.map((x) => ({ ...x, turned: true })), null), null);
});

test('a list that was begun is the one in hand', () => {
  assert.equal(nameOf(ready(), [], 'all'), 'all');
  assert.equal(nameOf(ready(), [{ list: 'short', n: 1, turned: true }], 'all'), 'short');
  assert.equal(begunOf(ready(), [{ list: 'short', n: 1, turned: true }, { list: 'short', n: 1, turned: false }]), '', 'nothing stands as made');
});

test('Back takes back what was turned last, wherever it stands in the list', () => {
  const made = (n, at) => turn(n, n, 0.125, { turned: true, turned_at: at });
  const turns = [made(1, '2026-11-25T09:05:00.000Z'), made(2, '2026-11-25T09:01:00.000Z'), turn(3, 3, 0.125)];
  assert.equal(lastTurned(turns, [], 'short').n, 1);
  const later = turnsOf({ short: { turns } }, [{ list: 'short', n: 3, turned: true }], 'short');
  assert.equal(lastTurned(later, [{ list: 'short', n: 3, turned: true }], 'short').n, 3, 'a tick that still waits is newer');
  assert.equal(lastTurned([turn(1, 1, 0.125)], [], 'short'), null);
});

test('the band lies where it covers what was read most evenly', () => {
  const values = wave(0.2);
  assert.ok(Math.abs(bandMiddle(values, 0.3)) < 1e-12);
  const out = outsideBand(values, 0.3);
  assert.ok(out.has(0) && out.has(18) && !out.has(9), 'both sides stick out alike');
  const hop = Array.from({ length: HOLES }, (_, i) => (i === 18 ? 1.2 : 0));
  assert.deepEqual([...outsideBand(hop, 0.5)], [18], 'one hop does not put the whole rim outside');
  assert.equal(outsideBand(values, 0.4).size, 0, 'the limit itself is inside');
  const slack = tensions();
  slack[4] = 800;
  assert.deepEqual([...deviating(slack, 15)], [4]);
});

test('tiles: the five of turning, and what else fails in the place of what passes', () => {
  const result = (code, value, more = {}) => ({ code, name: code, value, shown: value, unit: 'mm', high: '0.30', verdict: 'pass', ...more });
  const five = [result('lateral_tir', '0.41', { verdict: 'fail' }), result('radial_tir', '0.30', { high: '0.50' }), result('dish_abs', '0.22', { high: '1.00' }),
    result('side_tension_dev_pct_a', '13.3', { unit: '%', high: '15', accept_high: '12', verdict: 'fail', detail: { at: '12' } }), result('side_tension_dev_pct_b', '10.1', { unit: '%', high: '15', detail: { at: '9' } })];
  const tiles = tilesOf([...five, { code: 'axle_thread', value: 'yes', shown: 'yes', unit: '1', verdict: 'pass' }, result('lateral_h1', '0.1', { verdict: 'none' })]);
  assert.deepEqual(tiles.map((x) => x.name), ['Lateral', 'Radial', 'Dish', 'Deviation A', 'Deviation B']);
  assert.equal(tiles[0].note, 'limit 0.30, over by 0.11');
  assert.equal(tiles[3].note, 'limit 15 less 3, over by 1.3', 'a guarded limit says by how much it is less');
  assert.equal(tiles[4].note, 'limit 15, spoke 10');
  assert.equal(passing(tiles), 'Radial, dish and deviation B pass.');
  const more = tilesOf([...five, result('tension_lowest', '420', { unit: 'N', high: undefined, low: '450', verdict: 'fail' })]);
  assert.deepEqual(more.map((x) => x.name), ['Lateral', 'Radial', 'Dish', 'Deviation A', 'Lowest tension']);
  assert.equal(more[4].note, 'limit 450, under by 30');
});

test('titles and remarks say what is particular about a list', () => {
  const said = (answer) => titleOf(answer, turnsOf(answer, [], 'short'));
  assert.equal(said(ready()), 'Turn 3 nipples, then measure again');
  assert.equal(said(ready({ short: listOf([turn(1, 2, 0.25)]) })), 'Turn 1 nipple, then measure again');
  assert.equal(said(ready({ take_tension_out: true })), 'First bring tension down');
  assert.equal(said(ready({ rim_not_builder: ['radial_tir'] })), 'The rim, not the lacing');
  const odd = ready();
  Object.assign(odd.short, { halved: [4, 9], dropped: [11], after: { ...condition, lateral_mean: -0.31 } });
  const words = remarksOf(odd, odd.short).join(' ');
  for (const want of ['at most half a turn', 'spokes 5 and 10 turned in parts', 'spoke 12 left as it is', 'moves 0.31 mm toward side B']) assert.ok(words.includes(want), `${want} in: ${words}`);
  assert.ok(!remarksOf(ready({ learned: { rounds: 2 } }), ready().short).join(' ').includes('First round'));
  const tight = ready({ take_tension_out: true, before: { ...condition, highest: 1260 }, limits: { ceiling: 1150 } });
  tight.short.after = { ...condition, highest: 1174.4 };
  assert.deepEqual(remarksOf(tight, tight.short).slice(0, 1), ['Tension is 110 N over what the rim allows, after this list 24 N: it only loosens.']);
  assert.ok(!remarksOf(tight, tight.short).join(' ').includes('rises'));
  tight.short.after.highest = 1149;
  tight.short.lift = 3.4;
  const first = remarksOf(tight, tight.short).slice(0, 2).join(' ');
  assert.ok(first.includes('after this list no more') && first.includes('the highest rises by 3 N'), first);
  assert.equal(gradeOf({ grade: 'standard', revision: 6, rule: 'guarded' }), 'Standard grade, revision 6, limits less uncertainty.');
  assert.equal(lastRound({ predicted: { lateral_tir: 0.12 }, observed: { lateral_tir: 0.154 } }), 'Last round: 0.12 mm predicted, 0.15 read.');
  assert.equal(fixed(-0.001, 2), '0.00', 'a zero has no sign');
});

const stop = () => ready({
  state: 'stop', round: 2, short: undefined, all: undefined, after: { of: 'i0', turned: 12, listed: 12, predicted: condition, observed: condition },
  stop: { cause: 'wrong_side', title: 'It looks as if sides A and B were swapped', text: 'Lateral was to fall. It rose.', predicted: { lateral: wave(0.2), radial: wave(0), tension: wave(90) }, observed: { lateral: wave(0.2, 18), radial: wave(0), tension: wave(90, 18) },
    ways: [{ cause: 'wrong_side', title: 'Turned on the wrong side', text: 'Keep the readings.', fit: { lateral: 0.99, tension: 0.98 }, best: true, predicted: { lateral: wave(0.2, 18), radial: wave(0), tension: wave(90, 18) } },
      { cause: 'as_listed', title: 'Turned as listed', text: 'Keep the readings.', fit: { lateral: -0.9, tension: 0.1 }, best: false, predicted: { lateral: wave(0.2), radial: wave(0), tension: wave(90) } },
      { cause: 'not_sure', title: 'Not sure', text: 'Read again.', best: false, read: [19, 31] }] },
});
const without = (state, more) => ready({ state, short: undefined, all: undefined, ...more });

test('every state is shown whole, wide and narrow', async (t) => {
  const states = {
    ready: ready(), begun: ready({ begun: 'short', short: listOf([turn(1, 8, -0.0625, { turned: true, turned_at: '2026-11-25T09:00:00.000Z' }), turn(2, 31, 0.125)]) }),
    'all turned': ready({ short: listOf([turn(1, 8, -0.0625, { turned: true })]) }), 'tension first': ready({ take_tension_out: true, worst_excess: 64 }),
    rim: ready({ rim_not_builder: ['radial_tir'], rim: { text: 'The rim, not the lacing: the hop stays.', at: 18, joint: { from: 35, to: 1 } } }),
    slack: without('slack', { slack: { spokes: [3, 7], text: 'Too slack to calculate: bring every nipple to equal thread depth' } }),
    missing: without('missing', { measured: undefined, limits: undefined, before: undefined, missing: [{ code: 'geometry', text: 'The geometry is not filled in.', href: '/products/p/revise' }] }),
    'too tight': without('missing', { missing: [{ code: 'too_tight', text: 'A spoke has 1 085 N.' }] }),
    nothing: without('nothing'), stop: stop(), 'stop of an unlike': ready({ ...stop(), stop: { ...stop().stop, ways: stop().stop.ways.map((w) => ({ ...w, best: false })) } }),
    'wheel of 48': ready({ holes: 48, measured: { lateral: Array(48).fill(0), radial: Array(48).fill(0), tension: Array(48).fill(900) }, short: { ...listOf([turn(1, 47, 0.75)]), predicted: { lateral: Array(48).fill(0), radial: Array(48).fill(0), tension: Array(48).fill(900) } } }),
  };
  for (const [name, answer] of Object.entries(states)) {
    for (const narrow of [false, true]) {
      await t.test(`${name}${narrow ? ', narrow' : ''}`, () => {
        const s = turnsScreen({ kept: keptOf(answer), narrow });
        assert.ok(s.title);
        sound(s, name);
      });
    }
  }
  sound(awayScreen({ print: 'W26-000KX-7' }), 'away');
});

test('the step in hand says spoke, fraction, side and lean, and the highest tension is said before the first turn', () => {
  const s = turnsScreen({ kept: keptOf(ready()) });
  assert.deepEqual([s.step.spoke, s.step.how, s.step.side, s.step.lean], ['9', 'Loosen 1/16', 'side A, cable side', 'leans ahead']);
  assert.equal(s.facts.rows[2].value, '1213');
  assert.equal(s.facts.rows[2].over, false, 'the ceiling itself is not over it');
  assert.equal(s.facts.note, 'spoke 35 after step 1; rim allows 1250 N');
  assert.equal(s.go.does, 'turned');
  assert.equal(turnsScreen({ kept: keptOf(ready(), [1, 2, 3].map((n) => ({ list: 'short', n, turned: true }))) }).go.does, 'measure');
});

test('a stop shows no verdict and chooses nothing by itself', () => {
  const s = turnsScreen({ kept: keptOf(stop()) });
  assert.equal(s.focus, 'wrong_side', 'the best fit has the focus');
  assert.equal(s.go, undefined, 'there is nothing that pedal or Enter alone could press');
  assert.equal(s.tiles, undefined);
  assert.deepEqual(s.charts.map((c) => [c.title, c.v.word]), [['If the 12 turns were made as listed', 'does not fit'], ['Turned on the wrong side', 'fits']]);
  const unlike = stop();
  for (const w of unlike.stop.ways) w.best = false;
  assert.equal(turnsScreen({ kept: keptOf(unlike) }).focus, 'not_sure', 'where none fits, that is the way on');
  assert.deepEqual(reachOf([{ lateral: [0.12, -0.31], tension: [140] }]), { lateral: 0.5, tension: 200 });
});

test('the way to a nonconformity carries the reason', () => {
  const s = turnsScreen({ kept: keptOf(ready({ rim_not_builder: ['radial_tir'], rim: { text: 'The rim, not the lacing: the hop stays.', joint: { from: 17, to: 19 } } })) });
  const link = new URL(s.hold.href, 'http://shop');
  assert.equal(link.pathname, '/items/W26000KX7/hold');
  assert.deepEqual(Object.fromEntries(link.searchParams), { code: 'W14', reason: 'The rim, not the lacing: the hop stays.' });
});

const timers = () => {
  const due = [];
  return { due, setTimeout: (f) => due.push(f), clearTimeout: () => {} };
};

test('ticks are kept, and sent one by one in their order', async (t) => {
  const kept = new InMemory();
  const sent = [];
  let away = true;
  const put = async (id, { n, turned, at, by }) => {
    if (away) throw new NoAnswer();
    assert.deepEqual([at, by], [1, ''], 'the moment of the tap goes with it, and nobody else’s name');
    sent.push([n, turned]);
    const answer = ready();
    for (const [m, was] of sent) answer.short.turns[m - 1].turned = was;
    return answer;
  };
  const open = async () => {
    const clock = timers();
    const lists = new Lists({ kept, put, get: async () => ready(), person: 'p1', timers: clock, now: () => 1 });
    await lists.load();
    return { lists, clock };
  };
  const { lists, clock } = await open();
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  await lists.tick('i1', 'short', 2, true);
  await lists.tick('i1', 'short', 2, false);
  await lists.send();
  assert.equal(lists.waiting, 3);
  assert.equal(lists.holdsUp('W26000KX7'), true, 'the next readings of this wheel go after them');
  assert.equal(lists.holdsUp('W26000KY5'), false);
  assert.equal(clock.due.length > 0, true, 'it is tried again by itself');
  assert.deepEqual(lists.open.map((e) => [e.print, e.made, e.of]), [['W26-000KX-7', 1, 3]]);
  await t.test('a reload goes on with them', async () => {
    const after = (await open()).lists;
    assert.equal(after.waiting, 3);
    away = false;
    assert.equal(await after.send(), true);
    assert.deepEqual(sent, [[1, true], [2, true], [2, false]]);
    assert.equal(after.waiting, 0);
    assert.equal(after.holdsUp('W26000KX7'), false);
    assert.equal(after.of('i1').answer.short.turns[0].turned, true);
  });
});

test('another’s ticks wait for that person, and a tick the office refuses holds up nothing', async () => {
  const kept = new InMemory();
  const sent = [];
  const put = async (id, { n, by }) => {
    if (n === 1) throw new ApiError(409, { detail: 'This list is closed: the wheel was read again since.' });
    sent.push(by ? [n, by] : n);
    return ready();
  };
  const lists = new Lists({ kept, put, get: async () => ready(), person: 'p1', timers: timers(), now: () => 1 });
  await lists.remember(ready({ inspection: 'i0' }), { pending: [{ list: 'short', n: 3, turned: true, person: 'p2' }] });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  await lists.tick('i1', 'short', 2, true);
  await lists.send();
  assert.deepEqual(sent, [2]);
  assert.equal(lists.of('i1').pending.length, 0);
  assert.equal(lists.of('i0').pending.length, 1);
  assert.equal(lists.of('i1').problem, 'This list is closed: the wheel was read again since.');
  const tablet = new Lists({ kept, put, get: async () => ready(), person: 'p1', device: true, timers: timers(), now: () => 1 });
  await tablet.load();
  await tablet.send();
  assert.deepEqual(sent, [2, [3, 'p2']], 'an enrolled tablet sends the other’s too, in their name');
});

test('a fault of the office holds up no readings', async () => {
  const lists = new Lists({ kept: new InMemory(), put: async () => { throw new ApiError(500, {}); }, get: async () => ready(), person: 'p1', timers: timers(), now: () => 1 });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  assert.equal(await lists.send(), false);
  assert.equal(lists.holdsUp('W26000KX7'), false);
});

test('a tick goes with the moment it was made at, by one clock', () => {
  const body = tickSent({ turned: true, at: Date.UTC(2026, 10, 25, 9, 0, 0), by: 'p2' });
  assert.deepEqual([body.turned, body.at, body.person], [true, '2026-11-25T09:00:00.000Z', 'p2']);
  assert.ok(Math.abs(Date.parse(body.sent_at) - Date.now()) < 5000);
  assert.deepEqual(tickSent({ turned: false }), { turned: false });
});

test('a wheel that was read again closes its lists; what waits is sent first', async () => {
  const kept = new InMemory();
  let away = true;
  const lists = new Lists({ kept, put: async () => { if (away) throw new NoAnswer(); return ready(); }, get: async () => ready(), person: 'p1', timers: timers(), now: () => 1 });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  await lists.send();
  await lists.read('W26000KX7', 'i2');
  assert.ok(lists.of('i1'), 'its tick still waits');
  away = false;
  await lists.send();
  assert.equal(lists.of('i1'), null);
  assert.deepEqual(await kept.all('turns'), []);
});

test('after a stop only what is in doubt is read again', async (t) => {
  const value = (text, at = 1) => ({ text, at });
  const job = { id: 'i2', serial: 'W26000KX7', events: [{}], values: {
    'lateral_runout/every_hole/0': value('0.12'), 'lateral_runout/every_hole/19': value('-0,30'), 'lateral_runout/every_hole/reread': value('0.00'), 'radial_runout/every_hole/19': value('0.05'),
    'tension_a/every_hole/18': value('1000'), 'tension_b/every_hole/19': value('650'), 'dish/whole/0': value('57.0'), 'axle_thread/whole/': value('yes') } };
  const asked = (code) => againCode({ state: 'missing', answered: { cause: 'x' }, missing: [{ code, text: '' }] });
  const left = (code, spokes) => Object.keys(job.values).filter((k) => !(k in again(job, code, spokes).values));
  for (const [code, spokes, want] of [
    ['read_lateral_again', [], ['lateral_runout/every_hole/0', 'lateral_runout/every_hole/19', 'lateral_runout/every_hole/reread']],
    ['read_run_out_again', [], ['lateral_runout/every_hole/0', 'lateral_runout/every_hole/19', 'lateral_runout/every_hole/reread', 'radial_runout/every_hole/19']],
    ['read_spokes_again', [19], ['lateral_runout/every_hole/19', 'tension_b/every_hole/19']],
    ['read_spokes_again', [0], ['lateral_runout/every_hole/0', 'lateral_runout/every_hole/reread']],
  ]) {
    await t.test(`${code} ${spokes}`, () => {
      assert.equal(asked(code), code);
      assert.deepEqual(left(code, spokes), want);
    });
  }
  await t.test('sides turned over', () => {
    const next = again(job, 'read_sides_again');
    assert.equal(next.corrects, 'i2');
    assert.notEqual(next.id, 'i2');
    assert.ok(next.reason);
    assert.equal(next.values['lateral_runout/every_hole/0'].text, '-0.12');
    assert.equal(next.values['lateral_runout/every_hole/19'].text, '0,30');
    assert.equal(next.values['lateral_runout/every_hole/reread'].text, '0.00', 'a zero has no side');
    assert.equal(next.values['tension_b/every_hole/19'].text, '1000');
    assert.equal(next.values['tension_a/every_hole/18'].text, '650');
    assert.equal(next.values['dish/whole/0'].text, '57.0');
  });
  await t.test('a cause of the turns asks for nothing', () => assert.equal(againCode(ready({ answered: { cause: 'wrong_side' } })), ''));
});
