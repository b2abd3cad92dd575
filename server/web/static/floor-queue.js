// Finished inspections, and acts such as a ticked step or the end of a charge, on
// their way to the office. Each is kept on the tablet under its id before it is
// sent, and leaves only once the office has answered. They go in order, one at a
// time. What the office will not take is set aside and shown; it never holds up
// what stands behind it.

const SOONEST = 2000; // ms between two tries
const LATEST = 60000;

// An answer that may be of this one thing alone: it is tried so often with all behind
// it waiting, and after that is passed over, so many in one turn at most.
const ITS_OWN = [403, 500];
const TRIES = 3;
const PASSED = 3;

/** reasonOf says what an error means for the queue: wait, or set aside as what. */
export function reasonOf(err) {
  if (!err.status || err.status >= 500 || err.status === 408 || err.status === 429) return 'wait';
  if (err.status === 401 || err.status === 403) return 'sign-in';
  return err.status === 409 ? 'conflict' : 'refused';
}

const inOrder = (list) => list.sort((a, b) => a.order - b.order || (a.id < b.id ? -1 : 1));

/** saidOf is why the office would not take something, in its own words. */
export const saidOf = (err) => err.errors?.[0]?.message || err.message;

/**
 * Outgoing holds and sends. kept keeps, send posts a submission or an act ({id, act}) and
 * answers with what became of it. answered and refused are told of what is no more waited
 * for: refused of what was set aside. leaves says of what is sent whether another page
 * of this tablet has to send it.
 */
export class Outgoing {
  constructor({ kept, send, person, name = '', told = () => {}, answered = () => {}, refused = () => {}, leaves = async () => false, timers = globalThis, now = () => Date.now(), lock = (f) => f() }) {
    Object.assign(this, { kept, send, person, name, told, answered, refused, leaves, timers, now, lock });
    this.list = []; // what is kept, in order
    this.own = new Set(); // ids that this page gave
    this.needsSignIn = false;
    this.timer = null;
    this.wait = SOONEST;
    this.running = null;
    this.hold = '';
    this.got = {};
    this.tries = new Map(); // how often what waits was answered as in ITS_OWN, by id
  }

  /** load reads what an earlier page left here. */
  async load() {
    this.list = inOrder(await this.kept.all('outgoing'));
    this.told();
  }

