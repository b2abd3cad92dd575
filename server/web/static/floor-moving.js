// "I measured the wrong one": readings that belong to another serial go there.
// What still waits simply gets the other serial; what the office has is
// corrected: a new inspection that names the old one, with the reason, so that
// nothing is lost and nobody has to measure twice.
import * as api from './floor-api.js';
import { readPlan } from './floor-plan.js';
import { serialOf, scanned, printed } from './floor-serial.js';
import { keptPlan } from './floor-kept.js';
import { saidOf } from './floor-queue.js';
import { freshId } from './floor-id.js';
import { say } from './floor-view.js';

/**
 * moved is the job as it goes to another serial. sent says that the office has
 * it under the old one; then it is a correction.
 */
export function moved(job, plan, serial, sent) {
  if (!sent) return { ...job, serial };
  return { ...job, id: freshId(), serial, product: '', corrects: job.id, reason: `Measured on ${serial}, recorded for ${plan.print} by mistake`, events: [] };
}

const describe = (kind, plan) => [plan.product?.name ?? plan.family, kind.sizeWords(plan)].filter(Boolean).join(', ');

/**
 * against says why the readings of one item cannot go to another, '' where nothing
 * speaks against it. Another product has other places and limits: its readings would
 * stand at spokes that it does not have.
 */
export function against(kind, from, to) {
  if (to.refused) return to.refused;
  if (to.serial === from.serial) return 'that is the one it is recorded for';
  if (to.kind && to.kind !== kind.kind) return `that is no ${kind.thing}`;
  if (to.specification && !to.specification.characteristics.length) return 'it is new here and has no product yet: scan it as the next one first';
  if (!to.kind) return ''; // without the office nothing more is known of it: the office decides
  const [is, was] = [describe(kind, to), describe(kind, from)];
  if (is !== was || (to.product?.id ?? '') !== (from.product?.id ?? '')) return `that is ${is}, not ${was}. The readings stay with ${from.print}`;
  return '';
}

export class Moving {
  constructor(page) {
    this.page = page;
    this.wants = '';
  }

  drop() {
    this.wants = '';
  }

  begin() {
    const { page } = this;
    if (this.wants) { // pressed again: left
      this.drop();
      page.draw();
      return;
    }
    if (page.phase !== 'verdict' || !(page.outcome?.placed || page.outcome?.kept)) return;
    this.wants = 'serial';
    page.input.value = '';
    page.draw();
    say(`Scan or type the serial of the ${page.kind.thing} that was measured. Escape: leave it.`);
  }

  async take(typed) {
    const { page } = this;
    const text = (scanned(typed) ?? typed).trim();
    page.input.value = '';
    if (!text) return;
    const { job } = page;
    const plan = await this.planOf(text, typed.trim());
    if (page.phase !== 'verdict' || page.job !== job || !this.wants) return;
    const reason = against(page.kind, page.plan, plan);
    if (reason) {
      page.refused = { text, reason };
      say(`Refused: ${reason}`);
      page.draw();
      return;
    }
    this.drop();
    const waiting = page.outcome.kept ? await page.queue.recall(job.id) : null;
    if (page.phase !== 'verdict' || page.job !== job) {
      if (waiting) await page.queue.add(waiting.sent, waiting.print); // the next one lies on the stand already
      return;
    }
    // The office took it while the serial was typed: then it is a correction after all.
    const before = { plan: page.plan, job: page.job, outcome: page.outcome };
    page.job = moved(page.job, page.plan, plan.serial, !waiting);
    page.plan = { ...page.plan, serial: plan.serial, print: plan.print };
    page.outcome = null;
    await page.submit((err) => this.#stay(before, waiting, err));
  }

  /** planOf finds the other item, with the office or without it. */
  async planOf(text, typed = text) {
    try {
      return readPlan(await api.getPlan(typed));
    } catch (err) {
      if (!(err instanceof api.NoAnswer)) return { refused: err.errors?.[0]?.message || err.message };
      const json = await keptPlan(this.page.who.kept, text);
      if (json) return readPlan(json);
      const { serial } = serialOf(text);
      return serial ? { serial, print: printed(serial), kind: '', specification: null } : { refused: 'that is no whole serial, and the office does not answer' };
    }
  }

  /** stay: the office does not have them there. They are shown where they were, and what waited waits again. */
  async #stay(before, waiting, err) {
    const { page } = this;
    Object.assign(page, before, { phase: 'verdict', said: null, refused: { text: page.plan.print, reason: `${saidOf(err).replace(/\.$/, '')}. The readings stay with ${before.plan.print}` } });
    say(`Refused: ${page.refused.reason}`);
    if (!waiting) return;
    await page.queue.add(waiting.sent, waiting.print);
    page.queue.flush();
  }

  field() {
    return { says: 'The right serial', hint: 'its last 5 do', letters: true, label: `Serial of the ${this.page.kind.thing} that was measured`, units: [] };
  }

  /** ask stands where the next item is asked for. */
  ask() {
    return { lab: 'Wrong one measured', lead: 'Scan the', big: `right ${this.page.kind.thing}`, long: true, how: `${this.page.plan.print} gives its readings up` };
  }

  go() {
    return { label: 'Move it', small: 'to this serial', words: true };
  }
}
