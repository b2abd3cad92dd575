// The tool Mask at the page: which spoke, why, and for what is on no list a few
// words. It stands between hands and job like the question of a gauge does.
import { mask, maskable, reasons, masksOf, mostMasked } from './stand-mask.js';
import { readSpoke } from './floor-reading.js';
import { say } from './floor-view.js';

const WORDS = 60; // letters of a reason that is typed

export class Masking {
  constructor(page) {
    this.page = page;
    this.wants = ''; // spoke, words: what the field awaits
  }

  drop() {
    this.wants = '';
    this.entry = null;
  }

  /** begin asks for the spoke; one the arrow keys stand on is asked for no more. */
  begin() {
    const { page } = this;
    const entry = page.current();
    if (page.phase !== 'reading' || page.choice || page.job.ask) return;
    this.group = entry?.characteristic;
    page.rereading = false;
    page.input.value = '';
    if (page.walkAt !== null) {
      this.spoke(page.walkAt);
      return;
    }
    this.wants = 'spoke';
    page.draw();
    say(`Mask: type the spoke’s number, or Enter for ${entry.position + 1}.`);
  }

  /** take takes what was typed while the field awaits something. */
  take(typed) {
    const { page } = this;
    page.input.value = '';
    if (this.wants === 'words') {
      this.words(typed.trim());
      return;
    }
    const current = page.current();
    if (!typed.trim() && maskable(current)) {
      this.spoke(current.position);
      return;
    }
    const read = readSpoke(typed, page.kind.spokes(page.plan));
    if (read.ok) this.spoke(read.index);
    else {
      say(read.reason ? `Refused: ${read.reason}.` : 'Type a spoke.');
      page.draw();
    }
  }

  spoke(index) {
    const { page } = this;
    const entry = page.kind.entries(page.plan, page.job).find((e) => e.characteristic === this.group && maskable(e) && e.position === index);
    this.drop();
    page.walkAt = null;
    if (!entry) {
      page.draw();
      return;
    }
    page.offer(`Why is spoke ${index + 1} not judged in ${page.kind.setName(entry).toLowerCase()}?`, [
      ...reasons.map(([reason, label]) => ({ label, small: reason === 'other' ? 'say what' : '', pick: () => (reason === 'other' ? this.ask(entry) : this.put(entry, { reason })) })),
      { label: 'Do not mask', small: 'go on reading', pick: () => page.draw() },
    ], true);
  }

  ask(entry) {
    this.wants = 'words';
    this.entry = entry;
    this.page.draw();
    say('Type what lies there, then Enter.');
  }

  /** words: a number is a reading on its way and no reason. */
  words(text) {
    if (!/\p{L}/u.test(text) || /^[+\-\u2212]?[\d.,]+\s*\p{L}{0,3}$/u.test(text)) {
      say(text ? `Refused: ${text.slice(0, 24)} is no reason; a few words.` : 'A few words.');
      this.page.draw();
      return;
    }
    const { entry } = this;
    this.drop();
    this.put(entry, { reason: 'other', note: text.slice(0, WORDS) });
  }

  put(entry, why) {
    const { page } = this;
    const got = mask({ plan: page.plan, job: page.job, shape: page.kind }, entry, why, Date.now());
    page.taken(got.refused ? { job: page.job, said: { kind: 'refused', entry, text: 'Mask', reason: got.refused } } : got);
  }

  /** field is the capture field while this waits. */
  field() {
    if (this.wants === 'words') return { says: 'What lies there', hint: 'a few words', units: [], letters: true };
    return { says: 'Spoke to mask', hint: `Enter: ${(this.page.current()?.position ?? 0) + 1}`, units: [] };
  }

  go() {
    return { label: 'Mask', small: this.wants === 'words' ? 'with these words' : 'then say why', words: true };
  }
}

/** maskTool is the key beside the keypad; null where nothing can be masked. */
export function maskTool(plan, job, entry, holes) {
  if (!maskable(entry)) return null;
  const n = masksOf(job, entry.characteristic).length;
  return { does: 'mask', label: 'Mask', small: n ? `${n} of at most ${mostMasked(holes)}` : 'weld, paint: say why' };
}
