// A page where readings are taken: it holds the job, sends what the hands do
// to the parts that decide, saves the draft and paints what comes of it.
import * as api from './floor-api.js';
import * as work from './floor-job.js';
import { submission } from './floor-submission.js';
import { placed, joined } from './floor-problems.js';
import { DraftSaver } from './floor-drafts.js';
import { openSerial, openDraft, planAnew } from './floor-open.js';
import { lackingOf } from './floor-lacking.js';
import { startScreen, sendingScreen, verdictScreen } from './floor-scenes.js';
import { verdictMark } from './floor-verdict.js';
import { lineState } from './floor-screen.js';
import { paintScreen, paintHead, region, say } from './floor-view.js';
import { listen } from './floor-keys.js';
import { choiceField, choiceGo } from './floor-choice.js';
import { symbol } from './floor-units.js';
import { clock, useZone } from './floor-format.js';
import { stageName } from './stand-words.js';
import { freshId } from './floor-id.js';
import { Saving } from './floor-saving.js';
import { Moving } from './floor-moving.js';
import { openKept } from './floor-kept.js';
import { Outgoing, waitingLine } from './floor-queue.js';
import { ready } from './floor-offline.js';
import { Seeing } from './floor-seen.js';
import { waysOf } from './floor-ways.js';
import { scanned } from './floor-serial.js';
import './floor-lock.js';

const ANSWER = 6000; // ms that a person waits for a verdict before going on

class FloorPage extends Saving {
  constructor(kind) {
    super();
    this.kind = kind;
    const page = region('floor');
    useZone(page.dataset.zone);
    this.who = { person: page.dataset.person, personId: page.dataset.personId, place: page.dataset.place, device: page.dataset.device !== undefined };
    this.input = region('capture');
    this.narrow = matchMedia('(max-width: 899px)');
    this.phase = 'start'; // start, reading, sending, verdict, turns
    this.drafts = null;
    this.opens = 0; // how many serials and drafts were asked for
    this.saver = new DraftSaver({ put: api.putDraft, told: (state, err) => this.saverSaid(state, err) });
    this.reset();
    this.turns = kind.turns?.(this); // what to turn at this item
    this.masks = kind.masks?.(this); // what is not judged of it
    this.works = kind.works?.(this); // what is done with it before it is read
    this.moving = new Moving(this);
  }

  reset() {
    this.masks?.drop();
    this.works?.drop();
    this.moving?.drop();
    Object.assign(this, { plan: null, job: null, said: null, walkAt: null, choice: null, rereading: false, outcome: null, refused: null, opening: '', savedAt: null });
  }

