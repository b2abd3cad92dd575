// A draft saves itself: half a second after each entry, at once when the page
// is left, one save at a time. When somebody else has saved meanwhile, nothing
// is overwritten and saving stops until a person decides. A save that ends after
// the next draft was begun says nothing of that one.

/** DraftSaver saves one draft. put(id, version, content, options) answers {version}. */
export class DraftSaver {
  constructor({ put, delay = 500, retry = 5000, timers = globalThis, told = () => {} }) {
    Object.assign(this, { put, delay, retry, timers, told });
    this.version = 0;
    this.waiting = null; // content still to be saved
    this.saved = null; // content of the last save
    this.failed = null; // why the last save was none
    this.timer = null;
    this.running = null;
    this.turn = 0; // which draft this is: a save belongs to one
    this.state = 'saved'; // saved, waiting, saving, unreachable, taken, closed
  }

  /** bare says that nothing was given to be saved yet. */
  get bare() {
    return !this.version && this.waiting === null && !this.running;
  }

  /** begin says which version of the draft the page holds, and the content of that; 0 is none yet. */
  begin(version, saved = null) {
    this.stop();
    this.turn += 1;
    Object.assign(this, { version, saved, running: null, state: 'saved' });
  }

  /** changed asks for a save soon. */
  changed(content) {
    if (this.state === 'taken' || this.state === 'closed') return;
    this.waiting = content;
    if (!this.running) this.#say('waiting');
    this.#later(this.delay);
  }

  /** flush saves now; the page may be leaving. */
  async flush(options) {
    this.#clear();
    const { turn } = this;
    while (this.running && turn === this.turn) await this.running; // two may wait for one save: the second for the first's too
    if (turn !== this.turn || this.waiting === null || this.state === 'taken' || this.state === 'closed') return;
    this.running = this.#save(options);
    await this.running;
  }

  /** leave sends what waits in a request that outlives the page. */
  leave() {
    if (this.waiting === null || this.running || this.state === 'taken' || this.state === 'closed') return;
    this.#clear();
    this.running = this.#save({ keepalive: true });
  }

  /** close waits for a save under way and lets no other begin: the inspection itself is sent next. */
  async close() {
    this.stop();
    this.state = 'closed'; // at once: a save that hangs ends when the page has long gone on
    if (this.running) await this.running;
  }

  /** reopen goes on saving after a submission was refused. */
  reopen() {
    if (this.state === 'closed') this.state = 'saved';
  }

  stop() {
    this.#clear();
    this.waiting = null;
  }

  async #save(options = {}) {
    const { turn, waiting: content } = this;
    this.waiting = null;
    this.#say('saving');
    let saved;
    let failed = null;
    try {
      saved = await this.put(content.id, this.version, content, options);
    } catch (err) {
      failed = err;
    }
    if (turn !== this.turn) return; // another draft was begun meanwhile
    this.running = null;
    if (failed) {
      this.#notSaved(content, failed);
      return;
    }
    this.failed = null;
    this.version = saved.version;
    this.saved = content;
    if (this.state === 'closed') return;
    this.#say(this.waiting === null ? 'saved' : 'waiting');
    if (this.waiting !== null) this.#later(this.delay);
  }

  #notSaved(content, err) {
    this.failed = err;
    this.waiting ??= content;
    if (this.state === 'closed') return;
    if (err.status === 409) {
      this.#clear();
      this.#say('taken', err);
      return;
    }
    if (err.status === 404 && this.version) this.version = 0; // the office was put back to a day before it: it begins there anew
    this.#say('unreachable', err);
    this.#later(this.retry);
  }

  #later(ms) {
    this.#clear();
    this.timer = this.timers.setTimeout(() => this.flush(), ms);
  }

  #clear() {
    if (this.timer !== null) this.timers.clearTimeout(this.timer);
    this.timer = null;
  }

  #say(state, err) {
    this.state = state;
    this.told(state, err);
  }
}
