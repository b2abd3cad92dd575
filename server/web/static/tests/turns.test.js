import test from 'node:test';
import assert from 'node:assert/strict';
import { HOLES, wave, tensions, condition, turn, listOf, ready, keptOf, stop, without } from './turns-answers.js';
import { nameOf, begunOf, turnsOf, stepOf, lastTurned, backOf, madeBefore, leftAt, atFault, leftOf, partsOf, fraction, bandMiddle, outsideBand, deviating } from '../stand-turns-list.js';
import { heardSaid, beforeSaid, othersSaid, tilesOf, passing, titleOf, remarksOf, gradeOf, lastRound, fixed } from '../stand-turns-words.js';
import { turnsScreen, awayScreen } from '../stand-turns-screen.js';
import { reachOf } from '../stand-turns-strip.js';
import { again, againCode } from '../stand-turns-again.js';
import { tickSent } from '../floor-api.js';

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

test('Back is of this person’s own steps first, and says so where it is not', () => {
  const made = (n, by, at) => turn(n, n, 0.125, { turned: true, turned_by: by, turned_at: `2026-11-25T09:0${at}:00.000Z` });
  const who = { person: 'p1', me: 'Ines Okarra' };
  const of = (turns, here = [], pending = []) => {
    const got = backOf(turns, pending, 'short', { ...who, here });
    return got && [got.turn.n, got.own];
  };
  const both = [made(1, 'Ines Okarra', 1), made(2, 'Ines Okarra', 2), made(3, 'Ilse Corvin', 5)];
  const ticked = (n, person = 'p1') => ({ list: 'short', n, person });
  assert.deepEqual(of(both, [ticked(2), ticked(1)]), [1, true], 'the last that was ticked here');
  assert.deepEqual(of(both), [2, true], 'own from elsewhere before another’s');
  assert.deepEqual(of([both[2]], [ticked(3, 'p2')]), [3, false], 'another’s, though ticked at this tablet');
  assert.deepEqual(of([turn(1, 1, 0.125)], [ticked(1)]), null);
  const waits = [{ list: 'short', n: 1, turned: true, name: 'Ines Okarra' }];
  assert.deepEqual(of(turnsOf({ short: { turns: [turn(1, 1, 0.125), both[2]] } }, waits, 'short'), [ticked(1)], waits), [1, true], 'not sent yet');
  assert.ok(othersSaid(both[2]).startsWith('Step 3, spoke 4, was made by Ilse Corvin, '));
});

test('a tick of what stands as made already is told by name, or by the office’s clock', async (t) => {
  const at = Date.UTC(2026, 10, 25, 9, 10);
  const answer = (by, ago, more) => ({ short: listOf([turn(1, 8, -0.0625, { turned: true, turned_by: by, turned_at: new Date(at - ago).toISOString() })]), ...more });
  const tick = { list: 'short', n: 1, turned: true, at, name: 'Ines Okarra' };
  for (const [name, got, want] of [
    ['the tick itself', answer('Ines Okarra', 300), null],
    ['another’s', answer('Ilse Corvin', 300), true],
    ['another’s, made while this tick waited', answer('Ilse Corvin', -300000), false],
    ['own, eight minutes before', answer('Ines Okarra', 480000), true],
    ['a tablet’s clock eight minutes ahead of the office', answer('Ines Okarra', 480000, { said_at: at - 480000 }), null],
    ['not made at all', { short: listOf([turn(1, 8, -0.0625)]) }, null],
  ]) {
    await t.test(name, () => {
      const before = madeBefore(got, tick, at);
      assert.equal(before && before.first, want);
    });
  }
  assert.equal(madeBefore(answer('Ilse Corvin', 300), { ...tick, turned: false }, at), null);
});

