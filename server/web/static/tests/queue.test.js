import test from 'node:test';
import assert from 'node:assert/strict';
import { InMemory, keepPlan, keptPlan, likePlan } from '../floor-kept.js';
import { Outgoing, waitingLine } from '../floor-queue.js';

const clock = (ms) => `t${ms}`;
const noTimers = { setTimeout: () => 1, clearTimeout: () => {} };
const problem = (status) => Object.assign(new Error(`said ${status}`), { status });

/** disk keeps as a tablet's does; a test's lasts as long as it. */
const disk = () => Object.assign(new InMemory(), { passing: false });

function outgoing({ kept = disk(), send, person = 'ines', name = 'Ines', now = () => 0 }) {
  return new Outgoing({ kept, send, person, name, timers: noTimers, now });
}

test('what waits survives the page and is sent in order, each once', async () => {
  const kept = disk();
  let away = true;
  const sent = [];
  const send = async (s) => {
    if (away) throw new Error('no answer');
    sent.push(s.id);
    return { placed: true };
  };
  const first = outgoing({ kept, send });
  for (const id of ['c', 'a', 'b']) await first.add({ id }, id);
  await first.flush();
  assert.equal(waitingLine(first, 0, clock).text, '3 waiting');

  const second = outgoing({ kept, send }); // the tablet was switched off
  await second.load();
  away = false;
  await Promise.all([second.flush(), second.flush()]);
  assert.deepEqual(sent, ['c', 'a', 'b']);
  assert.equal(waitingLine(second, 0, clock), null);
  assert.deepEqual(await kept.all('outgoing'), []);
});

test('a conflict and a refusal are set aside, kept, and hold nothing up', async () => {
  const kept = disk();
  const answers = { a: problem(409), b: problem(422), c: null };
  const q = outgoing({ kept, send: async (s) => { if (answers[s.id]) throw answers[s.id]; return { placed: false }; } });
  for (const id of ['a', 'b', 'c']) await q.add({ id }, id);
  await q.flush();
  assert.deepEqual(q.aside.map((e) => [e.id, e.state]), [['a', 'conflict'], ['b', 'refused']]);
  assert.deepEqual(q.waiting, []);
  assert.deepEqual((await kept.all('outgoing')).map((e) => e.id), ['a', 'b']);
  assert.equal(waitingLine(q, 0, clock).text, '2 set aside');
  answers.a = null;
  await q.again('a');
  assert.deepEqual(q.aside.map((e) => e.id), ['b']);
});

test('a refusal of the inspection in hand goes to its person', async () => {
  const q = outgoing({ send: async () => { throw problem(422); } });
  await q.add({ id: 'a' }, 'a');
  const got = await q.flush({ hold: 'a' });
  assert.equal(got.error.status, 422);
  assert.deepEqual(q.list, []);
});

for (const [name, error, signIn] of [['no answer', new Error('away'), false], ['an error of the server', problem(503), false], ['too many', problem(429), false], ['signed out', problem(401), true]]) {
  test(`${name}: nothing is lost and nothing behind it overtakes`, async () => {
    let calls = 0;
    const q = outgoing({ send: async () => { calls++; throw error; } });
    await q.add({ id: 'a' }, 'a');
    await q.add({ id: 'b' }, 'b');
    assert.deepEqual(await q.flush({ hold: 'b' }), {});
    assert.equal(calls, 1);
    assert.equal(q.waiting.length, 2);
    assert.equal(q.needsSignIn, signIn);
  });
}

for (const status of [500, 403]) {
  test(`what is answered with ${status} for ever keeps its place for three tries and then holds nothing up`, async () => {
    const kept = disk();
    const seen = [];
    const q = outgoing({ kept, send: async (s) => { seen.push(s.id); if (s.id === 'a') throw problem(status); return {}; } });
    for (const id of ['a', 'b', 'c']) await q.add({ id }, id);
    await q.flush();
    await q.flush();
    assert.deepEqual(seen, ['a', 'a'], 'nothing overtakes what may be answered in a moment');
    await q.flush();
    assert.deepEqual(seen, ['a', 'a', 'a', 'b', 'c']);
    assert.deepEqual((await kept.all('outgoing')).map((e) => [e.id, e.state]), [['a', 'waiting']], 'it stays and is tried again');
    await q.add({ id: 'd' }, 'd');
    await q.flush();
    assert.deepEqual(seen.slice(5), ['a', 'd']);
  });
}

