// Taking back: the last answer, and after the verdict the inspection itself, which
// goes on as the draft it was while it waits, and as a correction once the office
// has it.
import * as work from './floor-job.js';
import { unitOf } from './floor-take.js';
import { freshId } from './floor-id.js';
import { say } from './floor-view.js';

export class Undoing {
  undo() {
    if (this.phase === 'turns') {
      this.turns.undo();
      return;
    }
    if (this.choice || this.phase === 'sending' || !this.job) return;
    if (this.phase === 'reading' && this.works?.undo()) return;
    let job = this.job;
    if (this.phase === 'verdict') {
      if (this.outcome?.kept) this.recall();
      if (!this.outcome?.placed) return;
      job = this.correcting(job);
    }
    const all = this.kind.allEntries(this.plan, this.job);
    const got = work.undo(job, all, Date.now());
    if (!got.undone.length && job === this.job && !this.job.ask && !this.job.doubt) return;
    if (this.phase === 'verdict') {
      if (!got.undone.length) return;
      got.job.reason = `Taken back at the ${this.kind.path.slice(1)} after the verdict: ${this.kind.entryName(got.undone[0].entry)}`;
      this.phase = 'reading';
      this.outcome = null;
      this.saver.begin(0);
    }
    this.input.value = '';
    this.change(got.job, this.undone(got.undone));
    say(got.undone.length ? `Undone: ${got.undone.map((u) => this.kind.entryName(u.entry)).join(', ')}.` : 'Read again.');
  }

  /** recall goes on with an inspection that still waits, as the draft it was; once the office has it, undo is a correction. */
  async recall() {
    const { job } = this;
    const got = await this.queue.recall(job.id);
    if (this.phase !== 'verdict' || this.job !== job) {
      if (got) await this.queue.add(got.sent, got.print); // the next one lies on the stand already
      return;
    }
    if (!got) return;
    this.phase = 'reading';
    this.outcome = null;
    this.saver.reopen();
    this.undo();
    this.keepDraft(false);
  }

  /** correcting: after the verdict an undo is a correction with a new id, which names the old one. */
  correcting(job) {
    return { ...job, id: freshId(), corrects: job.id, events: [] };
  }

  undone(list) {
    if (!list.length) return { kind: 'nothing' };
    const { entry, value } = list[0];
    const name = list.length > 1 ? `${list.length} answers of one press` : this.kind.entryName(entry);
    return { kind: 'undone', entry, name, text: value.text, unit: entry.kind === 'reading' || entry.kind === 'extreme' ? unitOf(this.job, entry) : '', long: entry.kind !== 'reading' && entry.kind !== 'extreme' };
  }
}
