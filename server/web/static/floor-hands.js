// What the hands do at a page where readings are taken, and what the page says
// to it: take, undo, walk, switch, choose. FloorPage (floor-page.js) holds the
// job, saves and paints it.
import * as api from './floor-api.js';
import * as work from './floor-job.js';
import { take, answer, holdsReadings, unitOf, useUnit } from './floor-take.js';
import { resolve } from './floor-ask.js';
import { changeSign } from './floor-reading.js';
import { instrumentsFor, instrumentOf } from './floor-plan.js';
import { symbol } from './floor-units.js';
import { day } from './floor-format.js';
import { partOf, readChoice } from './floor-choice.js';
import { gaugeName, stageName } from './stand-words.js';
import { say } from './floor-view.js';
import { Undoing } from './floor-undo.js';
import { takeGauge } from './floor-gauge.js';
import { scanned } from './floor-serial.js';
import { toneOf } from './floor-tones.js';

export class Hands extends Undoing {
  mode() {
    if (this.choice || this.job?.ask) return 'choice';
    if (this.phase !== 'reading') return 'serial';
    const entry = this.current();
    return entry?.kind === 'tick' ? 'tick' : entry?.kind === 'choice' ? 'yes-no' : 'value';
  }

  current() {
    return this.job ? work.current(this.job, this.kind.entries(this.plan, this.job)) : null;
  }

  /** typed: the field's text changed. One letter answers a tick; a question waits for Enter. */
  typed() {
    this.refused = null;
    this.noAnswer = '';
    const text = this.input.value.trim();
    const mode = this.mode();
    if (mode === 'choice') {
      this.draw();
      return;
    }
    if ((mode === 'tick' || mode === 'yes-no') && /^[yna]$/i.test(text)) {
      this.input.value = '';
      this.answer({ y: 'yes', n: 'no', a: 'na' }[text.toLowerCase()]);
      return;
    }
    this.draw();
  }

  sign(text) {
    return changeSign(text);
  }

  clear() {
    if (this.choice?.closes) {
      this.choice = null;
      if (this.phase === 'start' && !this.drafts) this.listDrafts();
    }
    if (!this.choice && this.job?.ask && !this.input.value) { // a question that is left: nothing is taken
      this.taken(resolve({ plan: this.plan, job: this.job, shape: this.kind }, { does: 'again' }, Date.now()));
      return;
    }
    this.rereading = false;
    this.masks?.drop();
    this.moving.drop();
    this.walkAt = null;
    this.input.value = '';
    this.draw();
  }

  /** takeChoice takes a number typed to a question; what is no answer is refused and lands nowhere. */
  takeChoice(choice, typed) {
    this.input.value = '';
    const read = readChoice(typed, choice);
    if (read.index !== undefined) this.pick(read.index);
    else if (read.more) this.moreChoices();
    else {
      this.noAnswer = read.reason;
      if (read.reason) say(`Refused: ${read.reason}.`);
      this.draw();
    }
  }

  /** moreChoices shows the next part of a long question. */
  moreChoices() {
    this.choice = { ...this.choice, from: partOf(this.choice).more.from };
    this.draw();
    this.sayChoices();
  }

