import test from 'node:test';
import assert from 'node:assert/strict';
import { Moving, against } from '../floor-moving.js';
import { stand } from '../stand-screen.js';
import { newJob } from '../floor-job.js';
import { wheelPlan } from './plans.js';

const here = wheelPlan();
const other = (change) => wheelPlan((json) => {
  Object.assign(json, { serial: 'W26000085', print: 'W26-00008-5' });
  change?.(json);
});

test('readings go to another wheel of the same product, and to no other', () => {
  assert.equal(against(stand, here, other()), '');
  assert.match(against(stand, here, here), /the one it is recorded for/);
  assert.equal(against(stand, here, other((json) => { json.product = { id: 'q', name: 'Sorrel' }; json.form.wheel.holes = 28; })),
    'that is Sorrel, 28 spokes, not Quillet, 36 spokes. The readings stay with W26-00005-1');
  assert.match(against(stand, here, other((json) => { json.product = { id: 'q', name: 'Sorrel' }; })), /that is Sorrel, 36 spokes, not Quillet/);
  assert.match(against(stand, here, other((json) => { json.form.wheel.holes = 32; })), /not Quillet, 36 spokes/, 'as its form stands now');
  // Without the office nothing more than the serial is known.
  assert.equal(against(stand, here, { serial: 'W26000085', print: 'W26-00008-5', kind: '', specification: null }), '');
});

/** verdict is a page with a verdict on it, whose office answers a move as told. */
function verdict({ waiting = null, refuses = null }) {
  globalThis.document = { getElementById: () => ({}) };
  const sent = [];
  const page = {
    kind: stand, phase: 'verdict', plan: here, job: newJob({ id: 'i', serial: here.serial, stage: 'after_relief', startedAt: 0 }), outcome: waiting ? { kept: true } : { placed: true },
    input: { value: '' }, draw() {},
    queue: { recall: async () => waiting, add: async (what, print) => sent.push([what, print]), flush() {} },
    async submit(stay) {
      sent.push(this.job.serial);
      if (refuses) await stay(refuses);
    },
  };
  const moving = new Moving(page);
  moving.planOf = async () => other();
  moving.begin();
  return { page, moving, sent };
}

test('what the office refuses to move stays where it was, and what waited waits again', async () => {
  const refuses = { errors: [{ message: 'There is no place 30 on this item.' }] };
  for (const waiting of [null, { sent: { id: 'i', serial: here.serial }, print: here.print }]) {
    const { page, moving, sent } = verdict({ waiting, refuses });
    const { job, outcome } = page;
    await moving.take('W26-00008-5');
    assert.equal(page.phase, 'verdict');
    assert.deepEqual([page.job, page.plan, page.outcome], [job, here, outcome]);
    assert.deepEqual(page.refused, { text: 'W26-00008-5', reason: 'There is no place 30 on this item. The readings stay with W26-00005-1' });
    assert.deepEqual(sent.slice(1), waiting ? [[waiting.sent, here.print]] : []);
  }
});

test('what the office takes lies on the stand under its new serial', async () => {
  const { page, moving, sent } = verdict({});
  await moving.take('W26-00008-5');
  assert.deepEqual(sent, ['W26000085']);
  assert.equal(page.plan.print, 'W26-00008-5');
  assert.equal(page.job.corrects, 'i');
});

test('the next wheel is scanned while what waits is taken back: it waits again as it was, and the next one stays', async () => {
  const waiting = { sent: { id: 'i', serial: here.serial }, print: here.print };
  const { page, moving, sent } = verdict({ waiting });
  const next = newJob({ id: 'j', serial: 'W26000077', stage: 'after_relief', startedAt: 0 });
  page.queue.recall = async () => {
    Object.assign(page, { phase: 'reading', job: next });
    return waiting;
  };
  await moving.take('W26-00008-5');
  assert.deepEqual([page.phase, page.job], ['reading', next]);
  assert.deepEqual(sent, [[waiting.sent, here.print]]);
});
