// The draft of what is being read: saved in the office, kept on the tablet, and
// what to do when somebody took it over.
import * as api from './floor-api.js';
import { submission, resume } from './floor-submission.js';
import { openDraft } from './floor-open.js';
import { say } from './floor-view.js';
import { moment } from './floor-format.js';
import { mergeUnsaved } from './floor-merge.js';
import { Hands } from './floor-hands.js';
import { judgedBefore } from './floor-kept.js';

export class Saving extends Hands {
  /** address keeps the draft in the page's address, so that a reload goes on with it. */
  address() {
    const query = this.saver.version || this.draftKept ? `draft=${encodeURIComponent(this.job.id)}` : `serial=${encodeURIComponent(this.plan.serial)}`;
    history.replaceState(null, '', `${this.kind.path}?${query}`);
  }

  saverSaid(state, err) {
    this.saveStatus = err?.status;
    if (state === 'saved' && this.job && this.saver.version) {
      this.savedAt = Date.now();
      if (this.phase === 'reading') {
        this.address();
        this.keepDraft(true);
      }
    }
    if (state === 'taken') this.takenOver();
    this.drawHead();
  }

  /** takenOver: somebody saved this draft from another tablet. Nothing is overwritten; a person decides. */
  async takenOver() {
    let who = 'somebody';
    let at = '';
    let closed = false;
    try {
      const draft = await api.getDraft(this.job.id);
      who = draft.person || who;
      at = moment(draft.updated_at);
      closed = draft.closed;
    } catch { /* the question can be asked without the name */ }
    const text = closed ? `This inspection was sent or set aside by ${who} at ${at}.` : `Taken over by ${who} at ${at}. Nothing was overwritten.`;
    // What of it never reached the office stays on the tablet, to be gone on with from the list.
    const options = [{ label: `Leave it`, small: `next ${this.kind.thing}`, pick: () => this.leaveJob({ keep: true }) }];
    if (!closed) options.unshift({ label: 'Take over', small: 'go on here with what is there', pick: () => this.takeBack() });
    this.offer(text, options);
    say(text);
  }

  async takeBack() {
    const saved = this.saver.saved ? resume(this.saver.saved, this.plan, this.kind).values : {};
    const got = await openDraft(this.kind, this.who, this.job.id, { take: true });
    if (this.phase !== 'reading') return; // it was sent meanwhile
    // What is typed while the office answers counts too.
    if (got.job) got.job = mergeUnsaved(got.job, this.job.values, saved);
    const typing = this.input.value;
    await this.opened(got);
    this.input.value = typing;
  }

  /**
   * keepDraft keeps the draft on the tablet; the writes follow one another. base is
   * what the office has of it: the rest is what it has not.
   */
  keepDraft(saved) {
    const { job, plan } = this;
    const draft = { id: job.id, serial: plan.serial, print: plan.print, kind: this.kind.kind, person: this.who.personId, at: Date.now(), version: this.saver.version, saved, base: this.saver.saved, plan: { ...plan, draft: null, standing: plan.standing.map(judgedBefore) }, content: submission(job, plan, this.kind) };
    const { kept } = this.who;
    this.keeping = (this.keeping ?? Promise.resolve()).then(() => kept.put('drafts', draft)).then(() => true, () => false).then((written) => {
      if (this.job?.id !== job.id || this.phase !== 'reading') return;
      this.draftLost = !written; // a full tablet
      const there = written && !kept.passing;
      if (this.draftKept === there) return;
      this.draftKept = there;
      if (there) this.address();
      this.drawHead();
    });
  }

  forgetDraft(id) {
    this.keeping = (this.keeping ?? Promise.resolve()).then(() => this.who.kept.remove('drafts', id)).catch(() => {});
    return this.keeping;
  }

  /** leave lets the next one come: what is half read is saved, here too, and waits among those begun. */
  async leave(refused = null) {
    const { job } = this;
    await this.saver.flush();
    await this.keeping;
    if (this.job !== job || this.phase !== 'reading' || this.saver.state === 'taken') return; // somebody else has it: a person decides
    if (this.saver.waiting !== null && this.draftLost) {
      this.taken({ job, said: { kind: 'refused', entry: null, text: 'Not left', reason: 'Neither the office nor this tablet could keep what was read last. Keep this page open' } });
      return;
    }
    this.leaveJob({ keep: true });
    this.refused = refused;
    if (refused) say(refused.reason);
  }

  /** setAside ends what is half read without a verdict, once the office says that it is kept there. */
  async setAside() {
    const { job } = this;
    await this.saver.flush();
    if (this.job !== job || this.phase !== 'reading' || this.saver.state === 'taken') return;
    try {
      if (this.saver.waiting !== null) throw this.saver.failed;
      await api.setAsideDraft(job.id);
    } catch (err) {
      const why = err instanceof api.NoAnswer ? 'The office does not answer' : err.errors?.[0]?.message || err.message;
      await this.leave({ text: 'Not set aside', keeps: true, reason: `${why.replace(/\.$/, '')}. ${this.plan.print} waits among those begun` });
      return;
    }
    this.leaveJob();
  }

  leaveJob({ keep = false } = {}) {
    if (this.job && !keep) this.forgetDraft(this.job.id);
    this.saver.stop();
    this.reset();
    this.phase = 'start';
    history.replaceState(null, '', this.kind.path);
    this.listDrafts();
    this.draw();
  }

  /** change takes a new job, saves it and paints it. */
  change(job, said) {
    this.job = job;
    if (said) this.said = said;
    this.walkAt = null;
    this.saver.changed(submission(job, this.plan, this.kind));
    this.keepDraft(false);
    this.draw();
  }
}