test('an office that answers everything with an error is not asked for the whole queue each time', async () => {
  let calls = 0;
  const waits = [];
  const q = new Outgoing({ kept: new InMemory(), send: async () => { calls++; throw problem(500); }, person: 'ines', timers: { setTimeout: (f, ms) => waits.push(ms), clearTimeout: () => {} } });
  for (let i = 0; i < 500; i++) await q.add({ id: `a${i}` }, 'P');
  for (let i = 0; i < 20; i++) await q.flush();
  assert.ok(calls <= 60, `${calls} calls in 20 turns`);
  assert.equal(waits.length, 20, 'one wait a turn');
  assert.equal(waits.at(-1), 60000);
});

test('another person’s readings are not sent under this one’s name', async () => {
  const kept = disk();
  const ines = outgoing({ kept, send: async () => { throw new Error('away'); } });
  await ines.add({ id: 'a' }, 'a');
  const sent = [];
  const thandi = outgoing({ kept, person: 'thandi', send: async (s) => { sent.push(s.id); return {}; } });
  await thandi.load();
  await thandi.flush();
  assert.deepEqual(sent, []);
  assert.equal(thandi.waiting.length, 1);
});

const away = async () => { throw new Error('away'); };

test('what waits of another says whose it is', async () => {
  const kept = disk();
  for (const [name, id] of [['Sefa', 'a'], ['Sefa', 'b'], ['Thandi', 'c']]) await outgoing({ kept, send: away, person: name.toLowerCase(), name, now: () => 1000 }).add({ id }, id);
  const said = async (person) => {
    const q = outgoing({ kept, send: away, person, name: person });
    await q.load();
    return q;
  };
  assert.equal(waitingLine(await said('sefa'), 0, clock).text, '3 waiting, 1 of Thandi');
  assert.equal(waitingLine(await said('ines'), 601001, clock).text, '3 waiting since t1000, of Sefa and Thandi');
  await outgoing({ kept, send: away, person: 'bo', name: 'Bo' }).add({ id: 'd' }, 'd');
  await kept.put('outgoing', { id: 'e', order: 9, at: 1000, person: 'x', state: 'waiting', sent: { id: 'e' } }); // kept by an earlier version
  const q = await said('ines');
  assert.equal(waitingLine(q, 0, clock).text, '5 waiting, of Sefa, Thandi and 2 others');
  assert.deepEqual(q.others.map((o) => [o.person, o.name, o.count]), [['sefa', 'Sefa', 2], ['thandi', 'Thandi', 1], ['bo', 'Bo', 1], ['x', 'somebody', 1]]);
});

test('readings of somebody who signs in here no more are handed over in their name, what they did otherwise is not', async () => {
  const kept = disk();
  const sefa = outgoing({ kept, send: away, person: 'sefa', name: 'Sefa' });
  await sefa.add({ id: 'a', person: 'sefa' }, 'a');
  await sefa.add({ id: 'b' }, 'b'); // kept by an earlier version, which named nobody
  await sefa.add({ id: 'c', act: { method: 'PUT' } }, 'c');
  await outgoing({ kept, send: away, person: 'thandi', name: 'Thandi' }).add({ id: 'd', person: 'thandi' }, 'd');
  const sent = [];
  let up = false;
  const send = async (s) => { if (!up) throw new Error('away'); sent.push([s.id, s.person]); return {}; };
  const ines = outgoing({ kept, send });
  await ines.load();
  assert.equal(ines.others[0].readings, 2);
  await ines.handOver('sefa');
  const later = outgoing({ kept, send }); // the tablet was switched off meanwhile
  await later.load();
  assert.equal(later.others[0].readings, 0, 'handed over already');
  up = true;
  await later.flush();
  assert.deepEqual(sent, [['a', 'sefa'], ['b', 'sefa']]);
  assert.deepEqual(later.waiting.map((e) => e.id).sort(), ['c', 'd']);
});

test('the head says since when, after ten minutes', async () => {
  let now = 1000;
  const q = outgoing({ send: async () => {}, now: () => now });
  await q.add({ id: 'a' }, 'a');
  now += 1;
  await q.add({ id: 'b' }, 'b');
  assert.equal(waitingLine(q, 601000, clock).text, '2 waiting');
  assert.equal(waitingLine(q, 601001, clock).text, '2 waiting since t1000');
});

