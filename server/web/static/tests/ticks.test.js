import test from 'node:test';
import assert from 'node:assert/strict';
import { Hands } from '../floor-hands.js';
import { newJob, put, goTo } from '../floor-job.js';
import { stand } from '../stand-screen.js';
import { wheelPlan } from './plans.js';

globalThis.document ??= { getElementById: () => ({}) };

/** AtTheList is a page with every reading taken and the ticked list before its person. */
class AtTheList extends Hands {
  constructor() {
    super();
    const plan = wheelPlan();
    let job = newJob({ id: 'i', serial: plan.serial, stage: plan.stage, startedAt: 0, methods: stand.begin(plan) });
    for (const e of stand.entries(plan, job)) if (e.kind !== 'tick') job = put(job, e, '0', 1);
    for (const e of Object.values(job.values)) e.spoke = 0;
    Object.assign(this, { plan, job: goTo(job, null), kind: stand, phase: 'reading', input: { value: '' }, moving: {}, walkAt: null });
  }

  screen() { return stand.screen({ plan: this.plan, job: this.job, typed: '', said: this.said, walk: null, narrow: false }); }
  change(job, said) { Object.assign(this, { job, said }); }
  draw() {}
  submit() { this.sent = true; }
  letter(key) { this.input.value = key; this.typed(); }
  answers() { return stand.entries(this.plan, this.job).filter((e) => e.kind === 'tick').map((e) => this.job.values[e.key]?.text ?? '').filter(Boolean); }
}

test('Enter takes a list that nobody has begun', () => {
  const page = new AtTheList();
  assert.equal(page.screen().field.hint, 'y, n, a; Enter: all yes');
  page.take();
  assert.deepEqual(page.answers(), Array(6).fill('yes'));
  assert.ok(page.sent);
});

for (const key of ['y', 'n', 'a']) {
  test(`Enter after ${key} answers no point that nobody looked at; a press of the key does`, () => {
    const page = new AtTheList();
    page.letter(key);
    assert.equal(page.screen().field.hint, 'y, n or a');
    page.take();
    assert.equal(page.answers().length, 1);
    assert.equal(page.said.kind, 'refused');
    assert.equal(page.sent, undefined);
    page.take({ pressed: true });
    assert.equal(page.answers().length, 6);
    assert.ok(page.sent);
  });
}

test('Enter answers neither the last open point nor one that has its answer', () => {
  const page = new AtTheList();
  for (const key of 'ynyyy') page.letter(key);
  page.take();
  assert.deepEqual(page.answers(), ['yes', 'no', 'yes', 'yes', 'yes']);
  page.job = goTo(page.job, page.screen().entries.filter((e) => e.kind === 'tick')[1].key);
  page.take();
  assert.equal(page.answers()[1], 'no');
});
