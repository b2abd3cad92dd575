// The turns at the stand: which list is in hand, and what follows an answer at
// a stop; what the hands do is in stand-turns-hands.js. FloorPage
// (floor-page.js) holds the wheel and hands over while its phase is 'turns'.
import * as api from './floor-api.js';
import { readPlan } from './floor-plan.js';
import { resume } from './floor-submission.js';
import { paintHead, say } from './floor-view.js';
import { stageName } from './stand-words.js';
import { Lists } from './stand-turns-kept.js';
import { tilesOf, gradeOf, plural, beforeSaid } from './stand-turns-words.js';
import { saidOf } from './floor-queue.js';
import { turnsScreen, awayScreen } from './stand-turns-screen.js';
import { again, againCode } from './stand-turns-again.js';
import { sceneOf, paintTurns } from './stand-turns-view.js';
import { refused } from './stand-turns-hands.js';
import { Watching } from './stand-turns-watch.js';

const ASK_AGAIN = 3000; // ms until an office that did not answer is asked again
const PATIENT = 2000; // ms that opening a wheel waits for what became of its begun list

/** sheetOf asks how a list stands. Where there is none since a stop was settled, it is made. */
async function sheetOf(id) {
  const sheet = await api.getTurns(id);
  return sheet.state === 'unmade' ? api.makeTurns(id) : sheet;
}

export class Turning extends Watching {
  constructor(page) {
    super();
    this.page = page;
    this.el = sceneOf(document.getElementById('floor'));
    this.reset();
    addEventListener('online', () => { if (this.away) this.retry(); else this.lists?.send(); });
    document.addEventListener('visibilitychange', () => { if (document.visibilityState === 'visible') this.look(); });
    document.addEventListener('keydown', (event) => this.key(event), true);
    document.addEventListener('keypress', (event) => { if (this.swallowed && event.key === 'Enter') event.preventDefault(); }, true);
  }

  reset() {
    clearTimeout(this.asking);
    clearTimeout(this.looking);
    Object.assign(this, { id: '', asked: null, away: null, chosen: 'short', walked: null, said: null, way: null, busy: false, typed: '', pressed: -Infinity, toGo: false });
  }

  /** start opens what this tablet keeps of lists, and sends what waits. */
  async start(kept) {
    const { personId, person, device } = this.page.who;
    this.lists = new Lists({
      kept, put: api.putTurn, get: sheetOf, person: personId, name: person, device, told: () => this.page.draw(), found: (id) => say(beforeSaid(this.lists.of(id).before)),
      lock: navigator.locks ? (f) => navigator.locks.request('tracewright-turns', f) : undefined, // one page of this tablet sends at a time
    });
    await this.lists.load();
    this.lists.send();
    this.lists.refresh();
  }

  get entry() {
    return this.lists?.of(this.id) ?? null;
  }

  // --- from the verdict ---

  /** offers says whether the verdict place offers the turns: for a wheel read by every hole; first, while it is not good. */
  offers() {
    const { page } = this;
    const inspection = page.outcome?.placed ? page.outcome.inspection : null;
    if (!inspection || !page.plan || !page.kind.isEvery(page.plan, page.job)) return null;
    if (page.outcome.doubted) return { first: true, label: 'Back to the stop', small: 'say what happened' };
    return { first: inspection.verdict !== 'pass' };
  }

  /**
   * weigh looks for a stop before a verdict is shown. It gives what is to be
   * shown as the outcome; null when it has taken over the page.
   */
  async weigh(answer) {
    const { page } = this;
    if (answer.placed && page.job?.corrects) await this.lists.close(page.job.corrects);
    if (!answer.placed || !page.kind.isEvery(page.plan, page.job)) return answer;
    const id = answer.inspection.id;
    await this.lists.read(answer.item.serial, id);
    try {
      const got = await api.getTurns(id);
      if (got.state !== 'stop') return answer;
      await this.keep(got, answer);
      this.show(id);
      return null;
    } catch (err) {
      if (!(err instanceof api.NoAnswer)) return answer; // 404: there was no list before it
      this.asking = setTimeout(() => page.judged(id, answer), ASK_AGAIN);
      return { kept: true };
    }
  }

  /** heard: the office answered for readings whose person has gone on. A stop among them is found at the start. */
  async heard(answer) {
    if (!answer?.placed || !this.lists?.open.some((e) => e.serial === answer.item.serial)) return;
    try {
      const got = await api.getTurns(answer.inspection.id);
      if (got.state === 'stop') await this.keep(got, answer);
    } catch { /* without an answer it is found when the list is asked for */ }
    await this.lists.read(answer.item.serial, answer.inspection.id);
  }

  /** make asks for the list of the wheel whose verdict is shown. */
  async make() {
    const { page } = this;
    if (this.busy || !page.outcome?.placed) return;
    if (page.outcome.doubted) {
      this.show(page.outcome.doubted);
      return;
    }
    await this.ask(page.outcome.inspection.id, () => api.makeTurns(page.outcome.inspection.id), page.outcome);
  }

