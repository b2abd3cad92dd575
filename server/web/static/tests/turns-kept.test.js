import test from 'node:test';
import assert from 'node:assert/strict';
import { ready, listOf, turn, stop } from './turns-answers.js';
import { Lists, holds } from '../stand-turns-kept.js';
import { InMemory } from '../floor-kept.js';
import { ApiError, NoAnswer } from '../floor-api.js';

const SERIAL = 'W26000KX7';
const timers = () => {
  const due = [];
  return { due, setTimeout: (f, ms) => due.push({ f, ms }), clearTimeout: () => {} };
};
const fails = (status, error) => async () => { throw status ? new ApiError(status, { errors: error ? [error] : [] }) : new NoAnswer(); };

/** opened is a page's lists over what this tablet keeps. */
async function opened(more) {
  const lists = new Lists({ kept: new InMemory(), put: async () => ready(), get: async () => ready(), person: 'p1', name: 'Ines Okarra', timers: timers(), now: () => 1, ...more });
  await lists.load();
  return lists;
}

/** office answers ticks as the real one does: the first that says a turn was made stands. */
function office() {
  const made = new Map();
  const sent = [];
  const answer = () => {
    const all = ready();
    for (const t of all.short.turns) if (made.has(t.n)) Object.assign(t, { turned: true, ...made.get(t.n) });
    return all;
  };
  const put = async (id, { n, turned, at, name }) => {
    sent.push([n, turned]);
    if (turned && !made.has(n)) made.set(n, { turned_by: name, turned_at: new Date(at).toISOString() });
    if (!turned) made.delete(n);
    return answer();
  };
  return { made, sent, put, get: async () => answer() };
}

test('ticks are kept, and sent one by one in their order', async (t) => {
  const kept = new InMemory();
  const there = office();
  let away = true;
  const put = async (id, tick) => {
    if (away) throw new NoAnswer();
    assert.deepEqual([tick.at, tick.by], [1, ''], 'the moment of the tap goes with it, and nobody else’s name');
    return there.put(id, tick);
  };
  const clock = timers();
  const lists = await opened({ kept, put, get: there.get, timers: clock });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  await lists.tick('i1', 'short', 2, true);
  await lists.tick('i1', 'short', 2, false);
  await lists.send();
  assert.equal(lists.waiting, 3);
  assert.equal(lists.holdsUp(SERIAL), true, 'the next readings of this wheel go after them');
  assert.equal(lists.holdsUp('W26000KY5'), false);
  assert.equal(clock.due.length > 0, true, 'it is tried again by itself');
  assert.deepEqual(lists.open.map((e) => [e.print, e.made, e.of]), [['W26-000KX-7', 1, 3]]);
  await t.test('a reload goes on with them', async () => {
    const after = await opened({ kept, put, get: there.get });
    assert.equal(after.waiting, 3);
    away = false;
    assert.equal(await after.send(), true);
    assert.deepEqual(there.sent, [[1, true], [2, true], [2, false]]);
    assert.equal(after.waiting, 0);
    assert.equal(after.holdsUp(SERIAL), false);
    assert.equal(after.of('i1').answer.short.turns[0].turned, true);
  });
  await t.test('the older page, which held them too, sends none again', async () => {
    await there.put('i1', { n: 1, turned: false, at: 1 }); // taken back meanwhile, on the newer page
    assert.equal(await lists.send(), true);
    assert.deepEqual(there.sent.slice(3), [[1, false]]);
    assert.equal(lists.waiting, 0);
  });
});

test('a step never looks open between its tick and the answer to it', async () => {
  const kept = new InMemory();
  const seen = [];
  const slow = (does) => async (...args) => { await new Promise((r) => { setImmediate(r); }); seen.push(lists.of('i1').answer.short.turns[0].turned || lists.of('i1').pending.length > 0); return does.apply(kept, args); };
  const lists = await opened({ kept, ...office() });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  for (const does of ['put', 'remove']) kept[does] = slow(kept[does]);
  await lists.send();
  assert.equal(lists.of('i1').pending.length, 0);
  assert.ok(seen.length >= 2 && seen.every(Boolean), `${seen}`);
});

