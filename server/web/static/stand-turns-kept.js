// Turn lists as this tablet keeps them, and the ticks on their way to the
// office: each is kept before it is sent, they go one by one in their order,
// and none is lost with the network or the battery.
import { reasonOf } from './floor-queue.js';
import { turnsOf, nameOf, leftOf, begunOf } from './stand-turns-list.js';

const SOONEST = 2000; // ms between two tries
const LATEST = 60000;
const MOST = 40; // lists kept; the oldest go first, once nothing of them waits

/**
 * Lists holds and sends. put sends one tick, get asks for a list; both answer
 * with the list. device says that this is an enrolled tablet, which sends
 * what another person ticked here too.
 */
export class Lists {
  constructor({ kept, put, get, person, device = false, told = () => {}, timers = globalThis, now = () => Date.now() }) {
    Object.assign(this, { kept, put, get, person, device, told, timers, now });
    this.all = new Map(); // inspection -> {id, serial, print, at, person, answer, pending, tiles, grade, marks, problem}
    this.wait = SOONEST;
    this.timer = null;
    this.running = null;
    this.needsSignIn = false;
    this.away = false; // the last try had no answer
  }

  /** load reads what an earlier page left here. */
  async load() {
    for (const entry of await this.kept.all('turns')) if (!this.all.has(entry.id)) this.all.set(entry.id, entry);
    this.told();
  }

  of(id) {
    return this.all.get(id) ?? null;
  }

  /** remember keeps the office's answer, with what the page shows beside it. */
  async remember(answer, more = {}) {
    const before = this.all.get(answer.inspection);
    const entry = { tiles: [], grade: '', marks: {}, pending: [], ...before, ...more, id: answer.inspection, serial: answer.serial, print: answer.print, at: this.now(), answer };
    await this.#keep(entry);
    const idle = [...this.all.values()].filter((e) => !e.pending.length).sort((a, b) => b.at - a.at).slice(MOST);
    for (const e of idle) await this.#drop(e.id);
    return entry;
  }

  /** tick notes that a turn was made, or is taken back, and sends it. */
  async tick(id, list, n, turned) {
    const entry = this.all.get(id);
    if (!entry) return;
    await this.#keep({ ...entry, problem: '', at: this.now(), pending: [...entry.pending, { list, n, turned, at: this.now(), person: this.person }] });
    this.told();
    this.send();
  }

  /** waiting counts the ticks that the office has not. */
  get waiting() {
    return [...this.all.values()].reduce((n, e) => n + e.pending.length, 0);
  }

  /** holdsUp says that turns of a wheel wait for the network: its next readings go after them. */
  holdsUp(serial) {
    return this.away && [...this.all.values()].some((e) => e.serial === serial && e.pending.some((p) => this.#sendable(p)));
  }

  #sendable(tick) {
    return this.device || tick.person === this.person; // elsewhere another's are sent when that person is signed in here again
  }

  /** open lists what was begun here and is not all turned, newest first. */
  get open() {
    return [...this.all.values()].filter((e) => e.answer.state === 'stop' || (e.answer.state === 'ready' && begunOf(e.answer, e.pending)))
      .sort((a, b) => b.at - a.at).map((e) => ({ id: e.id, serial: e.serial, print: e.print, at: e.at, stop: e.answer.state === 'stop', ...countsOf(e) }));
  }

  /** read: the wheel was read again, its earlier lists are closed. Ticks that still wait are sent all the same. */
  async read(serial, except = '') {
    for (const e of [...this.all.values()]) {
      if (e.serial !== serial || e.id === except) continue;
      if (e.pending.length) await this.#keep({ ...e, closed: true });
      else await this.#drop(e.id);
    }
    this.told();
  }

  /** send sends what waits, in order. It answers with whether nothing waits any more. */
  send() {
    this.running = (this.running ?? Promise.resolve()).then(() => this.#run());
    return this.running;
  }

  async #run() {
    this.#clear();
    for (const { id } of [...this.all.values()].sort((a, b) => a.at - b.at)) {
      for (;;) {
        const next = this.all.get(id)?.pending[0];
        if (!next || !this.#sendable(next)) break;
        try {
          const answer = await this.put(id, { ...next, by: next.person === this.person ? '' : next.person });
          this.away = false;
          await this.#sent(id, next, { answer });
          Object.assign(this, { wait: SOONEST, needsSignIn: false });
        } catch (err) {
          const reason = reasonOf(err);
          this.away = !err.status;
          if (reason === 'wait' || reason === 'sign-in') {
            this.needsSignIn = reason === 'sign-in';
            this.#later();
            this.told();
            return false;
          }
          const answer = await this.get(id).catch(() => null);
          await this.#sent(id, next, { ...(answer ? { answer } : {}), problem: err.message });
        }
        this.told();
      }
      const done = this.all.get(id);
      if (done?.closed && !done.pending.length) await this.#drop(id);
    }
    return this.waiting === 0;
  }

  async #sent(id, tick, more) {
    const entry = this.all.get(id);
    if (entry) await this.#keep({ ...entry, ...more, pending: entry.pending.filter((p) => p !== tick) });
  }

  async #keep(entry) {
    this.all.set(entry.id, entry);
    await this.kept.put('turns', entry).catch(() => {}); // a full tablet: the open page still holds it
  }

  async #drop(id) {
    this.all.delete(id);
    await this.kept.remove('turns', id).catch(() => {});
  }

  #later() {
    this.#clear();
    this.timer = this.timers.setTimeout(() => this.send(), this.wait);
    this.wait = Math.min(this.wait * 2, LATEST);
  }

  #clear() {
    if (this.timer !== null) this.timers.clearTimeout(this.timer);
    this.timer = null;
  }
}

function countsOf(e) {
  const turns = turnsOf(e.answer, e.pending, nameOf(e.answer, e.pending, 'short'));
  return { of: turns.length, made: turns.length - leftOf(turns) };
}
