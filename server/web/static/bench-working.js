// The work on a pack at the page: steps ticked and taken back, charge begun and
// ended. Each act is kept on the tablet and goes to the office by the same queue
// as the inspections (floor-queue.js), in order; the page shows it at once.
import * as work from './floor-job.js';
import * as decimal from './floor-decimal.js';
import { freshId } from './floor-id.js';
import { readTyped } from './floor-reading.js';
import { inUnit } from './floor-units.js';
import { printed, scanned, serialOf } from './floor-serial.js';
import { clock } from './floor-format.js';
import { saidOf } from './floor-queue.js';
import { say } from './floor-view.js';
import { actOf, answeredBy, apartSaid, lastDone, mayJoin, restOf, stringRefused, withActs, STRINGS_JOINED } from './bench-work.js';
import { onward, strings } from './bench-shape.js';
import { Fitting } from './bench-fitting.js';

const ANSWER = 4000; // ms that a refusal is waited for before the act counts as kept
const BRIEF = 60000; // ms: a charge that ends sooner is asked about; no pack is charged in it
const TICK = 20000; // ms between two looks at the clock: a rest is shown in minutes

export class Working extends Fitting {
  constructor(page) {
    super(page);
    this.making = []; // acts on their way to the tablet's disk
    this.adding = Promise.resolve();
    this.answers = []; // what the office answered to acts since this page began: {serial, does, answer, at}
    this.drop();
    setInterval(() => { if (page.phase === 'reading' && page.plan?.build?.charge?.ended_at) page.draw(); }, TICK);
  }

  drop() {
    this.volts = []; // of the strings, while they are joined
    this.again = false; // another charge is to begin
    this.office = null; // the pack as the office last told
  }

  // --- how the pack stands ---

  /** upToDate is a plan with what was answered since it was asked for, and what was done here and waits. */
  upToDate(plan) {
    const since = this.answers.filter((a) => a.serial === plan.serial && a.at >= plan.asked);
    this.office = plan.build && since.reduce((build, a) => answeredBy(build, a.does, a.answer), plan.build);
    return plan.build ? { ...plan, build: withActs(this.office, this.#waiting(plan.serial)) } : plan;
  }

  #waiting(serial) {
    const kept = (this.page.queue?.waiting ?? []).map((e) => e.sent).filter((s) => s.act);
    return [...kept, ...this.making.filter((m) => !kept.some((s) => s.id === m.id))].filter((s) => s.serial === serial);
  }

  /** begin is the job with the work in hand that comes next, of what is done here too. */
  begin({ job }) {
    return job.at && !/^(build|charge)\//.test(job.at) ? job : { ...job, at: onward(this.page.plan, job) };
  }

  /** state is what the screen shows of a step that is half done. */
  get state() {
    return { volts: this.volts.length, again: this.again };
  }

  #refresh() {
    const { page } = this;
    if (!page.plan?.build) return;
    page.plan = { ...page.plan, build: withActs(this.office, this.#waiting(page.plan.serial)) };
    page.draw();
  }

  /** answered: the office has an act. What it says of the pack is kept with its plan. */
  async answered(sent, answer) {
    const { page } = this;
    this.answers.push({ serial: sent.serial, does: sent.does, answer, at: performance.now() });
    if (page.plan?.serial === sent.serial) {
      this.office = answeredBy(this.office, sent.does, answer);
      if (sent.does.kind === 'make') page.plan = { ...page.plan, source: 'item' };
      this.#refresh();
    }
    const { kept } = page.who;
    const entry = await kept.get('plans', sent.serial).catch(() => null);
    if (entry?.plan.build) await kept.put('plans', { ...entry, plan: { ...entry.plan, ...(sent.does.kind === 'make' ? { source: 'item' } : {}), build: answeredBy(entry.plan.build, sent.does, answer) } }).catch(() => {});
  }

  /** refused: the office would not have an act that waited. It is set aside, and the step does not look done. */
  refused(serial) {
    if (this.page.plan?.serial === serial) this.#refresh();
  }

  // --- what is done ---

  /** act keeps and sends; refused is what to show where the office will not have it. */
  async #act(does, refused) {
    const { page } = this;
    const { plan } = page;
    // A label that is no item yet becomes one by what is done first.
    if (plan.source !== 'item' && !this.#waiting(plan.serial).some((s) => s.does.kind === 'make')) this.#keep({ kind: 'make', product: page.job.product || plan.product?.id || '' });
    const sent = this.#keep(does);
    this.#refresh(); // shown at once; the disk may be slower than the hand
    await this.adding;
    await Promise.race([page.queue.flush({ hold: sent.id }), new Promise((r) => { setTimeout(r, ANSWER); })]);
    const got = page.queue.letGo(sent.id);
    if (!got.error || page.plan?.serial !== plan.serial) return;
    this.#refresh();
    refused(saidOf(got.error));
  }

  /** #keep keeps an act; the writes follow one another. */
  #keep(does) {
    const { page } = this;
    const { serial, print } = page.plan;
    const sent = actOf({ id: freshId(), serial, at: Date.now(), by: page.who.person, does });
    this.making.push(sent);
    this.adding = this.adding.then(() => page.queue.add(sent, print)).then(() => { this.making = this.making.filter((m) => m !== sent); });
    return sent;
  }

  #refuse(entry, text, reason) {
    const { page } = this;
    page.said = { kind: 'refused', entry, text, reason };
    say(`Refused: ${reason}.`);
    page.draw();
  }