test('two pages of one tablet send under one lock', async () => {
  const kept = new InMemory();
  const there = office();
  let last = Promise.resolve();
  const lock = (f) => (last = last.then(f)); // as navigator.locks: one after another
  const [one, two] = [await opened({ kept, lock, ...there }), await opened({ kept, lock, ...there })];
  await one.remember(ready());
  await two.send(); // reads what the first has kept
  await Promise.all([one.tick('i1', 'short', 1, true), two.tick('i1', 'short', 2, true)]);
  await Promise.all([one.send(), two.send()]);
  assert.deepEqual(there.sent.toSorted(), [[1, true], [2, true]]);
});

test('what means "wait" holds the next readings of the wheel up, a fault of the office does not', async (t) => {
  for (const [status, want] of [[0, true], [408, true], [429, true], [502, true], [503, true], [504, true], [500, false], [501, false]]) {
    await t.test(`${status || 'no answer'}`, async () => {
      assert.equal(holds({ status }), want);
      const lists = await opened({ put: fails(status) });
      await lists.remember(ready());
      await lists.tick('i1', 'short', 1, true);
      assert.equal(await lists.send(), false);
      assert.equal(lists.holdsUp(SERIAL), want);
    });
  }
});

test('a page that can keep nothing any more still sends what it holds', async () => {
  const kept = new InMemory();
  const there = office();
  const lists = await opened({ kept, ...there });
  await lists.remember(ready());
  for (const does of ['all', 'put', 'remove']) kept[does] = async () => { throw new Error('closed by a newer page'); };
  await lists.tick('i1', 'short', 1, true);
  assert.equal(await lists.send(), true);
  assert.deepEqual(there.sent, [[1, true]]);
});

test('a fault with one list keeps no other back', async () => {
  const sent = [];
  const lists = await opened({ put: async (id) => { if (id === 'i1') throw new ApiError(500, {}); sent.push(id); return ready({ inspection: id }); } });
  for (const id of ['i1', 'i2']) {
    await lists.remember(ready({ inspection: id }));
    await lists.tick(id, 'short', 1, true);
  }
  await lists.send();
  assert.deepEqual([...new Set(sent)], ['i2']);
  assert.equal(lists.waiting, 1);
});

test('the pause grows with tries made by the timer, not with what is pressed', async () => {
  const clock = timers();
  const lists = await opened({ put: fails(0), timers: clock });
  await lists.remember(ready());
  for (const n of [1, 2, 3]) {
    await lists.tick('i1', 'short', n, true);
    await lists.send();
  }
  assert.deepEqual([...new Set(clock.due.map((d) => d.ms))], [2000]);
  for (const want of [4000, 8000]) {
    clock.due.at(-1).f();
    await lists.running;
    assert.equal(clock.due.at(-1).ms, want);
  }
});

test('another’s ticks wait for that person, and a tick the office refuses holds up nothing', async () => {
  const kept = new InMemory();
  const sent = [];
  const refusal = { code: 'other_list_begun', message: 'The other list was begun: take its turns back first, or go on with it.' };
  const put = async (id, { n, by }) => {
    if (n === 1) throw new ApiError(409, { detail: 'Not taken. Nothing was changed. Each entry names a reason.', errors: [refusal] });
    sent.push(by ? [n, by] : n);
    return ready();
  };
  const theirs = await opened({ kept, put: fails(0), person: 'p2', name: 'Ilse Corvin' });
  await theirs.remember(ready({ inspection: 'i0' }));
  await theirs.tick('i0', 'short', 3, true);
  const lists = await opened({ kept, put });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  await lists.tick('i1', 'short', 2, true);
  await lists.send();
  assert.deepEqual(sent, [2]);
  assert.equal(lists.of('i1').pending.length, 0);
  assert.equal(lists.of('i0').pending.length, 1);
  const tablet = await opened({ kept, put, device: true });
  await tablet.send();
  assert.deepEqual(sent, [2, [3, 'p2']], 'an enrolled tablet sends the other’s too, in their name');
});

