import test from 'node:test';
import assert from 'node:assert/strict';
import { due, outcomeOf, wordsOf, Lock } from '../floor-lock.js';

const minute = 60000;

function locked({ answer = { type: 'opaqueredirect' }, minutes = 30, device = true } = {}) {
  const seen = { covers: [], uncovered: [], posts: [] };
  let at = 0;
  const lock = new Lock({
    minutes, device, person: 'Sefa Tamm', personId: 'p1', now: () => at,
    cover: (w) => seen.covers.push(w), uncover: (how) => seen.uncovered.push(how),
    post: async (path, fields) => {
      seen.posts.push([path, fields]);
      if (answer === null) throw new Error('no line');
      return answer;
    },
  });
  return { lock, seen, after: (ms) => { at += ms; } };
}

test('it locks after as many minutes without a hand, and not a moment before', () => {
  assert.equal(due(0, 30 * minute - 1, 30), false);
  assert.equal(due(0, 30 * minute, 30), true);
  assert.equal(due(0, 1e9, 0), false, 'a page that is told nothing never locks');
});

test('a hand puts it off; one that comes too late finds it locked and ends the session', () => {
  const { lock, seen, after } = locked();
  for (let n = 0; n < 5; n += 1) {
    after(29 * minute);
    lock.hand();
  }
  assert.deepEqual(seen.posts, []);
  after(30 * minute);
  lock.hand();
  assert.equal(lock.locked, true);
  assert.deepEqual(seen.posts.map(([path]) => path), ['/signout']);
  lock.hand();
  lock.look();
  assert.equal(seen.covers.length, 1, 'a locked page is not locked again');
});

test('a tap on the name goes on in the same page', async () => {
  const { lock, seen, after } = locked();
  after(31 * minute);
  lock.look();
  await lock.goOn();
  assert.deepEqual(seen.posts, [['/signout', {}], ['/signin', { person: 'p1' }]]);
  assert.deepEqual(seen.uncovered, ['on']);
  after(29 * minute);
  lock.look();
  assert.equal(lock.locked, false, 'time counts from the tap');
});

test('without a line to the office a name goes on too: what is read is kept here', async () => {
  const { lock, seen, after } = locked({ answer: null });
  after(31 * minute);
  lock.look();
  await lock.goOn();
  assert.deepEqual(seen.uncovered, ['away']);
});

test('a name that the office refuses stays locked and says so', async () => {
  const { lock, seen, after } = locked({ answer: { type: 'basic', ok: false, status: 404 } });
  after(31 * minute);
  lock.look();
  await lock.goOn();
  assert.equal(lock.locked, true);
  assert.match(seen.covers.at(-1).wrong, /did not let this name in/);
});

test('a clock that is set back locks nothing at once and nothing for ever', () => {
  const { lock, after } = locked();
  after(-600 * minute);
  lock.look();
  assert.equal(lock.locked, false);
  after(30 * minute);
  lock.look();
  assert.equal(lock.locked, true);
});

test('in the office a password is asked for, and no name can be tapped', () => {
  assert.equal(wordsOf({ device: false, person: 'A', minutes: 30 }).go, '');
  assert.match(wordsOf({ device: true, person: 'A', minutes: 30 }).go, /A$/);
  assert.equal(outcomeOf(null), 'away');
});