test('what others did is said by name', () => {
  const by = (n, name) => turn(n, n, 0.125, { turned: true, turned_by: name });
  assert.equal(heardSaid({ made: [by(1, 'Ilse Corvin'), by(2, 'Ilse Corvin'), by(4, '')], back: [turn(3, 3, 0.125)] }), 'Steps 1 and 2 made by Ilse Corvin; step 4 made by somebody; step 3 taken back.');
  assert.match(beforeSaid([{ n: 1, by: 'Ilse Corvin', at: '2026-11-25T10:02:00.000Z', first: true }]), /^Step 1 was made already by Ilse Corvin, .*10:02\. If you turned it too, turn it back by as much\.$/);
  assert.match(beforeSaid([{ n: 1, by: 'Ilse Corvin', at: '2026-11-25T10:02:00.000Z', first: true }, { n: 2, by: 'Ilse Corvin', at: '2026-11-25T10:01:00.000Z', first: false }]), /^Steps 1 and 2 were made by Ilse Corvin, last at .*10:02\. If you turned them too, turn them back/);
});

test('no choice is offered where there is none', () => {
  const none = listOf([]);
  const lists = (answer) => turnsScreen({ kept: keptOf(answer), chosen: 'all' }).lists.map((l) => l.key);
  assert.deepEqual(lists(ready()), ['short', 'all']);
  assert.deepEqual(lists(ready({ all: none })), [], 'one is empty');
  assert.equal(nameOf(ready({ all: none }), [], 'all'), 'short');
  assert.equal(nameOf(ready({ short: none }), [], 'short'), 'all');
  const same = ready();
  same.all.turns = [...same.short.turns].reverse();
  assert.deepEqual(lists(same), [], 'the same turns in another order');
});

test('a nipple in several parts shows what is left of it in all', () => {
  const parts = [turn(1, 8, -0.0625), turn(2, 8, -0.0625), turn(3, 9, -0.0625)];
  assert.equal(leftAt(parts.slice(0, 2)), -0.125);
  const words = (turns) => JSON.stringify(turnsScreen({ kept: keptOf(ready({ short: listOf(turns), all: listOf([]) })) }).picture);
  assert.ok(words(parts).includes('\u22122'));
  assert.ok(!words([{ ...parts[0], turned: true }, parts[1], parts[2]]).includes('\u22122'));
});

test('tiles lie side by side, whatever the wheel', async (t) => {
  const spokes = (n) => Array.from({ length: n }, (_, i) => turn(i + 1, i, i % 3 ? 0.75 : -0.125));
  for (const n of [20, 28, 36, 48]) {
    await t.test(`${n} spokes`, () => {
      const even = (v) => Array(n).fill(v);
      const all = { ...listOf(spokes(n)), predicted: { lateral: even(0), radial: even(0), tension: even(900) } };
      const { picture } = turnsScreen({ kept: keptOf(ready({ holes: n, measured: all.predicted, short: all, all: listOf([]) })) });
      const tiles = picture.slice(2).filter(([tag, a]) => tag === 'rect' && a.height === 32).map(([, a]) => a).sort((a, b) => a.x - b.x);
      assert.equal(tiles.length, n);
      for (let i = 1; i < n; i++) assert.ok(tiles[i].x >= tiles[i - 1].x + tiles[i - 1].width, `tile ${i}`);
      assert.ok(tiles.at(-1).x + tiles.at(-1).width <= 992);
    });
  }
});

test('one line alone is the one at fault', () => {
  assert.equal(atFault(ready()), 'lateral');
  assert.equal(atFault(ready({ limits: { lateral_tir: 0.3, radial_tir: 0.2 } })), 'radial');
  assert.equal(atFault(ready({ limits: {} })), 'lateral');
  assert.equal(atFault(ready({ rim_not_builder: ['radial_tir'] })), 'radial');
});

