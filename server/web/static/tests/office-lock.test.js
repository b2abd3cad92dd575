import test from 'node:test';
import assert from 'node:assert/strict';
import { readOf, wordsOf, Watch } from '../office-lock.js';

const minute = 60000;
const on = { status: 204 }, ended = { status: 0, type: 'opaqueredirect' };

function open({ answers = [] } = {}) {
  const seen = { covers: [], uncovered: 0, asked: [] };
  let at = 0;
  const watch = new Watch({
    minutes: 30, now: () => at,
    cover: (w) => seen.covers.push(w), uncover: () => { seen.uncovered += 1; },
    ask: async (hand) => {
      seen.asked.push(hand);
      const answer = answers.length > 1 ? answers.shift() : answers[0] ?? on;
      if (answer === 'no line') throw new Error(answer);
      return answer;
    },
  });
  return { watch, seen, after: (ms) => { at += ms; } };
}

test('an answer is that of the person, of nobody or another, or none', () => {
  for (const [answer, want] of [[on, 'on'], [ended, 'ended'], [{ status: 401 }, 'ended'], [{ status: 403 }, 'ended'], [{ status: 200 }, 'ended'], [{ status: 503 }, 'away'], [null, 'away']]) {
    assert.equal(readOf(answer), want, JSON.stringify(answer));
  }
});

test('a page that nobody touches is covered after as many minutes, whatever the office says', async () => {
  const { watch, seen, after } = open();
  for (let n = 0; n < 29; n += 1) {
    after(minute);
    await watch.look();
  }
  assert.equal(seen.covers.length, 0);
  assert.deepEqual(new Set(seen.asked), new Set([false]), 'to lie open is no hand');
  after(minute);
  await watch.look();
  assert.match(seen.covers[0].why, /No hand was at this page for 30 minutes/);
  watch.hand();
  await watch.look(true);
  assert.equal(seen.covers.length, 1, 'a covered page is not covered again');
});

test('hands keep the session: whoever types for an hour is not signed out by it', async () => {
  const { watch, seen, after } = open();
  for (let n = 0; n < 60; n += 1) {
    after(minute);
    watch.hand();
    await watch.look();
  }
  assert.equal(seen.covers.length, 0);
  assert.ok(seen.asked.filter(Boolean).length > 25, 'the office hears of the hands');
  assert.ok(seen.asked.length <= 61, 'once a minute at most');
});

test('a hand that comes too late finds it covered', () => {
  const { watch, seen, after } = open();
  after(31 * minute);
  watch.hand();
  assert.equal(seen.covers.length, 1);
});

test('a session that ended elsewhere covers the page within a minute, and at once when it is looked at again', async () => {
  const { watch, seen, after } = open({ answers: [ended] });
  after(minute);
  await watch.look();
  assert.equal(seen.covers[0].title, 'Signed out');
  const other = open({ answers: [ended] });
  other.after(1);
  await other.watch.look(true);
  assert.equal(other.seen.covers.length, 1);
});

test('no line covers nothing: the page is no newer than it was, and nobody loses it', async () => {
  const { watch, seen, after } = open({ answers: ['no line', { status: 503 }] });
  after(minute);
  await watch.look();
  after(minute);
  await watch.look();
  assert.equal(seen.covers.length, 0);
});

test('a question that was lost is asked again at the next look, with the hand it was to tell of', async () => {
  const { watch, seen, after } = open({ answers: ['no line', on, ended] });
  watch.hand();
  after(minute);
  await watch.look();
  after(10000);
  await watch.look();
  after(10000);
  await watch.look();
  assert.deepEqual(seen.asked, [true, true], 'an answer is asked for, and one is enough for a minute');
  after(minute);
  await watch.look();
  assert.equal(seen.covers[0].title, 'Signed out');
});

test('its own person goes on in the same page, nobody else', async () => {
  const { watch, seen, after } = open({ answers: [ended, 'no line', on] });
  after(30 * minute);
  await watch.look();
  await watch.goOn();
  assert.match(seen.covers.at(-1).wrong, /somebody else/);
  await watch.goOn();
  assert.match(seen.covers.at(-1).wrong, /does not answer/);
  assert.equal(seen.uncovered, 0);
  await watch.goOn();
  assert.equal(seen.uncovered, 1);
  after(29 * minute);
  await watch.look();
  assert.equal(watch.why, '', 'time counts from there');
});

test('at a tablet a tap on the name goes on', async () => {
  const did = [];
  let at = 0;
  const watch = new Watch({ minutes: 30, device: 'Sefa Tamm', now: () => at, cover: () => {}, uncover: () => did.push('uncovered'), tap: async () => did.push('tapped'), ask: async () => on });
  at = 30 * minute;
  await watch.look();
  await watch.goOn();
  assert.deepEqual(did, ['tapped', 'uncovered']);
  assert.doesNotMatch(wordsOf({ why: 'ended', device: 'Sefa Tamm' }).why, /tab/);
});

test('a clock that is set back covers nothing at once and nothing for ever', async () => {
  const { watch, seen, after } = open();
  after(-600 * minute);
  await watch.look();
  assert.equal(seen.covers.length, 0);
  after(30 * minute);
  await watch.look();
  assert.equal(seen.covers.length, 1);
  assert.equal(wordsOf({ why: 'idle', minutes: 5 }).wrong, '');
});
