import test from 'node:test';
import assert from 'node:assert/strict';
import { DraftSaver } from '../floor-drafts.js';
import { mergeUnsaved } from '../floor-merge.js';

/** clock is a set of timers that run when told. */
function clock() {
  let next = 1;
  const due = new Map();
  return {
    setTimeout: (f, ms) => { due.set(next, { f, ms }); return next++; },
    clearTimeout: (id) => due.delete(id),
    waits: () => [...due.values()].map((d) => d.ms),
    async run() { const all = [...due.values()]; due.clear(); for (const d of all) await d.f(); },
  };
}

const saver = (put) => {
  const timers = clock();
  const states = [];
  return { timers, states, s: new DraftSaver({ put, timers, told: (state) => states.push(state) }) };
};

test('many entries are one save half a second after the last', async () => {
  const sent = [];
  const { timers, s } = saver(async (id, version, content) => { sent.push([id, version, content.n]); return { version: version + 1 }; });
  s.begin(0);
  for (const n of [1, 2, 3]) s.changed({ id: 'a', n });
  assert.deepEqual(timers.waits(), [500]);
  await timers.run();
  assert.deepEqual(sent, [['a', 0, 3]]);
  assert.equal(s.version, 1);
  s.changed({ id: 'a', n: 4 });
  await timers.run();
  assert.deepEqual(sent[1], ['a', 1, 4]);
});

test('what changes while a save is under way is saved after it, one at a time', async () => {
  let finish;
  const sent = [];
  const { timers, s } = saver((id, version, content) => { sent.push([version, content.n]); return new Promise((r) => { finish = () => r({ version: version + 1 }); }); });
  s.begin(4);
  s.changed({ id: 'a', n: 1 });
  const first = timers.run();
  s.changed({ id: 'a', n: 2 });
  finish();
  await first;
  assert.deepEqual(sent, [[4, 1]]);
  const second = timers.run();
  finish();
  await second;
  assert.deepEqual(sent[1], [5, 2]);
});

test('somebody else saved: nothing more is sent until a person decides', async () => {
  let calls = 0;
  const { timers, states, s } = saver(async () => { calls++; throw Object.assign(new Error('stale'), { status: 409 }); });
  s.begin(1);
  s.changed({ id: 'a', n: 1 });
  await timers.run();
  assert.equal(states.at(-1), 'taken');
  s.changed({ id: 'a', n: 2 });
  await s.flush();
  assert.equal(calls, 1);
  assert.equal(s.saved, null);
});

test('no answer: what was read is kept and tried again', async () => {
  let down = true;
  const sent = [];
  const { timers, states, s } = saver(async (id, version, content) => { if (down) throw new Error('down'); sent.push(content.n); return { version: version + 1 }; });
  s.begin(0);
  s.changed({ id: 'a', n: 1 });
  await timers.run();
  assert.equal(states.at(-1), 'unreachable');
  assert.deepEqual(timers.waits(), [5000]);
  down = false;
  await timers.run();
  assert.deepEqual(sent, [1]);
  assert.equal(states.at(-1), 'saved');
});

test('leaving sends what waits in a request that outlives the page; closing sends nothing more', async () => {
  const options = [];
  const { s, timers } = saver(async (id, version, content, o) => { options.push(o); return { version: version + 1 }; });
  s.begin(0);
  s.changed({ id: 'a', n: 1 });
  s.leave();
  assert.deepEqual(options, [{ keepalive: true }]);
  await s.running;
  s.changed({ id: 'a', n: 2 });
  await s.close();
  await timers.run();
  assert.equal(options.length, 1);
});

test('taking back keeps what was not saved; what the other took back stays so', () => {
  const theirs = { values: { a: { text: '1' } } };
  const mine = { a: { text: '9' }, b: { text: '2' }, c: { text: '3' } };
  const saved = { a: { text: '9' }, b: { text: '2' } };
  assert.deepEqual(mergeUnsaved(theirs, mine, saved).values, { a: { text: '1' }, c: { text: '3' } });
  // Read again and taken back by me, while the other left it as it was; read again by both.
  const as = { values: { a: { text: '0.10' }, b: { text: '0.20', spoke: 3 }, c: { text: '5' } } };
  const changed = mergeUnsaved(as, { a: { text: '0.05' }, c: { text: '6' } }, { a: { text: '0.10' }, b: { text: '0.20', spoke: 3 }, c: { text: '4' } });
  assert.deepEqual(changed.values, { a: { text: '0.05' }, c: { text: '5' } });
});