  /**
   * readAgain takes over what another page of this tablet has sent, changed or added.
   * What is on no disk stays, and so does what this page gave: sent by another, it is
   * sent once more, and the office answers whoever waits for it here.
   */
  async #readAgain(own = this.own) {
    const there = await this.kept.all('outgoing').catch(() => null);
    if (there) this.list = inOrder([...there, ...this.list.filter((e) => (e.unkept || own.has(e.id)) && !there.some((t) => t.id === e.id))]);
  }

  /** add keeps an inspection; once this is answered it is on the disk, unless it says unkept. */
  async add(sent, print) {
    const order = Math.max(0, ...this.list.map((e) => e.order)) + 1;
    const entry = { id: sent.id, order, at: this.now(), person: this.person, name: this.name, print, state: 'waiting', sent };
    // A tablet that is full still holds it in the open page, and says that it is not kept.
    if (this.kept.passing) entry.unkept = true;
    await this.kept.put('outgoing', entry).catch(() => { entry.unkept = true; });
    this.own.add(entry.id);
    this.list = [...this.list.filter((e) => e.id !== entry.id), entry];
    this.wait = SOONEST; // somebody is at work: what is done many times while away is not waited for ever longer
    this.told();
    return entry;
  }

  /** waiting lists what is not sent yet and not set aside. */
  get waiting() {
    return this.list.filter((e) => e.state === 'waiting');
  }

  /** others are the people of whom something waits that is not this page's person's: {person, name, count, readings}; readings counts what may be handed over. */
  get others() {
    const of = new Map();
    for (const e of this.waiting.filter((w) => w.person !== this.person)) {
      const one = of.get(e.person) ?? { person: e.person, name: e.name || 'somebody', count: 0, readings: 0 };
      of.set(e.person, { ...one, count: one.count + 1, readings: one.readings + (e.sent.act || e.handed ? 0 : 1) });
    }
    return [...of.values()];
  }

  /**
   * handOver lets this page's person send the readings of one who signs in here no more. They go
   * in the name of whoever read them; of somebody who has left the office keeps them until a
   * person there says whether they stand. What was done otherwise is not handed over: it would
   * go in the sender's name.
   */
  async handOver(person) {
    for (const e of this.waiting.filter((w) => w.person === person && !w.sent.act)) {
      const changed = { ...e, handed: true, sent: { ...e.sent, person } };
      await this.kept.put('outgoing', changed).catch(() => { changed.unkept = true; });
      this.list = this.list.map((x) => (x.id === e.id ? changed : x));
    }
    await this.flush();
  }

  /** aside lists what the office would not take. */
  get aside() {
    return this.list.filter((e) => e.state !== 'waiting');
  }

  /** drop takes an inspection out: the person goes on with it, or has settled it. */
  async drop(id) {
    await this.kept.remove('outgoing', id);
    this.#without(id);
  }

  #without(id) {
    this.own.delete(id);
    this.list = this.list.filter((e) => e.id !== id);
    this.told();
  }

  /**
   * recall takes an inspection back that still waits, so that its person goes on
   * with it. One that is being sent this moment is waited for: once the office
   * has it, nothing is taken back here and the answer is null.
   */
  async recall(id) {
    let got = null;
    this.running = (this.running ?? Promise.resolve()).catch(() => {}).then(() => this.lock(async () => {
      await this.#readAgain(new Set()); // what another page has sent waits no more
      got = this.waiting.find((e) => e.id === id) ?? null;
      if (got) await this.drop(id);
    }));
    await this.running;
    return got;
  }

  /**
   * flush sends what waits, in order. hold names the inspection whose person is
   * still at it: its answer {answer} or {error} is given back, and a refusal
   * goes to the person instead of aside.
   */
  async flush({ hold = '' } = {}) {
    if (hold) Object.assign(this, { hold, got: {} });
    this.running = (this.running ?? Promise.resolve()).catch(() => {}).then(() => this.lock(() => this.#run()));
    await this.running;
    return hold && hold === this.hold ? this.got : {};
  }

  /** letGo: the person has gone on, and is given what became of it up to now; what is refused from now on is set aside. */
  letGo(id) {
    if (this.hold !== id) return {};
    this.hold = '';
    return this.got;
  }

  async #run() {
    this.#clear();
    await this.#readAgain();
    let passed = 0;
    let signIn = false;
    for (const entry of this.waiting) {
      // Another's readings are sent when that person is signed in here again, or somebody hands them over.
      if ((entry.person !== this.person && !entry.handed) || await this.leaves(entry.sent).catch(() => false)) continue;
      try {
        const answer = await this.send(entry.sent);
        if (entry.id === this.hold) this.got = { answer };
        Object.assign(this, { wait: SOONEST, needsSignIn: signIn });
        this.tries.delete(entry.id);
        // A disk that does not forget it sends it once more some day: the office knows it by its id.
        await this.kept.remove('outgoing', entry.id).catch(() => {});
        this.#without(entry.id);
        this.answered(entry.id, answer, entry.sent);
      } catch (error) {
        const reason = reasonOf(error);
        if (reason === 'wait' || reason === 'sign-in') {
          signIn ||= reason === 'sign-in';
          this.needsSignIn = signIn;
          this.#later();
          if (ITS_OWN.includes(error.status)) {
            this.tries.set(entry.id, (this.tries.get(entry.id) ?? 0) + 1);
            if (this.tries.get(entry.id) >= TRIES && ++passed < PASSED) continue;
          }
          break;
        }
        if (entry.id === this.hold) {
          this.got = { error };
          await this.kept.remove('outgoing', entry.id).catch(() => {});
          this.#without(entry.id);
        } else {
          await this.#setAside(entry, entry.sent.act ? 'refused' : reason, error); // an act is no correction of another
        }
      }
    }
    this.told();
  }

  /** again puts what was set aside back among what waits. */
  async again(id) {
    const entry = this.list.find((e) => e.id === id);
    if (!entry) return;
    const changed = { ...entry, state: 'waiting', said: '' };
    await this.kept.put('outgoing', changed).catch((err) => { if (!entry.unkept) throw err; });
    this.list = this.list.map((e) => (e.id === id ? changed : e));
    await this.flush();
  }

  /**
   * correct settles a conflict: the office has this inspection with other
   * content, and a person says that these readings are to stand in its place.
   * Nothing is overwritten; they go as a correction under a number of their own.
   */
  async correct(id, freshId) {
    const entry = this.list.find((e) => e.id === id && e.state === 'conflict');
    if (!entry) return;
    const sent = { ...entry.sent, id: freshId, corrects: id, reason: entry.sent.reason || 'Sent with other content; these readings are to stand' };
    this.list = this.list.map((e) => (e.id === id ? { ...e, id: freshId, sent, state: 'waiting', said: '' } : e)); // pressed twice, it is one
    await this.kept.put('outgoing', { ...entry, id: freshId, sent, state: 'waiting', said: '' }); // kept before the other goes
    await this.kept.remove('outgoing', id);
    await this.flush();
  }

  async #setAside(entry, state, err) {
    const changed = { ...entry, state, said: saidOf(err) };
    await this.kept.put('outgoing', changed).catch(() => { changed.unkept = true; });
    this.list = this.list.map((e) => (e.id === entry.id ? changed : e));
    this.refused(entry.id, err);
  }

  #later() {
    if (this.timer !== null) return; // One turn, one wait.
    this.timer = this.timers.setTimeout(() => this.flush(), this.wait);
    this.wait = Math.min(this.wait * 2, LATEST);
  }

  #clear() {
    if (this.timer !== null) this.timers.clearTimeout(this.timer);
    this.timer = null;
  }
}

