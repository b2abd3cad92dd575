// What was read and did not reach the office: it is there after a reload, after a
// lost answer, after somebody else's save and after the office was put back.
import test, { afterEach, beforeEach } from 'node:test';
import assert from 'node:assert/strict';
import { begin, choose, disk, kept, leave, office, opens, page, readings, settle, sleep, types } from './pages.js';

const W = 'W26000051';
beforeEach(begin);
afterEach(leave);

/** begun is a page with one extreme in the office and the line down. */
async function begun() {
  const p = await page({ at: '' });
  await opens(p, W);
  await types(p, '0.10', '3');
  assert.equal(p.line().text.startsWith('saved'), true);
  office.away = true;
  return p;
}

test('reloads without the office keep what it has not, however many', async () => {
  let p = await begun();
  await types(p, '-0.08', '9', '0.20', '5');
  assert.equal(p.line().text, 'kept on this tablet');
  for (let n = 0; n < 2; n++) {
    p = await page();
    assert.deepEqual(readings(p), ['0.10', '-0.08', '0.20']);
    await p.saver.flush();
    assert.equal(p.line().text, 'kept on this tablet', `reload ${n + 1}`);
    assert.equal(kept('drafts')[0].saved, false);
  }
  office.away = false;
  p = await page();
  assert.deepEqual(readings(p), ['0.10', '-0.08', '0.20']);
  await p.saver.flush();
  assert.deepEqual([...office.drafts.values()][0].content.sets.flatMap((s) => s.values), ['0.10', '-0.08', '0.20']);
});

test('a save whose answer was lost, and more behind it: all of it goes on', async () => {
  let p = await begun();
  office.away = false;
  office.meets = (path, method) => (method === 'PUT' ? 'lost' : null);
  await types(p, '-0.08', '9');
  Object.assign(office, { meets: null, away: true });
  await types(p, '0.20', '5', '-0.10', '7');
  office.away = false;
  p = await page();
  assert.deepEqual(readings(p).sort(), ['-0.08', '-0.10', '0.10', '0.20']);
  await p.saver.flush();
  assert.equal(p.line().text.startsWith('saved'), true);
});

test('what was read again and what was taken back stays so, whatever somebody saved meanwhile', async () => {
  let p = await begun();
  p.undo();
  await types(p, '0.05', '3');
  const [draft] = office.drafts.values();
  draft.version += 1;
  office.away = false;
  p = await page();
  assert.deepEqual(readings(p), ['0.05']);
});

test('a serial that is scanned while the page starts lies on the stand, not what the address names', async () => {
  await begun();
  office.away = false;
  const p = await page({ scans: 'W26000069' });
  assert.equal(p.plan.serial, 'W26000069');
  assert.deepEqual(readings(p), []);
});

test('somebody who takes over at the same tablet goes on with what was read there', async () => {
  let p = await begun();
  await types(p, '-0.08', '9');
  office.away = false;
  p = await page({ person: 'thandi', at: '' });
  await p.openDraft({ id: kept('drafts')[0].id }, true);
  await settle();
  assert.deepEqual(readings(p), ['0.10', '-0.08']);
});

/** more is a draft's content with a lowest reading that its last save lacked. */
function more({ content }) {
  const [lateral, ...rest] = content.sets;
  return { ...content, sets: [{ ...lateral, values: ['0.10', '-0.04'], index: [2, 4], moments: [1, 2] }, ...rest] };
}

for (const [name, closes, corrects] of [['sent', (id) => office.inspections.set(id, office.drafts.get(id).content), true], ['set aside', () => {}, false]]) {
  test(`${name} meanwhile: what did not go with it is offered, and forgotten only by a person`, async () => {
    let p = await begun();
    await types(p, '-0.08', '9');
    const { id } = kept('drafts')[0];
    office.away = false;
    office.drafts.get(id).closed = true;
    closes(id);
    p = await page();
    assert.match(p.choice.text, new RegExp(`was ${name} meanwhile`));
    assert.equal(kept('drafts').length, 1);
    await choose(p, 'Go on with it');
    assert.deepEqual(readings(p), ['0.10', '-0.08']);
    assert.notEqual(p.job.id, id);
    assert.equal(p.job.corrects, corrects ? id : '');
    await p.saver.flush();
    assert.deepEqual(kept('drafts').map((d) => d.id), [p.job.id]);
  });
}