  /** open shows a list by its inspection, as the address names it. */
  async open(id) {
    await this.ask(id, async () => {
      try {
        return await sheetOf(id);
      } catch (err) {
        if (err.status !== 404) throw err;
        return api.makeTurns(id);
      }
    });
  }

  async ask(id, get, outcome) {
    this.busy = true;
    const print = outcome?.item?.print ?? this.lists.of(id)?.print ?? '';
    try {
      // What was ticked here comes before what the office says of it.
      if (this.lists.of(id)?.pending.length) await this.lists.send();
      await this.keep(await get(), outcome);
      this.show(id);
    } catch (err) {
      if (this.lists.of(id)) this.show(id);
      else if (err instanceof api.NoAnswer) this.showAway(id, { print, serial: outcome?.item?.serial ?? '' }, () => this.ask(id, get, outcome));
      else notShown(this.page, err);
    } finally {
      this.busy = false;
      this.page.draw();
    }
  }

  /** keep remembers an answer with the verdict and the names it is shown with. */
  async keep(answer, outcome) {
    const known = this.lists.of(answer.inspection);
    const more = {};
    const reads = answer.stop?.ways.find((w) => w.read?.length)?.read;
    if (reads) more.reads = reads;
    if (outcome?.results) more.tiles = tilesOf(outcome.results);
    const here = this.page.plan?.serial === answer.serial ? this.page.plan : null;
    if (!known?.tiles.length && !more.tiles) {
      const whole = await api.getInspection(answer.inspection).catch(() => null);
      if (whole) more.tiles = tilesOf(whole.results ?? []);
    }
    if (!known?.grade) {
      const plan = here ?? await api.getPlan(answer.serial, { stage: answer.stage }).then(readPlan).catch(() => null);
      if (plan) Object.assign(more, { grade: gradeOf(plan.specification), marks: { a: plan.form.side_a ?? '', b: plan.form.side_b ?? '' } });
    }
    return this.lists.remember(answer, more);
  }

  show(id) {
    const { page } = this;
    this.reset();
    this.id = id;
    this.swallowed = true; // the Enter that led here presses no key of what is shown now
    page.phase = 'turns';
    page.choice = null;
    history.replaceState(null, '', `${page.kind.path}?turns=${encodeURIComponent(id)}`);
    page.draw();
    this.watch();
    const { answer } = this.entry;
    if (answer.state === 'stop') say(`Stop. ${answer.stop.title}. ${answer.stop.text} No verdict until you say what happened.`);
    else say([this.screen().title, this.stepSaid()].filter(Boolean).join('. '));
  }

  /** newest shows the list of the newest readings of a wheel whose list in hand is closed. */
  async newest() {
    if (this.busy) return;
    const { id, entry } = this;
    try {
      const plan = readPlan(await api.getPlan(entry.answer.serial));
      const last = plan.standing.filter((i) => i.inspection_id !== id).sort((a, b) => Date.parse(b.measured_at) - Date.parse(a.measured_at))[0];
      if (last) await this.open(last.inspection_id);
      else await this.measure();
    } catch (err) {
      this.notDone('Not opened', err);
    }
  }

  /** notDone says what the office would not do, or that it does not answer. */
  notDone(word, err) {
    this.said = { tone: 'care', shape: 'triangle', word, text: err instanceof api.NoAnswer ? 'the office does not answer; press it again when it does' : saidOf(err) };
    say(`${word}: ${this.said.text}.`);
    this.page.draw();
  }

  showAway(id, wheel, retry) {
    this.reset();
    Object.assign(this, { id, away: { ...wheel, retry } });
    this.page.phase = 'turns';
    this.asking = setTimeout(() => this.retry(), ASK_AGAIN);
    history.replaceState(null, '', `${this.page.kind.path}?turns=${encodeURIComponent(id)}`);
    say('The turn list comes when the office answers.');
  }

  retry() {
    const { away } = this;
    clearTimeout(this.asking);
    if (away && this.page.phase === 'turns') away.retry();
  }

  // --- a stop ---

  /** choose says what happened; the page does what follows. */
  async choose(cause) {
    if (this.busy || this.entry?.answer.state !== 'stop') return;
    this.busy = true;
    this.said = null;
    this.page.draw();
    const { id } = this;
    try {
      const answer = await api.answerStop(id, cause);
      await this.keep(answer);
      this.busy = false;
      if (againCode(answer)) await this.readAgain();
      else this.show(id);
    } catch (err) {
      this.busy = false;
      this.notDone('Not on record', err);
      if (err.status) this.look(); // it may have been said elsewhere
    }
    this.page.draw();
  }

  /** wrongOne: another wheel was on the stand. Nothing is said of the turns; the readings move as from the verdict. */
  async wrongOne() {
    const { page, id } = this;
    if (this.busy || this.entry?.answer.state !== 'stop') return;
    this.busy = true;
    try {
      const { plan, job, whole } = await this.sitting();
      const { inspection, item } = whole ?? await api.getInspection(id);
      this.reset();
      Object.assign(page, { plan, job, outcome: { placed: true, doubted: id, inspection, item }, phase: 'verdict', refused: null, choice: null, savedAt: Date.now() });
      page.moving.begin();
      page.paint();
      page.input.focus();
    } catch (err) {
      this.busy = false;
      this.show(id);
      this.notDone('Not opened', err);
    }
  }