  /** take takes what is typed; pressed says that its key was pressed, not Enter or the pedal. */
  take({ pressed = false } = {}) {
    const typed = this.input.value;
    const by = this.pace?.says() ?? 'hand';
    this.pace?.clear();
    if (this.phase === 'sending' || this.phase === 'turns') return;
    if (this.choice || this.job?.ask) {
      this.takeChoice(this.choice ?? this.job.ask, typed);
      return;
    }
    if (this.moving.wants) {
      this.moving.take(typed);
      return;
    }
    if (this.phase === 'start' || this.phase === 'verdict') {
      if (!typed.trim()) {
        if (this.phase === 'verdict' && this.turns?.offers()?.first) this.turns.make();
        return;
      }
      this.input.value = '';
      this.open(typed.trim());
      return;
    }
    if (this.masks?.wants) {
      this.masks.take(typed);
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
    if (this.works?.handles(entry)) {
      this.input.value = '';
      this.works.take(entry, typed);
      return;
    }
    const now = Date.now();
    if (scanned(typed) !== null && entry.kind !== 'text') {
      this.input.value = '';
      this.taken({ job: work.refuse(this.job, entry, typed.trim().slice(0, 40), now), said: { kind: 'refused', entry, text: scanned(typed), reason: 'That is a scan; it lands in no reading' } });
      return;
    }
    if (entry.kind === 'tick' || entry.kind === 'choice') {
      this.input.value = '';
      if (typed.trim()) this.taken({ job: this.job, said: { kind: 'refused', entry, text: typed.trim(), reason: entry.kind === 'tick' ? 'Yes, no or not applicable: y, n, a' : 'Yes or no: y, n' } });
      else if (entry.kind === 'tick' && !pressed && !work.untouched(this.job, this.kind.entries(this.plan, this.job))) this.taken({ job: this.job, said: { kind: 'refused', entry, text: 'Enter', reason: 'It answers no point now: y, n or a, or press the key' } });
      else if (entry.kind === 'tick') this.tickRest(now);
      else this.answer('no');
      return;
    }
    if (this.walkAt !== null && !typed.trim()) {
      this.goToIndex(this.walkAt);
      return;
    }
    this.input.value = '';
    const said = typed.trim() === '' ? this.kind.byRecord?.(this.plan, entry, now) ?? typed : scanned(typed) ?? typed; // Enter alone takes what is known
    this.taken(take({ plan: this.plan, job: this.job, shape: this.kind }, said, now, { by }));
  }

  /** gauge takes what a gauge posted to this stand, each once; it is never dropped by time. */
  gauge(reading) {
    if (document.visibilityState === 'hidden') return; // another page of this stand is in front: it is read there
    this.heard ??= new Set();
    if (reading.id && this.heard.has(reading.id)) return;
    this.heard.add(reading.id);
    if (this.phase !== 'reading' || this.choice || this.job.ask) {
      say(`Refused: ${reading.value} came from the gauge while no reading is awaited.`);
      return;
    }
    this.taken(takeGauge({ plan: this.plan, job: this.job, shape: this.kind }, reading, Date.now()));
  }

  /** bounced counts second presses that were ignored. */
  bounced() {
    this.bounces = (this.bounces ?? 0) + 1;
  }

  /** pedal: pressed is Take; held is undo. */
  pedal(held) {
    if (this.phase === 'turns') this.turns.pedal(held);
    else if (held) this.undo();
    else this.take();
  }

  /** taken shows and says what became of an entry, and sends after the last one. */
  taken({ job, said }) {
    if (said.kind === 'nothing') {
      this.draw();
      return;
    }
    this.change(job, said);
    this.works?.heard(said);
    const s = this.screen();
    const words = { taken: () => `Taken: ${this.kind.spokenTaken(said)}.`, staged: () => 'Now its spoke.', refused: () => `Refused: ${said.reason}.`, doubt: () => said.reason, ask: () => said.reason };
    const fault = said.kind === 'taken' ? this.newFault() : '';
    say([words[said.kind](), fault, said.kind === 'taken' ? this.asks(s) : ''].filter(Boolean).join(' '), toneOf(said.kind, fault));
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
    if (entry && this.works?.contradicted(entry, text)) return;
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
      if (next?.kind === 'tick') {
        this.job = work.goTo(this.job, next.key);
        this.draw();
        say(`${this.kind.entryName(next)}.`);
        return;
      }
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
    if (this.works?.tool(does)) return;
    const acts = {
      undo: () => this.undo(),
      every: () => this.switchTo(this.kind.every?.(this.plan)),
      quick: () => this.switchTo(this.kind.begin(this.plan)),
      reread: () => { if (this.walkAt !== null) this.goToIndex(this.walkAt); else { this.rereading = true; this.input.value = ''; this.draw(); say('Type the number to read again.'); } },
      mask: () => this.masks.begin(),
      wrong: () => this.moving.begin(),
      leave: () => this.askLeave(),
      turns: () => this.turns.make(),
      yes: () => this.answer('yes'),
      camera: () => this.seeing.open(),
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

  /** askLeave asks what becomes of what is half read; where nothing is, the next one may come at once. */
  askLeave() {
    const { print } = this.plan;
    if (this.saver.bare) {
      this.leave();
      return;
    }
    this.offer(`${print} is half read. What becomes of it?`, [
      { label: 'Leave it', small: 'it waits among those begun', pick: () => this.leave() },
      { label: 'Set aside', small: 'kept, not judged', pick: () => this.setAside() },
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
    })).concat((this.kind.ways?.(this.job, entry) ?? []).map(({ job, refuse, ...way }) => ({ ...way, pick: () => (refuse ? this.taken({ job: this.job, said: { kind: 'refused', entry, text: way.label, reason: refuse } }) : this.change(job)) }))), true);
  }

  /** sameGauge: characteristics read with one kind of instrument change together while they are empty. */
  sameGauge(entry, instrument) {
    let job = work.setInstrument(this.job, entry.characteristic, instrument.code);
    for (const c of this.plan.specification.characteristics) {
      if (c.instrument === instrument.kind && !holdsReadings(job, c.code)) job = work.setInstrument(job, c.code, instrument.code);
    }
    return job;
  }

  /** offer asks a question. What was being typed belongs to something else and is not taken for its answer. */
  offer(text, options, closes = false) {
    this.choice = { text, options, closes };
    this.input.value = '';
    this.noAnswer = '';
    this.draw();
    this.sayChoices();
  }

  sayChoices() {
    const { options, more } = partOf(this.choice);
    say(`${this.choice.text} ${options.map((o) => `${o.number}: ${o.label}`).join(', ')}${more ? `, 0: ${more.label} ${more.small}` : ''}`);
  }
}