  #go(key) {
    const { page } = this;
    page.job = work.goTo(page.job, key);
  }

  handles = (entry) => entry.kind === 'step' || entry.kind === 'charge';

  /** take takes what was typed for a step or the charge; Enter alone says done. */
  take(entry, typed) {
    if (entry.kind === 'charge') this.#charge(entry, scanned(typed) ?? typed.trim());
    else this.#step(entry, typed);
  }

  #step(entry, typed) {
    const { page } = this;
    const step = page.plan.build.steps.find((s) => s.code === entry.slot);
    if (step.code === STRINGS_JOINED && !step.done) {
      this.#join(entry, step, typed);
      return;
    }
    const { serial } = serialOf(scanned(typed) ?? typed);
    if (serial) {
      this.#refuse(entry, printed(serial), 'That is a serial; Enter alone says that the step is done');
      return;
    }
    if (scanned(typed) !== null) {
      this.#refuse(entry, scanned(typed).slice(0, 24), 'That is a scan; Enter alone says that the step is done');
      return;
    }
    if (typed.trim()) {
      this.#refuse(entry, typed.trim().slice(0, 24), step.code === STRINGS_JOINED ? 'The strings are joined: take the step back and part them to measure again' : 'No reading belongs to a step; Rest and load comes after the charge');
      return;
    }
    if (step.done) this.#onward();
    else this.tick(step.code, true);
  }

  /** tick says that a step is done, or takes it back. */
  tick(code, done, volts) {
    const { page } = this;
    const step = page.plan.build.steps.find((s) => s.code === code);
    if (!step || step.done === done) return;
    const entry = page.kind.entries(page.plan, page.job).find((e) => e.slot === code && e.kind === 'step');
    if (done && code === STRINGS_JOINED && !volts) { // asked for first
      this.#go(entry.key);
      page.draw();
      return;
    }
    page.said = { kind: done ? 'done' : 'back', entry, text: step.words };
    this.#act({ kind: 'tick', step: code, done, ...(volts ? { volts } : {}) }, (reason) => this.#refuse(entry, step.words, reason));
    if (done) this.#onward();
    else this.#go(entry.key);
    say(done ? `Done: ${step.words}. ${page.asks(page.screen())}` : `Taken back: ${step.words}.`, done ? 'taken' : '');
    page.draw();
  }

  /** onward goes to the next open step, then to the charge. */
  #onward() {
    const { page } = this;
    const next = page.plan.build.steps.find((s) => !s.done);
    this.#go(next ? `build/whole/${next.code}` : 'charge/whole/');
    if (!next) scrollTo(0, 0); // a phone shows the list of steps further down than what comes now
    page.draw();
  }

  #join(entry, step, typed) {
    const { page } = this;
    const read = readTyped(typed, { unit: 'V', units: ['V', 'mV'] });
    if (!read.ok) {
      if (read.reason) this.#refuse(entry, typed.trim().slice(0, 24), read.reason);
      return;
    }
    const value = inUnit(read.value, read.unit, 'V');
    const reason = stringRefused(page.plan.build, value, this.volts.length + 1, Date.now());
    if (reason) {
      this.#refuse(entry, typed.trim().slice(0, 24), reason);
      return;
    }
    this.volts.push({ text: read.unit === 'V' ? read.text : decimal.text(value), value });
    if (this.volts.length < strings(page.plan)) {
      page.said = { kind: 'volts', entry, text: read.text, unit: read.unit, n: this.volts.length };
      say(`String ${this.volts.length}: ${read.text}. ${page.asks(page.screen())}`, 'taken');
      page.draw();
      return;
    }
    const volts = this.volts;
    this.volts = [];
    const join = mayJoin(page.plan.build, volts.map((v) => v.value));
    if (join.ok) this.tick(step.code, true, volts.map((v) => v.text));
    else this.#refuse(entry, volts.map((v) => v.text).join(', '), apartSaid(join));
  }

  #charge(entry, text) {
    const { page } = this;
    const { charge } = page.plan.build;
    if (charge && !charge.ended_at) {
      this.#end(entry, charge, text);
      return;
    }
    if (charge && !this.again && !text) {
      page.goGroup('gate');
      return;
    }
    const what = charge ? 'refresh' : 'charge';
    if (text) this.#begin(entry, what, text);
    else this.#sure('No charger is named. Is it on one now?', { label: 'On charger', small: 'begins now' }, 'Not yet', () => this.#begin(entry, what, ''));
  }

  /** #sure asks before something is done that Enter alone must not do: Enter ticked the last step too. */
  #sure(text, yes, no, pick) {
    const { page } = this;
    page.offer(text, [{ ...yes, pick }, { label: no, pick: () => page.draw() }], true);
  }

  #begin(entry, what, charger) {
    const { page } = this;
    if (charger.length > 60) {
      this.#refuse(entry, charger.slice(0, 24), 'A charger is named in at most 60 letters');
      return;
    }
    this.again = false;
    page.said = { kind: 'begun', entry, text: charger, what };
    this.#act({ kind: 'charge', charge: freshId(), what, charger }, (reason) => this.#refuse(entry, charger || 'Charge', reason));
    say(`${what === 'load' ? 'Under a short load' : 'On the charger'}. ${page.asks(page.screen())}`, 'taken');
    page.draw();
  }

  #end(entry, charge, text) {
    const read = text ? readTyped(text, { unit: 'A', units: ['A'] }) : { ok: true, text: '' };
    if (!read.ok || read.text.startsWith('-') || read.text.startsWith('\u2212')) {
      this.#refuse(entry, text.slice(0, 24), read.reason || 'A current at the end of a charge is not negative');
      return;
    }
    const load = charge.kind === 'load';
    if (Date.now() - Date.parse(charge.started_at) < BRIEF) {
      this.#sure(`${load ? 'Under load' : 'On the charger'} for less than a minute. Is it off again?`, { label: load ? 'Load off' : 'Off charger', small: 'rest counts from now' }, 'It stays on', () => this.#ended(entry, charge, read.text));
      return;
    }
    this.#ended(entry, charge, read.text);
  }

  #ended(entry, charge, current) {
    const { page } = this;
    page.said = { kind: 'ended', entry, text: current };
    this.#act({ kind: 'end', charge: charge.id, current }, (reason) => this.#refuse(entry, current || 'Charge ended', reason));
    say(`Off the charger. Rest counts from ${clock(Date.now())}.`, 'taken');
    page.draw();
  }

  // --- keys beside ---

  /** tool does what a key of this part says; false where it is another's. */
  tool(does) {
    const { page } = this;
    const acts = {
      readings: () => page.goGroup('gate'),
      'charge-again': () => { this.again = true; page.draw(); say('Type the charger’s name, or Enter alone.'); },
      load: () => this.#begin(page.current(), 'load', ''),
      taps: () => this.taps(),
      off: () => this.#off(),
    };
    if (!acts[does]) return false;
    acts[does]();
    return true;
  }

  /** off: it was on the charger and is not any more. Its rest is asked for again. */
  #off() {
    const { page } = this;
    const values = { ...page.job.values };
    for (const slot of ['on_charger', 'rest_hours']) delete values[`conditions/whole/${slot}`];
    page.change({ ...page.job, values, at: 'conditions/whole/rest_hours' }, { kind: 'nothing' });
    say(page.asks(page.screen()));
  }

  /** undo takes back the step ticked last, while the steps are in hand; false elsewhere. */
  undo() {
    const { page } = this;
    const group = page.choice || page.job?.ask ? '' : page.current()?.group;
    if (group === 'charge') {
      say('A charge stays on record. One begun by mistake is ended.');
      return true;
    }
    if (group !== 'build') return false;
    const last = this.volts.length ? null : lastDone(page.plan.build);
    this.volts = [];
    if (last) this.tick(last.code, false);
    else page.draw();
    return true;
  }

  // --- what the record says against an answer ---

  /** contradicted asks where "not on the charger" is not what the record says; true while it asks. */
  contradicted(entry, text) {
    const { page } = this;
    if (entry.slot !== 'on_charger' || text !== 'no' || this.sureOff === page.job.id) return false;
    const rest = restOf(page.plan.build, Date.now());
    if (rest.state !== 'charging') return false;
    page.offer(`By the record it is on ${rest.charger || 'the charger'} since ${clock(rest.since)}. Was it taken off?`, [
      { label: 'End the charge', small: 'rest counts from there', pick: () => page.goGroup('charge') },
      { label: 'No charger is connected', small: 'kept, but not judged', pick: () => { this.sureOff = page.job.id; page.answer('no'); } },
    ], true);
    return true;
  }
}