test('from every state there is a way to measure again and to the next wheel', async (t) => {
  const keysOf = (s) => [...(s.keys ?? []), ...(s.others ?? []), ...(s.step || s.done ? [{ does: 'leave' }, { does: 'measure' }] : [])].map((k) => k.does);
  const states = { ready: ready(), closed: ready({ closed: true }), 'read again since': without('missing', { missing: [{ code: 'read_again_since', text: '' }] }), geometry: without('missing', { missing: [{ code: 'geometry', text: '', href: '/x' }] }),
    answered: without('missing', { answered: { cause: 'not_sure', person: 'Ines Okarra' }, missing: [{ code: 'read_spokes_again', text: '' }] }), nothing: without('nothing'), slack: without('slack', { slack: { spokes: [3], text: 'Too slack' } }), 'both lists empty': ready({ short: listOf([]), all: listOf([]) }), stop: stop() };
  for (const [name, answer] of Object.entries(states)) {
    await t.test(name, () => {
      const keys = keysOf(turnsScreen({ kept: keptOf(answer) }));
      for (const want of ['measure', 'leave']) assert.ok(keys.includes(want), `${want} in ${keys}`);
    });
  }
  assert.deepEqual(awayScreen({ print: 'W26-000KX-7', serial: 'W26000KX7' }).keys.map((k) => k.does), ['retry', 'measure', 'leave']);
});

test('late turns are no cause that a person gave', () => {
  const answered = { cause: 'late_turns', person: '', at: '2026-11-25T10:00:00.000Z' };
  const missing = turnsScreen({ kept: keptOf(without('missing', { answered, missing: [{ code: 'geometry', text: 'The geometry is not filled in.', href: '/x' }] })) });
  assert.equal(missing.title, 'No turn list yet');
  assert.ok(!JSON.stringify(missing.points).includes('Said by'));
  assert.ok(remarksOf(ready({ answered }), ready().short).join(' ').includes('reached the office after these readings'));
});

test('a closed list is calm, and no stop is passed over by one', () => {
  const s = turnsScreen({ kept: keptOf(ready({ closed: true })) });
  assert.deepEqual([s.kind, s.focus, s.step, s.go], ['closed', 'newest', undefined, undefined]);
  assert.ok(s.lead.includes('read again since'));
  assert.equal(turnsScreen({ kept: keptOf({ ...stop(), closed: true }) }).kind, 'stop');
  assert.ok(turnsScreen({ kept: keptOf(stop()) }).others.some((k) => k.does === 'wrong'), 'another wheel was on the stand');
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
  assert.deepEqual(remarksOf(tight, tight.short).slice(0, 1), ['Tension is 110 N over the ceiling, after this list 24 N: it only loosens.']);
  tight.limits.tension_max = 1200;
  tight.short.halved = [4];
  const over = remarksOf(tight, tight.short).join(' ');
  assert.ok(over.includes('110 N over the ceiling of 1150 N (the rim maker’s maximum of 1200 N less the gauge’s uncertainty)'), over);
  assert.ok(!over.includes('turned in parts'), 'taking tension out is no order of parts');
  assert.ok(!remarksOf(tight, tight.short).join(' ').includes('rises'));
  tight.short.after.highest = 1149;
  tight.short.lift = 3.4;
  const first = remarksOf(tight, tight.short).slice(0, 2).join(' ');
  assert.ok(first.includes('after this list no more') && first.includes('the highest rises by 3 N'), first);
  assert.equal(gradeOf({ grade: 'standard', revision: 6, rule: 'guarded' }), 'Standard grade, revision 6, limits less uncertainty.');
  assert.equal(lastRound({ predicted: { lateral_tir: 0.12 }, observed: { lateral_tir: 0.154 } }), 'Last round: 0.12 mm predicted, 0.15 read.');
  assert.equal(fixed(-0.001, 2), '0.00', 'a zero has no sign');
});


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

test('a tick goes with the moment it was made at, by one clock', () => {
  const body = tickSent({ turned: true, at: Date.UTC(2026, 10, 25, 9, 0, 0), by: 'p2' });
  assert.deepEqual([body.turned, body.at, body.person], [true, '2026-11-25T09:00:00.000Z', 'p2']);
  assert.ok(Math.abs(Date.parse(body.sent_at) - Date.now()) < 5000);
  assert.deepEqual(tickSent({ turned: false }), { turned: false });
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
