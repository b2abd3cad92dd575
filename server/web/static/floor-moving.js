// "I measured the wrong one": readings that belong to another serial go there.
// What still waits simply gets the other serial; what the office has is
// corrected: a new inspection that names the old one, with the reason, so that
// nothing is lost and nobody has to measure twice.
import * as api from './floor-api.js';
import { readPlan } from './floor-plan.js';
import { serialOf, scanned, printed } from './floor-serial.js';
import { keptPlan } from './floor-kept.js';
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
    const before = page.job;
    const plan = await this.planOf(text, typed.trim());
    if (page.phase !== 'verdict' || page.job !== before || !this.wants) return;
    const reason = this.#against(plan);
    if (reason) {
      page.refused = { text, reason };
      say(`Refused: ${reason}`);
      page.draw();
      return;
    }
    this.drop();
    const waiting = page.outcome.kept ? await page.queue.recall(page.job.id) : null;
    // The office took it while the serial was typed: then it is a correction after all.
    const job = moved(page.job, page.plan, plan.serial, !waiting);
    page.plan = { ...page.plan, serial: plan.serial, print: plan.print };
    page.job = job;
    page.outcome = null;
    await page.submit();
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

  #against(plan) {
    const { page } = this;
    if (plan.refused) return plan.refused;
    if (plan.serial === page.plan.serial) return 'that is the one it is recorded for';
    if (plan.kind && plan.kind !== page.kind.kind) return `that is no ${page.kind.thing}`;
    if (plan.specification && !plan.specification.characteristics.length) return 'it is new here and has no product yet: scan it as the next one first';
    return '';
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