const OLD = 10 * 60 * 1000;

/** ofWhom names those of whom something waits beside this page's person's. */
function ofWhom({ others, waiting }) {
  if (!others.length) return '';
  const count = others.reduce((n, o) => n + o.count, 0);
  const shown = others.length > 2 ? [...others.slice(0, 2).map((o) => o.name), `${others.length - 2} ${others.length > 3 ? 'others' : 'other'}`] : others.map((o) => o.name);
  return `, ${count < waiting.length ? `${count} ` : ''}of ${[shown.slice(0, -1).join(', '), shown.at(-1)].filter(Boolean).join(' and ')}`;
}

/**
 * waitingLine is the head's line: what waits goes before line, which says how the work in hand is
 * saved. What somebody else has to settle stands beside it for days, and hides it not.
 */
export function waitingLine(queue, now, clock, line = null) {
  const { waiting, aside } = queue;
  const parts = [];
  if (waiting.length) {
    const first = Math.min(...waiting.map((e) => e.at));
    parts.push(`${waiting.length} waiting${now - first > OLD ? ` since ${clock(first)}` : ''}${ofWhom(queue)}`);
    if (waiting.some((e) => e.unkept)) parts.push('keep this page open');
    if (queue.needsSignIn) parts.push('sign in again');
  } else if (line) parts.push(line.text);
  if (queue.unplaced) parts.push(`${queue.unplaced} unplaced`);
  if (aside.length) parts.push(`${aside.length} set aside`);
  if (!parts.length) return null;
  if (line && !waiting.length) return { ...line, text: parts.join(', '), ...(aside.length ? { ok: false, shape: 'triangle' } : {}) };
  return { ok: false, shape: aside.length || (queue.unplaced && !waiting.length) ? 'triangle' : 'lines', text: parts.join(', ') };
}
