// Turn lists as this tablet keeps them, and the ticks on their way to the
// office: each is kept under its own id before it is sent, they go one by one in
// their order, and none is lost with the network or the battery. Several pages
// of one tablet share what is kept: one sends at a time (lock), and reads anew
// what is left to send.
import { reasonOf, saidOf } from './floor-queue.js';
import { freshId } from './floor-id.js';
import { turnsOf, nameOf, leftOf, begunOf, madeBefore, changesOf } from './stand-turns-list.js';

const SOONEST = 2000; // ms between two tries
const LATEST = 60000;
const MOST = 40; // lists kept; the oldest go first, once nothing of them waits
const ASKED = 8; // begun lists that the office is asked about at the start

/** holds says that an answer, or none, means "wait": readings of the same wheel must not overtake. A plain 500 may never pass. */
export const holds = (err) => !err.status || [408, 429, 502, 503, 504].includes(err.status);

/**
 * Lists holds and sends. put sends one tick, get asks for a list; both answer
 * with the list. device says that this is an enrolled tablet, which sends
 * what another person ticked here too. told: something changed; found: what was
 * ticked here had been made before by somebody.
 */
export class Lists {
  constructor({ kept, put, get, person, name = '', device = false, told = () => {}, found = () => {}, timers = globalThis, now = () => Date.now(), lock = (f) => f() }) {
    Object.assign(this, { kept, put, get, person, name, device, told, found, timers, now, lock });
    this.all = new Map(); // inspection -> {id, serial, print, at, answer, tiles, grade, marks, reads, here, before, problem, written}
    this.ticks = []; // {id, order, inspection, list, n, turned, at, person, name}
    this.wait = SOONEST;
    this.timer = null;
    this.running = null;
    this.queued = null;
    this.needsSignIn = false;
    this.holding = false; // the last try had an answer that means "wait", or none
  }