test('a plan is kept without people and found by its serial or its end', async () => {
  const kept = disk();
  const json = (serial) => ({ serial, print: serial, family: { kind: 'wheel', name: 'F' }, product: { id: 'p' }, specification: { characteristics: [{ code: 'dish' }] }, standing: [{ inspection_id: 'i1', stage: 'final', verdict: 'pass', measured_at: 'm', person: 'Thandi' }], open_draft: { person: 'Thandi' }, customer: 'X', stages: [], instruments: [], holds: [{ code: 'h', reason: 'r', raised_by: 'Thandi' }] });
  await keepPlan(kept, json('W26000051'), 1);
  await keepPlan(kept, json('W26100051'), 2);
  assert.doesNotMatch(JSON.stringify(await kept.all('plans')), /Thandi|customer/);
  assert.equal((await keptPlan(kept, 'w26-00005-1')).serial, 'W26000051');
  assert.equal(await keptPlan(kept, '00051'), null, 'two end so');
  assert.equal((await keptPlan(kept, '100051')).serial, 'W26100051');
  assert.deepEqual((await keptPlan(kept, 'W26000051')).standing, [{ inspection_id: 'i1', stage: 'final', verdict: 'pass', measured_at: 'm' }], 'that it was judged is kept, not by whom');
  const like = likePlan(await keptPlan(kept, 'W26000051'), 'W26000069', 'W26-00006-9');
  assert.deepEqual([like.serial, like.item, like.holds], ['W26000069', null, []]);
});

test('what waits is taken back out of the queue, what the office has is not', async () => {
  let away = true;
  const kept = disk();
  const q = outgoing({ kept, send: async () => { if (away) throw new Error('no answer'); return { placed: true }; } });
  await q.add({ id: 'a', serial: 'one' }, 'one');
  await q.flush();
  assert.equal((await q.recall('a')).sent.serial, 'one');
  assert.deepEqual([q.waiting.length, (await kept.all('outgoing')).length], [0, 0]);
  await q.add({ id: 'b' }, 'two');
  away = false;
  const sending = q.flush();
  assert.equal(await q.recall('b'), null, 'it was being sent');
  await sending;
});

test('a conflict is settled as a correction under a number of its own', async () => {
  const sent = [];
  const kept = disk();
  const q = outgoing({ kept, send: async (s) => { sent.push(s); if (s.id === 'a') throw problem(409); return { placed: true }; } });
  await q.add({ id: 'a', serial: 'one' }, 'one');
  await q.flush();
  assert.equal(q.aside[0].state, 'conflict');
  await q.correct('a', 'b');
  assert.deepEqual([sent.at(-1).id, sent.at(-1).corrects, Boolean(sent.at(-1).reason)], ['b', 'a', true]);
  assert.deepEqual(await kept.all('outgoing'), []);
});

const saved = { ok: true, shape: 'tick', text: 'saved 10:23' };

test('what the office has to settle stands beside how the work in hand is saved', async () => {
  const q = outgoing({ send: async () => { throw problem(422); } });
  assert.deepEqual(waitingLine(q, 0, clock, saved), saved);
  q.unplaced = 2;
  assert.deepEqual(waitingLine(q, 0, clock, saved), { ...saved, text: 'saved 10:23, 2 unplaced' });
  assert.equal(waitingLine(q, 0, clock, { ok: false, shape: 'lines', text: 'kept on this tablet' }).text, 'kept on this tablet, 2 unplaced');
  assert.deepEqual(waitingLine(q, 0, clock), { ok: false, shape: 'triangle', text: '2 unplaced' });
  await q.add({ id: 'a' }, 'one');
  await q.flush();
  assert.deepEqual(waitingLine(q, 0, clock, saved), { ok: false, shape: 'triangle', text: 'saved 10:23, 2 unplaced, 1 set aside' });
});

test('unplaced ones are counted beside what waits', async () => {
  const q = outgoing({ send: async () => { throw new Error('no answer'); } });
  await q.add({ id: 'a' }, 'one');
  q.unplaced = 2;
  assert.equal(waitingLine(q, 0, clock, saved).text, '1 waiting, 2 unplaced');
});

test('acts go by the same queue in their order; one the office refuses is set aside with its words and is no conflict', async () => {
  const kept = disk();
  const seen = [];
  const q = outgoing({ kept, send: async (s) => {
    seen.push(s.id);
    if (s.id === 'join') throw Object.assign(problem(409), { errors: [{ message: 'The strings differ by 0.30 V.' }] });
    return {};
  } });
  const answered = [];
  q.answered = (id, answer, sent) => answered.push(sent.act ? `act ${id}` : id);
  await q.add({ id: 'solder', act: {} }, 'P');
  await q.add({ id: 'join', act: {} }, 'P');
  await q.add({ id: 'readings' }, 'P');
  await q.flush();
  assert.deepEqual(seen, ['solder', 'join', 'readings']);
  assert.deepEqual(answered, ['act solder', 'readings']);
  assert.deepEqual(q.aside.map((e) => [e.id, e.state, e.said]), [['join', 'refused', 'The strings differ by 0.30 V.']]);
});