test('a refusal shows its reason; a closed list is not begun any more', async () => {
  const closed = { code: 'turns_closed', message: 'This list is closed: the wheel was read again since.' };
  const begun = () => ready({ begun: 'short', short: listOf([turn(1, 8, -0.0625), turn(2, 31, -0.125, { turned: true, turned_at: '2026-11-25T09:00:00.000Z' })]) });
  const lists = await opened({ put: fails(409, closed), get: async () => begun() });
  await lists.remember(begun());
  assert.equal(lists.open.length, 1);
  await lists.tick('i1', 'short', 1, true);
  await lists.send();
  assert.equal(lists.of('i1').problem, closed.message);
  assert.equal(lists.of('i1').answer.closed, true);
  assert.deepEqual(lists.open, []);
});

test('what the office says of begun lists is asked for at the start', async () => {
  const kept = new InMemory();
  const first = await opened({ kept });
  await first.remember(stop());
  const later = await opened({ kept, get: async () => ({ ...stop(), closed: true }) });
  assert.equal(later.open.length, 1);
  await later.refresh();
  assert.deepEqual(later.open, []);
  const away = await opened({ kept: new InMemory(), get: fails(0) });
  await away.remember(stop());
  await away.refresh();
  assert.equal(away.open.length, 1, 'no answer changes nothing');
});

test('a wheel that was read again closes its lists; what waits is sent first', async () => {
  const kept = new InMemory();
  let away = true;
  const lists = await opened({ kept, put: async () => { if (away) throw new NoAnswer(); return ready(); } });
  await lists.remember(ready());
  await lists.tick('i1', 'short', 1, true);
  await lists.send();
  await lists.read(SERIAL, 'i2');
  assert.equal((await opened({ kept })).waiting, 1, 'its tick still waits');
  away = false;
  await lists.send();
  assert.equal(lists.of('i1').answer.closed, true);
  const next = await opened({ kept });
  assert.equal(next.of('i1'), null);
  assert.deepEqual(await kept.all('turns'), []);
});

test('a step that somebody else had made is said, and is not this tablet’s', async () => {
  const there = office();
  await there.put('i1', { n: 1, turned: true, at: Date.UTC(2026, 10, 25, 9, 2), name: 'Ilse Corvin' });
  const found = [];
  const lists = await opened({ ...there, now: () => Date.UTC(2026, 10, 25, 9, 10), found: (id) => found.push(id) });
  await lists.remember(ready()); // as it was before she turned it
  await lists.tick('i1', 'short', 1, true);
  await lists.tick('i1', 'short', 2, true);
  await lists.send();
  const entry = lists.of('i1');
  assert.deepEqual(found, ['i1']);
  assert.deepEqual(entry.before, [{ n: 1, by: 'Ilse Corvin', at: '2026-11-25T09:02:00.000Z', first: true }]);
  assert.deepEqual(entry.here.map((m) => m.n), [2]);
  await lists.tick('i1', 'short', 3, true);
  assert.deepEqual(lists.of('i1').before, [], 'said until the next step is ticked');
});

test('what others did is heard, unless a tick of this tablet waits', async () => {
  const there = office();
  const lists = await opened({ ...there });
  await lists.remember(ready());
  assert.equal(await lists.ask('i1'), null, 'nothing new');
  await there.put('i1', { n: 2, turned: true, at: 1, name: 'Ilse Corvin' });
  const changes = await lists.ask('i1');
  assert.deepEqual(changes.made.map((t) => [t.n, t.turned_by]), [[2, 'Ilse Corvin']]);
  assert.equal(lists.of('i1').answer.short.turns[1].turned, true);
  lists.get = async () => ({ ...(await there.get()), closed: true });
  assert.equal((await lists.ask('i1')).closed, true);
  const waiting = await opened({ put: fails(0), get: async () => ({ ...ready(), closed: true }) });
  await waiting.remember(ready());
  await waiting.tick('i1', 'short', 1, true);
  assert.equal(await waiting.ask('i1'), null);
});

test('what was asked before a tick says nothing about it', async () => {
  const there = office();
  let answers;
  const lists = await opened({ ...there, get: () => new Promise((r) => { answers = () => r(ready()); }) });
  await lists.remember(ready());
  const asked = lists.ask('i1');
  await lists.tick('i1', 'short', 1, true);
  await lists.send();
  answers(); // as it stood before the tick
  assert.equal(await asked, null);
  assert.equal(lists.of('i1').answer.short.turns[0].turned, true);
});