  /** load reads what an earlier page left here. Closed lists go, once nothing of them waits. */
  async load() {
    await this.#readKept();
    for (const e of [...this.all.values()]) if (e.answer.closed && !this.#pendingOf(e.id).length) await this.#drop(e.id);
    this.told();
  }

  /** of is a list with its ticks that wait. */
  of(id) {
    const entry = this.all.get(id);
    return entry ? { ...entry, pending: this.#pendingOf(id) } : null;
  }

  #pendingOf(id) {
    return this.ticks.filter((t) => t.inspection === id);
  }

  /** remember keeps the office's answer, with what the page shows beside it. */
  async remember(answer, more = {}) {
    const entry = { tiles: [], grade: '', marks: {}, here: [], before: [], ...this.all.get(answer.inspection), ...more, id: answer.inspection, serial: answer.serial, print: answer.print, at: this.now(), answer };
    await this.#keep(entry);
    const idle = [...this.all.values()].filter((e) => !this.#pendingOf(e.id).length).sort((a, b) => b.at - a.at).slice(MOST);
    for (const e of idle) await this.#drop(e.id);
    return this.of(entry.id);
  }

  /**
   * ask asks the office how a list stands and keeps what is new: {made, back,
   * closed, state}. Null where nothing is, a tick waits, or an answer to one came
   * meanwhile: what was asked before it is older.
   */
  async ask(id) {
    const known = this.all.get(id)?.answer;
    const answer = known ? await this.get(id).catch(() => null) : null;
    if (!answer || this.all.get(id)?.answer !== known || this.#pendingOf(id).length) return null;
    const changes = changesOf(known, answer);
    if (changes) await this.#keep({ ...this.all.get(id), answer });
    return changes;
  }

  /** refresh asks the office how begun lists stand: of one wheel, or of all that are offered. */
  async refresh(serial = '') {
    const asked = this.open.filter((e) => (!serial || e.serial === serial) && !this.#pendingOf(e.id).length).slice(0, ASKED);
    await Promise.all(asked.map(async ({ id }) => {
      if (await this.ask(id)) this.told();
    }));
  }

  /** tick notes that a turn was made, or is taken back, and sends it. */
  async tick(id, list, n, turned) {
    const entry = this.all.get(id);
    if (!entry) return;
    const { person, name } = this;
    const order = Math.max(0, ...this.ticks.map((t) => t.order)) + 1;
    const tick = { id: freshId(), order, inspection: id, list, n, turned, at: this.now(), person, name };
    this.ticks.push({ ...tick, unkept: true });
    const here = without(entry.here, tick);
    this.all.set(id, { ...entry, problem: '', before: [], at: this.now(), here: turned ? [...here, { list, n, person }] : here });
    this.told();
    await this.kept.put('ticks', tick).then(() => { this.ticks = this.ticks.map((t) => (t.id === tick.id ? tick : t)); }, () => {}); // a full tablet: the open page still holds it
    await this.#keep(this.all.get(id) ?? entry);
    this.send();
  }

  /** waiting counts the ticks that the office has not. */
  get waiting() {
    return this.ticks.length;
  }

  /** holdsUp says that turns of a wheel wait for the network: its next readings go after them. */
  holdsUp(serial) {
    return this.holding && this.ticks.some((t) => this.#sendable(t) && this.all.get(t.inspection)?.serial === serial);
  }

  #sendable(tick) {
    return this.device || tick.person === this.person; // elsewhere another's are sent when that person is signed in here again
  }

  /** open lists what was begun here and is not closed, newest first. */
  get open() {
    return [...this.all.keys()].map((id) => this.of(id)).filter((e) => !e.answer.closed && (e.answer.state === 'stop' || (e.answer.state === 'ready' && begunOf(e.answer, e.pending))))
      .sort((a, b) => b.at - a.at).map((e) => ({ id: e.id, serial: e.serial, print: e.print, at: e.at, stop: e.answer.state === 'stop', ...countsOf(e) }));
  }

  /** read: the wheel was read again, its earlier lists are closed. Ticks that still wait are sent all the same. */
  async read(serial, except = '') {
    for (const e of [...this.all.values()]) if (e.serial === serial && e.id !== except) await this.close(e.id);
  }

  /** close notes that nothing of a list can be ticked any more. */
  async close(id) {
    const entry = this.all.get(id);
    if (!entry || entry.answer.closed) return;
    await this.#keep({ ...entry, answer: { ...entry.answer, closed: true } });
    this.told();
  }

  /** send sends what waits, in order. It answers with whether nothing waits any more. timed: no person asked for it. */
  send({ timed = false } = {}) {
    this.queued ??= this.running = (this.running ?? Promise.resolve()).catch(() => {}).then(() => this.lock(() => {
      this.queued = null;
      return this.#run(timed);
    }));
    return this.queued;
  }

  async #run(timed) {
    this.#clear();
    await this.#readKept();
    let later = false;
    let stop = false;
    for (const id of new Set(this.ticks.map((t) => t.inspection))) {
      for (let next; (next = this.#pendingOf(id)[0]) && this.#sendable(next);) {
        try {
          const answer = await this.put(id, { ...next, by: next.person === this.person ? '' : next.person });
          Object.assign(this, { wait: SOONEST, needsSignIn: false, holding: false });
          await this.#sent(next, { answer });
        } catch (err) {
          const reason = reasonOf(err);
          this.holding = holds(err);
          if (reason === 'wait' || reason === 'sign-in') {
            this.needsSignIn = reason === 'sign-in';
            later = true;
            stop = this.holding || this.needsSignIn;
            break;
          }
          await this.#refused(next, err);
        }
        this.told();
      }
      if (stop) break; // a fault with one list is no reason to keep the others back
    }
    if (later) {
      this.#later(timed);
      this.told();
    }
    return this.waiting === 0;
  }

  /** sent: the tick goes and the answer comes in one moment, or the step would look open in between and be ticked again. */
  async #sent(tick, { answer, problem }) {
    this.ticks = this.ticks.filter((t) => t.id !== tick.id);
    const entry = this.all.get(tick.inspection);
    if (entry) {
      const before = answer && !problem ? madeBefore(answer, tick, this.now()) : null;
      await this.#keep({ ...entry, ...(answer ? { answer: { ...answer, closed: answer.closed ?? entry.answer.closed } } : {}), ...(problem ? { problem } : {}),
        here: before || problem ? without(entry.here, tick) : entry.here, before: before ? [...entry.before, before] : entry.before });
      if (before) this.found(entry.id);
    }
    await this.kept.remove('ticks', tick.id).catch(() => {});
  }

  async #refused(tick, err) {
    const answer = await this.get(tick.inspection).catch(() => this.all.get(tick.inspection)?.answer);
    const closed = err.errors?.[0]?.code === 'turns_closed';
    await this.#sent(tick, { answer: answer && closed ? { ...answer, closed: true } : answer, problem: saidOf(err) });
  }

  /** readKept reads what is kept anew: another page of this tablet may have ticked or sent meanwhile. */
  async #readKept() {
    const had = new Set(this.ticks);
    const [lists, ticks] = await Promise.all([this.kept.all('turns'), this.kept.all('ticks')]).catch(() => [[], this.ticks]); // not readable: what the open page holds
    for (const entry of lists) if (!this.all.has(entry.id) || entry.written > this.all.get(entry.id).written) this.all.set(entry.id, entry);
    const ids = new Set(ticks.map((t) => t.id));
    this.ticks = [...ticks, ...this.ticks.filter((t) => !ids.has(t.id) && (t.unkept || !had.has(t)))].sort((a, b) => a.order - b.order || (a.id < b.id ? -1 : 1));
  }

  async #keep(e) {
    const entry = { ...e, written: this.now() };
    this.all.set(entry.id, entry);
    await this.kept.put('turns', entry).catch(() => {}); // a full tablet: the open page still holds it
  }

  async #drop(id) {
    this.all.delete(id);
    await this.kept.remove('turns', id).catch(() => {});
  }

  /** later tries again by itself; the pause grows with such tries only, not with what is pressed meanwhile. */
  #later(timed) {
    this.#clear();
    if (timed) this.wait = Math.min(this.wait * 2, LATEST);
    this.timer = this.timers.setTimeout(() => this.send({ timed: true }), this.wait);
  }

  #clear() {
    if (this.timer !== null) this.timers.clearTimeout(this.timer);
    this.timer = null;
  }
}

const without = (here, tick) => (here ?? []).filter((m) => m.list !== tick.list || m.n !== tick.n);

function countsOf(e) {
  const turns = turnsOf(e.answer, e.pending, nameOf(e.answer, e.pending, 'short'));
  return { of: turns.length, made: turns.length - leftOf(turns) };
}