  run() {
    // Before this ran, Enter in the field opened its serial as a plain form; from here the page does it itself.
    region('open').addEventListener('submit', (event) => event.preventDefault());
    const ways = waysOf(this.who.personId);
    region('floor').classList.toggle('left', ways.hands === 'left');
    this.seeing = new Seeing({ input: this.input, scan: (text) => { this.input.value = text; this.take(); } });
    this.pace = listen({ input: this.input, pad: region('pad'), take: region('take'), acts: this, pedalKey: ways.pedal });
    this.narrow.addEventListener('change', () => this.draw());
    document.addEventListener('gauge-reading', (event) => this.gauge(event.detail));
    addEventListener('pagehide', () => this.saver.leave());
    document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'hidden') this.saver.leave(); });
    this.draw();
    this.input.focus();
    return this.begin();
  }

  /** begin opens what this tablet keeps, sends what waits, and opens what the address names. */
  async begin() {
    // The address, not the page's text: a kept page was made for another serial. Read before a serial is typed.
    const named = new URLSearchParams(location.search);
    const id = named.get('draft');
    const serial = named.get('serial');
    this.storing = this.openStore();
    await this.storing;
    if (this.opens || this.phase !== 'start') return; // somebody scanned meanwhile
    const turns = this.turns && named.get('turns');
    if (turns) await this.turns.open(turns);
    else if (id) await this.opened(openDraft(this.kind, this.who, id, { take: false }));
    else if (serial) await this.open(serial);
    else await this.listDrafts();
  }

  /** openStore opens what this tablet keeps and sends what waits there. */
  async openStore() {
    const kept = await openKept();
    this.who.kept = kept;
    await this.turns?.start(kept);
    this.queue = new Outgoing({
      kept, person: this.who.personId, name: this.who.person, send: (sent) => this.post(sent),
      told: () => this.draw(), answered: (id, answer, sent) => (sent.act ? this.works?.answered(sent, answer) : this.judged(id, answer)),
      leaves: this.turns ? undefined : (sent) => this.turnedElsewhere(sent.serial),
      refused: (id) => this.works?.refused?.(this.queue.list.find((e) => e.id === id)?.sent.serial),
      lock: navigator.locks ? (f) => navigator.locks.request('tracewright-outgoing', f) : undefined, // one page of this tablet sends at a time
    });
    await this.queue.load();
    this.countUnplaced();
    const sending = this.queue.flush();
    // An inspection that waits closes its draft: it goes before a serial is opened anew.
    if (this.queue.waiting.length) await Promise.race([sending, new Promise((r) => { setTimeout(r, 3000); })]);
    addEventListener('online', () => this.queue.flush());
    ready(this.kind.path).then((missing) => {
      this.missing = missing;
      if (missing) say(missing);
      this.draw();
    });
  }

  /** post sends an inspection, after the turns that were made before it: readings are held against those. */
  async post(sent) {
    if (sent.act) return (await api.sendAct(sent.act)).json;
    await this.turns?.lists.send();
    if (this.turns?.lists.holdsUp(sent.serial)) throw new api.NoAnswer();
    return (await api.postInspection(sent)).json;
  }

  /** turnedElsewhere says that turns of an item wait on this tablet, which the page that knows of turns sends before it. */
  async turnedElsewhere(serial) {
    const { kept } = this.who;
    const lists = (await kept.all('turns')).filter((l) => l.serial === serial).map((l) => l.id);
    return lists.length > 0 && (await kept.all('ticks')).some((t) => lists.includes(t.inspection));
  }

  /** countUnplaced asks which inspections of this person or place nobody has placed yet. */
  async countUnplaced() {
    const all = await api.getUnplaced().catch(() => null);
    if (!all) return; // no answer: what was known stays
    this.queue.unplaced = all.filter((u) => u.person === this.who.personId || (this.who.place && u.content?.place === this.who.place)).length;
    this.drawHead();
  }

  // --- what lies on the stand ---

  async listDrafts() {
    const here = await this.who.kept.all('drafts');
    const listed = (d) => ({ id: d.id, serial: d.serial, print: d.print, kind: d.kind, stage: d.content.stage, person_id: d.person, place: '', updated_at: new Date(d.at).toISOString() });
    try {
      const open = await api.getDrafts();
      const away = [];
      for (const d of here.filter((d) => !open.some((o) => o.id === d.id))) {
        // What the office has closed is not kept here either, but for what never reached it. What it does not know any more is.
        const there = d.saved ? await api.getDraft(d.id).catch((err) => (err.status === 404 ? null : undefined)) : null;
        if (there?.closed) await this.forgetDraft(d.id);
        else if (there === null && d.person === this.who.personId) away.push({ ...listed(d), place: 'on this tablet alone' });
      }
      this.drafts = [...open, ...away];
      this.draftsFailed = false;
    } catch {
      this.drafts = here.map(listed);
      this.draftsFailed = true;
    }
    this.drafts = this.drafts.filter((d) => d.kind === this.kind.kind);
    if (this.phase === 'start') this.draw();
  }

  open(typed) {
    this.seeing.close();
    this.opening = scanned(typed) ?? typed;
    this.draw();
    return this.opened(this.storing.then(() => openSerial(this.kind, this.who, typed)));
  }

  openDraft(draft, take) {
    return this.opened(openDraft(this.kind, this.who, draft.id, { take }));
  }

  /** opened acts on what came of opening a serial or a draft. What was asked for before the newest, or before the hands went on, comes too late. */
  async opened(promise) {
    const { phase, job } = this;
    this.opens += 1;
    const turn = this.opens;
    const got = await promise;
    if (turn !== this.opens) return;
    this.opening = '';
    if (this.phase !== phase || this.job !== job) return;
    if (got.elsewhere) {
      location.assign(got.elsewhere);
      return;
    }
    if (got.choice) {
      this.offer(got.choice.text, got.choice.options.map((o) => ({ ...o, pick: () => this.opened(o.then()) })), true);
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
    const begun = !got.resumed && await this.turns?.begunOn(got.plan);
    if (begun) {
      this.offer(begun.text, [{ label: begun.label, pick: () => this.turns.open(begun.id) }, { label: 'Measure again', small: 'the next round', pick: () => { this.takeUp(got); this.tool('every'); } }], true);
      return;
    }
    this.takeUp(got);
  }

  /** takeUp puts an opened item on the stand. */
  takeUp(got) {
    this.reset();
    this.phase = 'reading';
    this.plan = this.works?.upToDate(got.plan) ?? got.plan;
    this.job = this.works?.begin(got) ?? got.job;
    if (got.resumed) this.said = { kind: 'resumed' };
    const content = submission(got.job, got.plan, this.kind);
    this.saver.begin(got.version, got.unsaved ? got.base ?? null : got.version ? content : null);
    this.input.value = '';
    this.draftKept = Boolean(got.unsaved);
    if (got.version || got.unsaved) this.keepDraft(!got.unsaved);
    if (got.unsaved) this.saver.changed(content);
    this.address();
    this.draw();
    const s = this.screen();
    say(`${got.plan.print}. ${got.resumed ? 'Taken up where it was left. ' : ''}${this.asks(s)}`);
  }

  // --- sending ---

  /** submit sends what was read; stay is what happens where the office refuses it and it is not to be read again here. */
  async submit(stay) {
    this.phase = 'sending';
    this.draw();
    if (!stay && !await this.gaugesThere()) return;
    const sent = { ...submission(this.job, this.plan, this.kind, { complete: true }), person: this.who.personId }; // whoever sends it some day
    const closing = this.saver.close();
    const entry = await this.queue.add(sent, this.plan.print);
    if (!entry.unkept || this.who.kept.passing) await this.forgetDraft(sent.id); // a full tablet has the draft alone
    await Promise.race([closing, new Promise((r) => { setTimeout(r, ANSWER); })]);
    await Promise.race([this.queue.flush({ hold: sent.id }), new Promise((r) => { setTimeout(r, ANSWER); })]);
    const got = this.queue.letGo(sent.id);
    if (got.error && stay) await stay(got.error);
    else if (got.error) {
      this.phase = 'reading';
      this.notTaken(got.error, sent);
      this.saver.reopen();
      this.saver.changed(submission(this.job, this.plan, this.kind));
      this.keepDraft(false);
      say(`Refused: ${this.said.reason}`);
    } else {
      const outcome = await (this.turns?.weigh(got.answer ?? { kept: true }) ?? got.answer ?? { kept: true });
      if (!outcome) return;
      this.outcome = outcome;
      this.savedAt = Date.now();
      this.phase = 'verdict';
      this.said = null;
      this.faultsSaid = [];
      history.replaceState(null, '', this.kind.path);
      this.sayOutcome();
    }
    this.draw();
  }

  /** gaugesThere says whether each set has a gauge that it was read with, asking the office for those that came into use since. */
  async gaugesThere() {
    const missing = () => lackingOf(submission(this.job, this.plan, this.kind, { complete: true }), this.plan);
    if (missing()) {
      const plan = await planAnew(this.who, this.job, ANSWER);
      if (plan) this.plan = this.works?.upToDate(plan) ?? plan;
    }
    const reason = missing();
    if (!reason) return true;
    this.phase = 'reading';
    this.said = { kind: 'unsent', reason };
    say(`Not sent. ${reason}`);
    this.draw();
    return false;
  }

  sayOutcome() {
    const { kept, placed: found, inspection } = this.outcome;
    if (kept) say(`Saved, judged when the office answers. Scan the next ${this.kind.thing}.`);
    else say(found ? `Verdict: ${verdictMark(inspection.verdict).word}. Scan the next ${this.kind.thing}.` : 'Kept, but not placed.');
  }

  /** judged: the office answered for an inspection that waited. */
  async judged(id, answer) {
    this.forgetDraft(id);
    if (!answer.placed) this.countUnplaced();
    if (this.job?.id !== id) this.turns?.heard(answer);
    if (this.phase !== 'verdict' || this.job?.id !== id || !this.outcome?.kept) return;
    const outcome = await (this.turns?.weigh(answer) ?? answer);
    if (!outcome || this.phase !== 'verdict' || this.job?.id !== id) return;
    this.outcome = outcome;
    if (!outcome.kept) this.sayOutcome();
    this.draw();
  }

  /** notTaken shows the office's problems at their entries. */
  notTaken(err, sent) {
    const found = placed(err.errors ?? [], sent, this.plan, this.kind);
    const first = found.entries[0];
    const entry = first && this.kind.entries(this.plan, this.job).find((e) => e.key === first.key);
    if (entry) {
      this.job = work.goTo(this.job, entry.key);
      const more = found.entries.length + found.others.length - 1;
      this.said = { kind: 'refused', entry, text: first.text, reason: more ? `${first.message.replace(/\.$/, '')}; ${more} more` : first.message };
      return;
    }
    this.said = { kind: 'refused', entry: null, text: 'Not taken', reason: joined(found.others) || err.message };
  }

  // --- painting ---

  screen() {
    return this.kind.screen({ plan: this.plan, job: this.job, typed: this.rereading || this.masks?.wants ? '' : this.input.value, said: this.said, walk: this.walkAt, narrow: this.narrow.matches, work: this.works?.state });
  }

  /** draw paints before the next picture is shown; what is typed in one burst is painted once. */
  draw() {
    if (this.drawing) return;
    this.drawing = true;
    requestAnimationFrame(() => {
      this.drawing = false;
      this.paint();
    });
  }

  paint() {
    region('floor').classList.toggle('turning', this.phase === 'turns');
    if (this.phase === 'turns') {
      region('floor').classList.remove('start', 'quick', 'done', 'asking', 'resting');
      this.turns.paint();
      this.drawHead();
      return;
    }
    let s;
    if (this.phase === 'start') s = startScreen(this.kind, { ...this.who, typed: this.choice ? '' : this.input.value, refused: this.refused, opening: this.opening, drafts: this.drafts, draftsFailed: this.draftsFailed, aside: this.queue?.aside, others: this.queue?.others, missing: this.missing, turns: this.turns?.lists?.open, narrow: this.narrow.matches });
    else if (this.phase === 'reading') s = this.screen();
    else if (this.phase === 'sending') s = sendingScreen(this.screen());
    else s = verdictScreen(this.kind, { plan: this.plan, job: this.job, answer: this.outcome, savedAt: this.savedAt, refused: this.refused, turns: this.turns?.offers(), typed: this.input.value }, this.screen());
    if (this.rereading) s.field = { says: 'Number to read again', hint: 'then its new value', units: [] };
    if (this.moving.wants) Object.assign(s, { field: this.moving.field(), go: this.moving.go(), ask: this.moving.ask() });
    if (this.masks?.wants) Object.assign(s, { field: this.masks.field(), go: this.masks.go() });
    if (this.choice) s.choice = this.choice;
    else if (this.job?.ask) s.choice = this.job.ask;
    if (s.choice) {
      s.field = choiceField(s.choice, this.input.value, this.noAnswer);
      s.go = choiceGo(s.choice, this.input.value);
      if (this.phase === 'start') s.ask = { lab: 'Now', lead: 'Say', big: 'which', how: 'press it, or type its number' };
    }
    if (s.field.unit) s.field.symbol = symbol(s.field.unit);
    document.title = `${s.title} · Tracewright`;
    paintScreen(s, this.handed());
    this.drawHead();
  }

  drawHead() {
    if (this.phase === 'turns') {
      this.turns.paintHead(this.line());
      return;
    }
    const plan = this.plan;
    const product = plan ? [plan.product?.name ?? plan.family, this.kind.sizeWords(plan)].filter(Boolean).join(', ') : '';
    paintHead({
      serial: plan?.print ?? '', leaves: this.phase === 'reading', what: product || (this.kind.thing === 'wheel' ? 'Record a wheel' : 'Record a pack'),
      stage: this.job ? stageName(this.job.stage) : '', stages: this.phase === 'reading' ? plan.stages.length : 1,
      line: this.line(),
    }, this.handed());
  }

  /** line says how what was read has come to the office: what waits first. */
  line() {
    return this.queue ? waitingLine(this.queue, Date.now(), clock, this.lineOfWork()) : this.lineOfWork();
  }

  lineOfWork() {
    if (this.works?.making.length) return lineState({ state: 'saving' }); // not on the tablet's disk yet
    const ticks = this.turns?.line();
    if (ticks) return ticks;
    if (this.phase === 'reading') return lineState({ state: this.saver.state, status: this.saveStatus, savedAt: this.savedAt, kept: this.draftKept });
    return this.phase === 'verdict' && !this.queue?.aside.length ? { ok: true, shape: 'tick', text: 'all sent' } : null;
  }

  handed() {
    return {
      tool: (d) => this.tool(d), goGroup: (k) => this.goGroup(k), choose: (w) => this.choose(w), pick: (i) => this.pick(i), more: () => this.moreChoices(), clear: () => this.clear(),
      tick: (k, a) => this.tick(k, a), step: (code, done) => this.works.tick(code, done), openDraft: (d, t) => this.openDraft(d, t), openTurns: (id) => this.turns.open(id), sendAgain: (id) => this.queue.again(id), leaveAside: (id) => this.queue.drop(id), handOver: (person) => this.queue.handOver(person), correct: (id) => this.queue.correct(id, freshId()),
    };
  }
}

/** start runs a page for a kind of item. */
export function start(kind) {
  const page = new FloorPage(kind);
  page.run();
  return page;
}
