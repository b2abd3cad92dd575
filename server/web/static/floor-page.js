// A page where readings are taken: it holds the job, sends what the hands do
// to the parts that decide, saves the draft and paints what comes of it.
import * as api from './floor-api.js';
import * as work from './floor-job.js';
import { take, answer, holdsReadings, unitOf, useUnit } from './floor-take.js';
import { resolve } from './floor-ask.js';
import { changeSign } from './floor-reading.js';
import { submission } from './floor-submission.js';
import { placed } from './floor-problems.js';
import { DraftSaver } from './floor-drafts.js';
import { openSerial, openDraft } from './floor-open.js';
import { startScreen, sendingScreen, verdictScreen } from './floor-scenes.js';
import { verdictMark } from './floor-verdict.js';
import { lineState } from './floor-screen.js';
import { paintScreen, paintHead, region, say } from './floor-view.js';
import { listen } from './floor-keys.js';
import { instrumentsFor, instrumentOf } from './floor-plan.js';
import { symbol } from './floor-units.js';
import { clock, day } from './floor-format.js';
import { freshId } from './floor-id.js';
import { gaugeName, stageName } from './stand-words.js';
import { mergeUnsaved } from './floor-merge.js';

class FloorPage {
  constructor(kind) {
    this.kind = kind;
    const page = region('floor');
    this.who = { person: page.dataset.person, personId: page.dataset.personId, place: page.dataset.place };
    this.input = region('capture');
    this.narrow = matchMedia('(max-width: 899px)');
    this.phase = 'start'; // start, reading, sending, verdict
    this.drafts = null;
    this.saver = new DraftSaver({ put: api.putDraft, told: (state) => this.saverSaid(state) });
    this.reset();
  }

  reset() {
    Object.assign(this, { plan: null, job: null, said: null, walkAt: null, choice: null, rereading: false, outcome: null, refused: null, opening: '', savedAt: null });
  }

