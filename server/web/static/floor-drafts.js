// A draft saves itself: half a second after each entry, at once when the page
// is left, one save at a time. When somebody else has saved meanwhile, nothing
// is overwritten and saving stops until a person decides.

/** DraftSaver saves one draft. put(id, version, content, options) answers {version}. */
export class DraftSaver {
  constructor({ put, delay = 500, retry = 5000, timers = globalThis, told = () => {} }) {
    Object.assign(this, { put, delay, retry, timers, told });
    this.version = 0;
    this.waiting = null; // content still to be saved
    this.saved = null; // content of the last save
    this.timer = null;
    this.running = null;
    this.state = 'saved'; // saved, waiting, saving, unreachable, taken, closed
  }

  /** bare says that nothing was given to be saved yet. */
  get bare() {
    return !this.version && this.waiting === null && !this.running;
  }

  /** begin says which version of the draft the page holds, and its content; 0 is none yet. */
  begin(version, saved = null) {
    this.stop();
    this.version = version;
    this.saved = saved;
    this.waiting = null;
    this.#say('saved');
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
    if (this.running) await this.running;
    if (this.waiting === null || this.state === 'taken' || this.state === 'closed') return;
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
    if (this.running) await this.running;
    this.stop();
    this.state = 'closed';
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
    const content = this.waiting;
    this.waiting = null;
    this.#say('saving');
    try {
      const saved = await this.put(content.id, this.version, content, options);
      this.version = saved.version;
      this.saved = content;
      this.running = null;
      if (this.state !== 'closed') this.#say(this.waiting === null ? 'saved' : 'waiting');
    } catch (err) {
      this.running = null;
      if (err.status === 409) {
        this.#clear();
        this.#say('taken', err);
        return;
      }
      this.waiting ??= content;
      if (this.state !== 'closed') this.#say('unreachable', err);
      this.#later(this.retry);
      return;
    }
    if (this.waiting !== null && this.state !== 'closed') this.#later(this.delay);
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