test('what somebody does while the office is away is not tried ever later', async () => {
  const waits = [];
  const q = new Outgoing({ kept: new InMemory(), send: async () => { throw new Error('no answer'); }, person: 'ines', timers: { setTimeout: (f, ms) => waits.push(ms), clearTimeout: () => {} } });
  for (let i = 0; i < 6; i++) {
    await q.add({ id: `a${i}`, act: {} }, 'P');
    await q.flush();
  }
  assert.deepEqual(waits, [2000, 2000, 2000, 2000, 2000, 2000]);
});

test('two pages of one tablet send from one list: what one took back or changed, the other does not send as it was', async () => {
  const kept = disk();
  let away = true;
  const sent = [];
  const send = async (s) => { if (away) throw new Error('no answer'); sent.push([s.id, s.serial]); return {}; };
  const one = outgoing({ kept, send });
  const two = outgoing({ kept, send });
  await one.add({ id: 'a', serial: 'W1' }, 'a');
  await one.add({ id: 'b', serial: 'W2' }, 'b');
  await two.load();
  assert.equal((await one.recall('a')).id, 'a');
  await one.recall('b');
  await one.add({ id: 'b', serial: 'W3' }, 'b');
  away = false;
  await two.flush();
  assert.deepEqual(sent, [['b', 'W3']]);
  assert.equal(await one.recall('b'), null); // the office has it, by the other page
});

test('what another page sent is sent once more by the page whose person waits for the answer', async () => {
  const kept = disk();
  const answered = [];
  const send = async (s) => ({ placed: true, id: s.id }); // the office knows it by its id
  const one = new Outgoing({ kept, send, person: 'ines', timers: noTimers, answered: (id, answer) => answered.push([id, answer.placed]) });
  const two = outgoing({ kept, send });
  await one.add({ id: 'a' }, 'a');
  await two.load();
  await two.flush();
  assert.deepEqual(answered, []);
  await one.flush();
  assert.deepEqual(answered, [['a', true]]);
  assert.deepEqual(one.list, []);
});

test('a disk that cannot be read holds nothing up', async () => {
  const sent = [];
  const q = new Outgoing({ kept: disk(), send: async (s) => { sent.push(s.id); return {}; }, person: 'ines', timers: noTimers, leaves: async () => { throw new Error('lost'); } });
  await q.add({ id: 'a' }, 'a');
  await q.flush();
  assert.deepEqual(sent, ['a']);
});

test('what the disk does not forget is taken for sent all the same, and holds nothing up', async () => {
  const kept = disk();
  kept.remove = async () => { throw new Error('closing'); };
  const sent = [];
  const q = outgoing({ kept, send: async (s) => { sent.push(s.id); return {}; } });
  for (const id of ['a', 'b']) await q.add({ id }, id);
  await q.flush();
  assert.deepEqual(sent, ['a', 'b']);
  assert.deepEqual(q.waiting, []);
});

test('a refusal is told to its person as long as they wait, and later to the page', async () => {
  const refused = [];
  const q = new Outgoing({ kept: disk(), send: async () => { throw problem(422); }, person: 'ines', timers: noTimers, refused: (id, err) => refused.push([id, err.status]) });
  await q.add({ id: 'a' }, 'a');
  const flushing = q.flush({ hold: 'a' });
  assert.deepEqual(q.letGo('another'), {});
  await flushing;
  assert.equal(q.letGo('a').error.status, 422);
  assert.deepEqual([refused, q.aside], [[], []]);

  await q.add({ id: 'b' }, 'b');
  q.hold = 'b';
  q.letGo('b');
  await q.flush();
  assert.deepEqual(refused, [['b', 422]]);
  assert.deepEqual(q.aside.map((e) => e.id), ['b']);
});

test('a conflict that is settled twice is one correction', async () => {
  const kept = disk();
  let conflict = true;
  const sent = [];
  const q = outgoing({ kept, send: async (s) => { if (conflict) throw problem(409); sent.push(s.id); return {}; } });
  await q.add({ id: 'a' }, 'a');
  await q.flush();
  conflict = false;
  await Promise.all([q.correct('a', 'c1'), q.correct('a', 'c2')]);
  assert.deepEqual(sent, ['c1']);
  assert.deepEqual(await kept.all('outgoing'), []);
});

test('what another page of the tablet has to send first is left to it, and holds nothing up', async () => {
  const sent = [];
  const q = new Outgoing({ kept: disk(), send: async (s) => { sent.push(s.id); return {}; }, person: 'ines', timers: noTimers, leaves: async (s) => s.id === 'a' });
  for (const id of ['a', 'b']) await q.add({ id }, id);
  await q.flush();
  assert.deepEqual(sent, ['b']);
  assert.deepEqual(q.waiting.map((e) => e.id), ['a']);
});