  /** readAgain opens the inspection as a correction; readings that were only swapped are turned over and sent. */
  async readAgain() {
    const { page, id } = this;
    const { answer, reads } = this.entry;
    const code = againCode(answer);
    try {
      const { plan, job } = await this.sitting();
      const next = again(job, code, reads ?? []);
      this.reset();
      const todo = answer.missing.find((m) => m.code === code)?.text ?? '';
      Object.assign(page, { plan, job: next, outcome: null, phase: 'reading', refused: null, draftKept: false });
      page.saver.begin(0);
      page.change(next, { kind: 'again', reason: todo });
      page.paint();
      page.input.focus();
      if (code === 'read_sides_again') {
        say('The sides are turned over. The first readings stay on record.');
        await page.submit();
      } else say(`${todo} ${page.asks(page.screen())}`);
    } catch (err) {
      this.show(id);
      this.notDone('Not opened', err);
    }
  }

  /** sitting is the plan and the readings of the inspection in hand: as this page still has them, or from the office. */
  async sitting() {
    const { page, id } = this;
    if (page.job?.id === id && page.plan) return { plan: page.plan, job: page.job };
    const whole = await api.getInspection(id);
    const { inspection, item, sets } = whole;
    const plan = readPlan(await api.getPlan(item.serial, { stage: inspection.stage }));
    const content = { id, serial: plan.serial, stage: inspection.stage, started_at: inspection.started_at, conditions: inspection.conditions, sets };
    return { plan, whole, job: { ...resume(content, plan, page.kind, { complete: true }), place: page.who.place } };
  }

  // --- from the start ---

  /** begunOn is a question about a wheel whose list is begun, here or on another tablet; null where there is none, or where it goes on. */
  async begunOn(plan) {
    if (this.goesOn || !this.lists) return null;
    if (this.lists.open.some((e) => e.serial === plan.serial)) await Promise.race([this.lists.refresh(plan.serial), new Promise((r) => { setTimeout(r, PATIENT); })]);
    const open = this.lists.open.find((e) => e.serial === plan.serial);
    if (!open) return plan.openTurns ? { text: `Turns of ${plan.print} are begun on another tablet.`, id: plan.openTurns, label: 'Go on turning' } : null;
    if (open.stop) return { text: `The readings of ${open.print} contradict the turns before them.`, id: open.id, label: 'Say what happened' };
    return { text: `${open.made} of ${plural(open.of, 'turn')} made on ${open.print}.`, id: open.id, label: open.made < open.of ? 'Go on turning' : 'Show the turns' };
  }

  // --- painting ---

  screen() {
    if (this.away) return { ...awayScreen(this.away), focusName: 'retry' };
    const s = turnsScreen({ kept: this.entry, chosen: this.chosen, walked: this.walked, narrow: this.page.narrow.matches, said: this.said ?? toldOf(this.entry), way: this.way, busy: this.busy });
    return { ...s, focusName: s.focus === 'go' ? s.go.does : s.focus };
  }

  paint() {
    const s = this.screen();
    document.title = `${s.title} · Tracewright`;
    paintTurns(this.el, { ...s, toGo: this.toGo }, (does) => this.act(does));
    this.toGo = false;
  }

  paintHead(line) {
    const answer = this.entry?.answer;
    paintHead({
      serial: answer?.print ?? this.away?.print ?? '', what: answer ? [answer.product, `${answer.holes} spokes`].filter(Boolean).join(', ') : '',
      stage: answer ? `${stageName(answer.stage)}, round ${answer.round}` : '', stages: 1, line,
    }, {});
  }

  /** line says how many ticks wait. */
  line() {
    const n = this.lists?.waiting ?? 0;
    if (n) return { ok: false, shape: 'lines', text: `${plural(n, 'tick')} waiting${this.lists.needsSignIn ? ', sign in again' : ''}` };
    if (this.away) return { ok: false, shape: 'lines', text: 'no answer' };
    return this.page.phase === 'turns' ? { ok: true, shape: 'tick', text: 'all sent' } : null;
  }
}

/** toldOf is what the office said of the ticks made here: refused, or made by somebody before. */
function toldOf(entry) {
  if (entry.before?.length) return { tone: 'care', shape: 'triangle', word: 'Look.', text: beforeSaid(entry.before) };
  return entry.problem ? { ...refused(entry.problem), word: 'Not taken' } : null;
}

/** notShown: the office has no such inspection, or gives no list of it. */
function notShown(page, err) {
  page.refused = { text: 'Turns', reason: err.status === 404 ? 'No inspection of a wheel answers to this' : saidOf(err) };
  if (page.phase !== 'verdict') page.phase = 'start';
  say(`Refused: ${page.refused.reason}`);
}