  run() {
    const data = region('floor').dataset;
    listen({ input: this.input, pad: region('pad'), take: region('take'), acts: this });
    this.narrow.addEventListener('change', () => this.draw());
    addEventListener('pagehide', () => this.saver.leave());
    document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'hidden') this.saver.leave(); });
    this.draw();
    this.input.focus();
    if (data.draft) this.opened(openDraft(this.kind, this.who, data.draft, { take: false }));
    else if (data.serial) this.open(data.serial);
    else this.listDrafts();
  }

  // --- what lies on the stand ---

  async listDrafts() {
    try {
      this.drafts = (await api.getDrafts()).filter((d) => d.kind === this.kind.kind);
    } catch {
      this.draftsFailed = true;
    }
    if (this.phase === 'start') this.draw();
  }

  open(typed) {
    this.opening = typed;
    this.draw();
    return this.opened(openSerial(this.kind, this.who, typed));
  }

  openDraft(draft, take) {
    return this.opened(openDraft(this.kind, this.who, draft.id, { take }));
  }

  /** opened acts on what came of opening a serial or a draft. */
  async opened(promise) {
    const got = await promise;
    this.opening = '';
    if (got.elsewhere) {
      location.assign(got.elsewhere);
      return;
    }
    if (got.choice) {
      this.offer(got.choice.text, got.choice.options.map((o) => ({ ...o, pick: () => this.opened(o.then()) })));
      return;
    }
    if (got.refused) {
      this.refused = got.refused;
      if (this.phase !== 'verdict') this.phase = 'start';
      say(`Refused: ${got.refused.reason}`);
      if (this.phase === 'start' && !this.drafts) this.listDrafts();
      this.draw();
      return;
    }
    this.reset();
    this.phase = 'reading';
    this.plan = got.plan;
    this.job = got.job;
    this.saver.begin(got.version);
    this.input.value = '';
    this.address();
    this.draw();
    const s = this.screen();
    say(`${got.plan.print}. ${got.resumed ? 'Taken up where it was left. ' : ''}${this.asks(s)}`);
    if (got.resumed && !s.left.length) this.draw();
  }

  /** address keeps the draft in the page's address, so that a reload goes on with it. */
  address() {
    const query = this.saver.version ? `draft=${encodeURIComponent(this.job.id)}` : `serial=${encodeURIComponent(this.plan.serial)}`;
    history.replaceState(null, '', `${this.kind.path}?${query}`);
  }

  // --- saving ---

  saverSaid(state) {
    if (state === 'saved' && this.job && this.saver.version) {
      this.savedAt = Date.now();
      if (this.phase === 'reading') this.address();
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
      at = clock(draft.updated_at);
      closed = draft.closed;
    } catch { /* the question can be asked without the name */ }
    const text = closed ? `This inspection was sent or set aside by ${who} at ${at}.` : `Taken over by ${who} at ${at}. Nothing was overwritten.`;
    const options = [{ label: `Leave it`, small: `next ${this.kind.thing}`, pick: () => this.leaveJob() }];
    if (!closed) options.unshift({ label: 'Take over', small: 'go on here with what is there', pick: () => this.takeBack() });
    this.offer(text, options);
    say(text);
  }

  async takeBack() {
    const mine = this.job;
    const lost = this.saver.lost;
    const got = await openDraft(this.kind, this.who, mine.id, { take: true });
    if (got.job) got.job = mergeUnsaved(got.job, mine, lost);
    this.opened(got);
  }

  leaveJob() {
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
    this.draw();
  }

  // --- what the hands do ---

  mode() {
    if (this.choice || this.job?.ask) return 'choice';
    if (this.phase !== 'reading') return 'serial';
    const entry = this.current();
    return entry?.kind === 'tick' ? 'tick' : entry?.kind === 'choice' ? 'choice-entry' : 'value';
  }

  current() {
    return this.job ? work.current(this.job, this.kind.entries(this.plan, this.job)) : null;
  }

  typed() {
    if (this.refused) this.refused = null;
    this.draw();
  }

  sign(text) {
    return changeSign(text);
  }

  clear() {
    if (this.choice?.closes) this.choice = null;
    this.rereading = false;
    this.walkAt = null;
    this.input.value = '';
    this.draw();
  }

  take() {
    const typed = this.input.value;
    if (this.choice || this.job?.ask || this.phase === 'sending') return;
    if (this.phase === 'start' || this.phase === 'verdict') {
      if (!typed.trim()) return;
      this.input.value = '';
      this.open(typed.trim());
      return;
    }
    if (this.rereading) {
      this.goToSpoke(typed);
      return;
    }
    const entry = this.current();
    if (!entry) {
      this.submit();
      return;
    }
    const now = Date.now();
    if (entry.kind === 'tick') {
      this.tickRest(now);
      return;
    }
    if (entry.kind === 'choice') {
      this.answer('no');
      return;
    }
    if (this.walkAt !== null && !typed.trim()) {
      this.goToIndex(this.walkAt);
      return;
    }
    this.input.value = '';
    this.taken(take({ plan: this.plan, job: this.job, shape: this.kind }, typed, now));
  }

  /** taken shows and says what became of an entry, and sends after the last one. */
  taken({ job, said }) {
    if (said.kind === 'nothing') {
      this.draw();
      return;
    }
    this.change(job, said);
    const s = this.screen();
    const words = { taken: () => `Taken: ${this.kind.spokenTaken(said)}.`, staged: () => 'Now its spoke.', refused: () => `Refused: ${said.reason}.`, doubt: () => said.reason, ask: () => said.reason };
    const fault = said.kind === 'taken' ? this.newFault() : '';
    say([words[said.kind](), fault, said.kind === 'taken' ? this.asks(s) : ''].filter(Boolean).join(' '));
    if (said.kind === 'taken' && !s.left.length && !work.current(job, s.entries)) this.submit();
  }

  /** newFault says a fault once, when it first shows. */
  newFault() {
    const faults = this.kind.faultSentences(this.kind.figures(this.plan, this.job));
    const fresh = faults.filter((f) => !(this.faultsSaid ?? []).includes(f));
    this.faultsSaid = faults;
    return fresh.length ? `${fresh[0]}.` : '';
  }

  asks(s) {
    const a = s.ask;
    return a.number ? `${a.lab} ${a.number}, ${a.sideText}.` : `${a.lead} ${a.big}.`;
  }

  tickRest(now) {
    const entries = this.kind.entries(this.plan, this.job);
    const rest = work.open(this.job, entries).filter((e) => e.kind === 'tick');
    const entry = this.current();
    if (!rest.length || (rest.length === 1 && rest[0].key === entry.key) || work.answered(this.job, entry)) {
      this.answer('yes');
      return;
    }
    this.taken({ job: work.answerRest(this.job, rest, 'yes', now), said: { kind: 'taken', entry: rest.at(-1), text: 'yes' } });
  }

  answer(text) {
    const entry = this.current();
    if (!entry || (entry.kind === 'choice' && text === 'na')) return;
    this.taken(answer({ plan: this.plan, job: this.job, shape: this.kind }, entry, text, Date.now()));
  }

  tick(key, text) {
    if (this.phase !== 'reading') return;
    this.job = work.goTo(this.job, key);
    this.answer(text);
  }

  pick(i) {
    if (this.choice) {
      const option = this.choice.options[i];
      if (!option) return;
      this.choice = null;
      this.input.value = '';
      option.pick();
      this.draw();
      return;
    }
    const option = this.job?.ask?.options[i];
    if (option) this.taken(resolve({ plan: this.plan, job: this.job, shape: this.kind }, option, Date.now()));
  }

  undo() {
    if (this.choice || this.phase === 'sending' || !this.job) return;
    let job = this.job;
    if (this.phase === 'verdict') {
      if (!this.outcome?.placed) return;
      job = this.correcting(job);
    }
    const all = this.kind.allEntries(this.plan);
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

  goGroup(key) {
    if (this.phase !== 'reading') return;
    const entries = this.kind.entries(this.plan, this.job).filter((e) => e.group === key);
    const target = entries.find((e) => !work.answered(this.job, e) && !this.job.values[e.key]) ?? entries.find((e) => !work.answered(this.job, e)) ?? entries[0];
    if (!target) return;
    this.job = work.goTo(this.job, target.key);
    this.input.value = '';
    this.draw();
    say(this.asks(this.screen()));
  }

  step(by) {
    if (this.phase !== 'reading' || this.choice) return;
    const entries = this.kind.entries(this.plan, this.job);
    const entry = this.current();
    if (entry?.kind === 'tick') {
      const next = entries[entries.indexOf(entry) + by];
      if (next) {
        this.job = work.goTo(this.job, next.key);
        this.draw();
        say(`${this.kind.entryName(next)}.`);
      }
      return;
    }
    const groups = this.kind.groups(this.plan).map((g) => g.key);
    const next = groups[groups.indexOf(entry?.group) + by];
    if (next) this.goGroup(next);
  }

  walkTo(to) {
    this.walkAt = to;
    this.draw();
    say(this.screen().walked);
  }

  walk(by) {
    const n = this.kind.stations(this.plan);
    const entry = this.current();
    const from = this.walkAt ?? (typeof entry?.position === 'number' ? entry.position - (by > 0 ? 1 : 0) : by > 0 ? -1 : n);
    this.walkTo((((from + by) % n) + n) % n);
  }

  goToSpoke(typed) {
    const number = /^\d{1,3}$/.test(typed.trim()) ? Number(typed) : 0;
    this.input.value = '';
    if (number < 1 || number > this.kind.stations(this.plan)) {
      say(`There is no number ${typed.trim()}.`);
      this.draw();
      return;
    }
    this.goToIndex(number - 1);
  }

  goToIndex(index) {
    this.rereading = false;
    const entries = this.kind.entries(this.plan, this.job);
    const group = this.current()?.group;
    const target = entries.find((e) => e.group === group && this.kind.stationOf?.(this.plan, e) === index) ?? entries.find((e) => e.group === group && e.position === index);
    this.walkAt = null;
    if (target) this.job = work.goTo(this.job, target.key);
    this.draw();
    say(target ? this.asks(this.screen()) : 'Not read in this set.');
  }

  tool(does) {
    const acts = {
      undo: () => this.undo(),
      every: () => this.switchTo(this.kind.every?.(this.plan)),
      quick: () => this.switchTo(this.kind.begin(this.plan)),
      reread: () => { if (this.walkAt !== null) this.goToIndex(this.walkAt); else { this.rereading = true; this.input.value = ''; this.draw(); say('Type the number to read again.'); } },
      aside: () => this.askAside(),
    };
    acts[does]?.();
  }

  switchTo(methods) {
    if (!methods) return;
    const job = work.switchMethods(this.job, methods);
    this.input.value = '';
    this.change(job, { kind: 'nothing' });
    const s = this.screen();
    say(`${s.quick ? 'By extremes' : 'Every hole'}. ${this.asks(s)}`);
  }

  askAside() {
    this.offer(`Set these readings of ${this.plan.print} aside?`, [
      { label: 'Set aside', small: 'kept, not judged', pick: async () => { await this.saver.flush(); await api.setAsideDraft(this.job.id).catch(() => {}); this.leaveJob(); } },
      { label: 'Go on', pick: () => this.draw() },
    ], true);
  }

  /** choose offers instruments, units or stages where the keypad is. */
  choose(what) {
    const entry = this.current();
    if (what === 'stage') {
      this.offer('At which stage is it?', this.plan.stages.map((s) => ({ label: stageName(s), small: s === this.job.stage ? 'now' : '', pick: () => this.change({ ...this.job, stage: s }) })), true);
      return;
    }
    if (!entry) return;
    if (what === 'instrument') {
      const now = instrumentOf(this.plan, this.job, entry.characteristic);
      this.offer(`Which instrument reads ${this.kind.setName(entry).toLowerCase()}?`, instrumentsFor(this.plan, entry.characteristic).map((i) => ({
        label: gaugeName(i), small: `${i.place || 'anywhere'}${i.overdue ? `, overdue since ${day(i.dueOn)}` : ''}${i.code === now?.code ? ', in use' : ''}`, tone: i.overdue ? 'care' : '',
        pick: () => this.change(this.sameGauge(entry, i)),
      })), true);
      return;
    }
    const unit = unitOf(this.job, entry);
    const held = holdsReadings(this.job, entry.characteristic);
    this.offer(held ? `Its readings were typed as ${symbol(unit)}. Were they another unit?` : 'Read in which unit?', entry.units.map((u) => ({
      label: u === unit ? (held ? `Keep ${symbol(u)}` : symbol(u)) : held ? `They were ${symbol(u)}` : symbol(u), small: u === unit ? 'now' : '',
      pick: () => this.change(held ? work.setUnit(this.job, entry.characteristic, u) : useUnit(this.kind, this.job, entry.characteristic, u)),
    })), true);
  }

  /** sameGauge: characteristics read with one kind of instrument change together while they are empty. */
  sameGauge(entry, instrument) {
    let job = work.setInstrument(this.job, entry.characteristic, instrument.code);
    for (const c of this.plan.specification.characteristics) {
      if (c.instrument === instrument.kind && !holdsReadings(job, c.code)) job = work.setInstrument(job, c.code, instrument.code);
    }
    return job;
  }

  offer(text, options, closes = false) {
    this.choice = { text, options, closes };
    this.draw();
    say(`${text} ${options.slice(0, 9).map((o, i) => `${i + 1}: ${o.label}`).join(', ')}`);
  }

  // --- sending ---

  async submit() {
    this.phase = 'sending';
    this.draw();
    await this.saver.close();
    const sent = submission(this.job, this.plan, this.kind, { complete: true });
    try {
      const { json } = await api.postInspection(sent);
      this.outcome = json;
      this.savedAt = Date.now();
      this.phase = 'verdict';
      this.said = null;
      this.faultsSaid = [];
      history.replaceState(null, '', this.kind.path);
      say(json.placed ? `Verdict: ${verdictMark(json.inspection.verdict).word}. Scan the next ${this.kind.thing}.` : 'Kept, but not placed.');
    } catch (err) {
      this.phase = 'reading';
      this.notTaken(err, sent);
      this.saver.reopen();
      this.saver.changed(submission(this.job, this.plan, this.kind));
      say(`Refused: ${this.said.reason}`);
    }
    this.draw();
  }

  /** notTaken shows the office's problems at their entries. */
  notTaken(err, sent) {
    if (err instanceof api.NoAnswer) {
      this.said = { kind: 'refused', entry: null, text: 'Not sent', reason: 'The office does not answer. What is read is kept; send again' };
      return;
    }
    const found = placed(err.errors ?? [], sent, this.plan, this.kind);
    const first = found.entries[0];
    const entry = first && this.kind.entries(this.plan, this.job).find((e) => e.key === first.key);
    if (entry) {
      this.job = work.goTo(this.job, entry.key);
      const more = found.entries.length + found.others.length - 1;
      this.said = { kind: 'refused', entry, text: first.text, reason: first.message + (more ? `; ${more} more` : '') };
      return;
    }
    this.said = { kind: 'refused', entry: null, text: 'Not taken', reason: found.others.join('; ') || err.message };
  }

  // --- painting ---

  screen() {
    return this.kind.screen({ plan: this.plan, job: this.job, typed: this.rereading ? '' : this.input.value, said: this.said, walk: this.walkAt, narrow: this.narrow.matches });
  }

  draw() {
    let s;
    if (this.phase === 'start') s = startScreen(this.kind, { ...this.who, typed: this.input.value, refused: this.refused, opening: this.opening, drafts: this.drafts, draftsFailed: this.draftsFailed, narrow: this.narrow.matches });
    else if (this.phase === 'reading') s = this.screen();
    else if (this.phase === 'sending') s = sendingScreen(this.screen());
    else s = verdictScreen(this.kind, { plan: this.plan, job: this.job, answer: this.outcome, savedAt: this.savedAt, refused: this.refused }, this.screen());
    if (this.rereading) s.field = { says: 'Number to read again', hint: 'then its new value', units: [] };
    if (this.choice) s.choice = this.choice;
    else if (this.job?.ask) s.choice = this.job.ask;
    if (s.choice) s.go = { ...s.go, disabled: true };
    if (s.field.unit) s.field.symbol = symbol(s.field.unit);
    document.title = `${s.title} · Tracewright`;
    paintScreen(s, this.handed());
    this.drawHead();
  }

  drawHead() {
    const plan = this.plan;
    const product = plan ? [plan.product?.name ?? plan.family, this.kind.sizeWords(plan)].filter(Boolean).join(', ') : '';
    paintHead({
      serial: plan?.print ?? '', what: product || (this.kind.thing === 'wheel' ? 'Record a wheel' : 'Record a pack'),
      stage: this.job ? stageName(this.job.stage) : '', stages: this.phase === 'reading' ? plan.stages.length : 1,
      line: this.phase === 'reading' ? lineState({ state: this.saver.state, savedAt: this.savedAt }) : this.phase === 'verdict' ? { ok: true, shape: 'tick', text: 'all sent' } : null,
    }, this.handed());
  }

  handed() {
    return {
      tool: (d) => this.tool(d), goGroup: (k) => this.goGroup(k), choose: (w) => this.choose(w), pick: (i) => this.pick(i),
      tick: (k, a) => this.tick(k, a), openDraft: (d, t) => this.openDraft(d, t),
    };
  }
}

/** start runs a page for a kind of item. */
export function start(kind) {
  const page = new FloorPage(kind);
  page.run();
  return page;
}