test('what was sent holds more than the last save: a correction goes on with that', async () => {
  let p = await begun();
  p.goGroup('radial');
  await types(p, '0.20', '5');
  const { id } = kept('drafts')[0];
  office.away = false;
  office.inspections.set(id, more(office.drafts.get(id)));
  office.drafts.get(id).closed = true;
  p = await page();
  await choose(p, 'Go on with it');
  assert.deepEqual(readings(p).sort(), ['-0.04', '0.10', '0.20']);
});

test('an office that was put back to a day before the draft is given it anew', async () => {
  let p = await begun();
  office.away = false;
  office.drafts.clear();
  p = await page({ at: '' });
  assert.deepEqual(p.drafts.map((d) => [d.serial, d.place]), [[W, 'on this tablet alone']]);
  await opens(p, W);
  assert.deepEqual(readings(p), [], 'it was saved: only the list knows it');
  leave();
  p = await page({ at: '' });
  await p.openDraft({ id: kept('drafts')[0].id }, false);
  await settle();
  assert.deepEqual(readings(p), ['0.10']);
  await types(p, '-0.08', '9');
  assert.equal(office.drafts.size, 1);
  assert.equal(p.line().text.startsWith('saved'), true);
});

test('a draft that the office closed is not kept, one that it cannot be asked about is', async () => {
  let p = await begun();
  office.away = false;
  await types(p, '-0.08', '9');
  office.meets = (path) => (path.startsWith('drafts/') ? new Response('{}', { status: 503 }) : null);
  const [draft] = office.drafts.values();
  draft.closed = true;
  p = await page({ at: '' });
  assert.equal(kept('drafts').length, 1);
  office.meets = null;
  p = await page({ at: '' });
  assert.deepEqual(p.drafts, []);
  assert.equal(kept('drafts').length, 0);
});

test('what is no answer of the office is none: a page of the network, or one elsewhere', async () => {
  const p = await begun();
  office.away = false;
  for (const other of [() => new Response('<html>Sign in to this network</html>'), () => Object.defineProperty(new Response('{}'), 'redirected', { value: true })]) {
    office.meets = other;
    await types(p, '-0.08');
    assert.equal(p.line().text, 'kept on this tablet');
    p.undo();
  }
});

test('a full tablet does not say that it keeps, and lets nobody leave what is nowhere', async () => {
  const p = await begun();
  disk.full = true;
  await types(p, '-0.08', '9');
  assert.equal(p.line().text, 'not saved: no answer');
  await p.leave();
  assert.equal(p.phase, 'reading');
  assert.match(p.said.reason, /Neither the office nor this tablet/);
  disk.full = false;
  await types(p, '0.20', '5');
  assert.equal(p.line().text, 'kept on this tablet');
  await p.leave();
  assert.equal(p.phase, 'start');
});

test('a store that the browser closed is opened once more', async () => {
  const p = await begun();
  disk.closed = true;
  await types(p, '-0.08', '9');
  assert.equal(disk.opened, 2);
  assert.equal(p.line().text, 'kept on this tablet');
});

test('the later of two scans lies on the stand, whichever is answered first', async () => {
  const p = await page({ at: '' });
  let slow;
  office.meets = (path) => (path.startsWith(`plans/${W}`) ? new Promise((r) => { slow = () => r(null); }) : null);
  const first = p.open(W);
  await sleep(10);
  await opens(p, 'W26000069');
  await types(p, '0.10', '3');
  slow();
  await first;
  await settle();
  assert.equal(p.plan.serial, 'W26000069');
  assert.deepEqual(readings(p), ['0.10']);
});

test('a save that ends when the next wheel is begun says nothing of it', async () => {
  const p = await page({ at: '' });
  await opens(p, W);
  let end;
  office.meets = (path, method) => (method === 'PUT' ? new Promise((r) => { end = () => r(null); }) : null);
  p.input.value = '0.10';
  p.take();
  p.input.value = '3';
  p.take();
  const saving = p.saver.flush();
  await sleep(10);
  p.leaveJob({ keep: true });
  await opens(p, 'W26000069');
  office.meets = null;
  end();
  await saving;
  await settle();
  assert.equal(p.saver.version, 0);
  await types(p, '0.20', '5');
  assert.equal(p.line().text.startsWith('saved'), true);
  assert.equal(office.drafts.size, 2);
});
