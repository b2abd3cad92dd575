// What the hands do to a turn list: Turned and Back by key, pedal or touch, the
// arrows walk, and a scan opens the next wheel. Turning (stand-turns-page.js)
// holds the list and paints it.
import { say } from './floor-view.js';
import { serialOf, scanned } from './floor-serial.js';
import { nameOf, turnsOf, stepOf, backOf, leftOf, partsOf, closedOf } from './stand-turns-list.js';
import { spokenTurn, plural, othersSaid } from './stand-turns-words.js';

const BOUNCE = 150; // ms: a second press within it is bounce
const TYPED = 1500; // ms: what is typed and not ended is forgotten

/** refused is a line that says what was not taken. */
export const refused = (text) => ({ tone: 'fail', shape: 'cross', word: 'Refused', text });

export class TurnHands {
  now() {
    const { answer, pending } = this.entry;
    const name = nameOf(answer, pending, this.chosen);
    const turns = answer.state === 'ready' && !closedOf(answer) ? turnsOf(answer, pending, name) : [];
    return { answer, pending, name, turns, step: stepOf(turns, this.walked) };
  }

  act(does) {
    if (does.startsWith('cause:')) {
      this.choose(does.slice(6));
      return;
    }
    if (does.startsWith('look:')) {
      this.way = does.slice(5);
      this.page.draw();
      return;
    }
    const acts = {
      turned: () => this.turned(), back: () => this.back(), next: () => { this.walked = null; this.said = null; say(this.stepSaid()); this.page.draw(); },
      'list-short': () => this.pickList('short'), 'list-all': () => this.pickList('all'),
      measure: () => this.measure(), again: () => this.readAgain(), leave: () => this.leave(), retry: () => this.retry(), newest: () => this.newest(), wrong: () => this.wrongOne(),
    };
    if (does !== 'back') this.asked = null;
    acts[does]?.();
  }

  /** go is Enter and pedal: the one accented key. */
  go() {
    const s = this.entry && !this.away ? this.screen() : null;
    if (s?.go) this.act(s.go.does);
  }

  turned() {
    if (this.bounced()) return;
    const { name, turns, step } = this.now();
    if (!step || step.turned) return;
    this.walked = null;
    this.said = null;
    this.lists.tick(this.id, name, step.n, true);
    const left = leftOf(turns) - 1;
    say(left ? `Turned: spoke ${step.spoke + 1}. ${this.stepSaid()}` : `Turned: spoke ${step.spoke + 1}. All are turned. Measure again.`);
  }

  back() {
    if (this.bounced()) return;
    const { name, pending, turns } = this.now();
    const { who } = this.page;
    const got = backOf(turns, pending, name, { here: this.entry.here, person: who.personId, me: who.person });
    if (!got) return;
    const { turn: last, own } = got;
    if (!own && this.asked !== last.n) {
      this.asked = last.n;
      this.said = { tone: 'care', shape: 'triangle', word: 'Not yours.', text: othersSaid(last) };
      say(this.said.text);
      this.page.draw();
      return;
    }
    this.asked = null;
    this.walked = last.n;
    this.toGo = true; // Enter means Turned again
    this.said = { tone: 'plain', shape: 'open', word: 'Taken back', text: `step ${last.n}, spoke ${last.spoke + 1}` };
    this.lists.tick(this.id, name, last.n, false);
    say(`Taken back: ${spokenTurn(last, partsOf(this.entry.answer), this.entry.marks)}.`);
  }

  bounced() {
    const at = Date.now();
    const soon = at - this.pressed < BOUNCE;
    if (!soon) this.pressed = at;
    return soon;
  }

  walk(by) {
    if (!this.entry || this.away) return;
    if (this.entry.answer.state === 'stop') {
      const keys = [...this.el.querySelectorAll('.t-choices button')];
      const at = keys.indexOf(document.activeElement);
      keys[Math.min(keys.length - 1, Math.max(0, at + by))]?.focus();
      return;
    }
    const { turns, step } = this.now();
    if (!turns.length) return;
    const at = step ? turns.findIndex((t) => t.n === step.n) : by > 0 ? -1 : turns.length;
    this.toGo = true; // Enter means what stands in the accented key
    this.asked = null;
    this.walked = turns[(at + by + turns.length) % turns.length].n;
    this.said = null;
    say(this.stepSaid());
    this.page.draw();
  }

  pickList(name) {
    this.toGo = true; // Enter means Turned, never the list again
    if (name === this.now().name) {
      this.page.draw();
      return;
    }
    this.chosen = name;
    this.walked = null;
    const { turns } = this.now();
    say(`${name === 'all' ? 'All' : 'Short list'}: ${plural(turns.length, 'nipple')}. ${this.stepSaid()}`);
    this.page.draw();
  }

  stepSaid() {
    const { answer, step } = this.now();
    return step ? `Step ${step.n}: ${spokenTurn(step, partsOf(answer), this.entry.marks)}${step.turned ? ', turned' : ''}.` : '';
  }

  pedal(held) {
    if (this.entry?.answer.state === 'stop' || this.away) return; // at a stop nothing is chosen by a foot
    if (held) this.back();
    else this.go();
  }

  undo() {
    if (this.entry && this.now().turns.length) this.back();
  }

  /** key hears the keyboard before the page does: a scan ends in Enter too, and must tick nothing. */
  key(event) {
    if (this.page.phase !== 'turns' || event.altKey || event.metaKey || event.ctrlKey || event.key === 'F8') return;
    if (event.key.length === 1 && (event.key !== ' ' || this.typed)) {
      event.preventDefault();
      event.stopPropagation();
      this.typed += event.key;
      clearTimeout(this.forgets);
      this.forgets = setTimeout(() => { this.typed = ''; }, TYPED);
      return;
    }
    this.swallowed = false; // what a scan ended with must press no key either
    if (event.key === 'Enter' || (event.key === 'Tab' && this.typed)) {
      if (event.repeat || this.typed) {
        this.swallowed = true;
        event.preventDefault();
        event.stopPropagation();
        if (!event.repeat) this.takeTyped();
      } else if (event.key === 'Enter' && !event.target.closest?.('button, a')) {
        event.preventDefault();
        event.stopPropagation();
        this.go();
      }
      return;
    }
    const by = { ArrowLeft: -1, ArrowUp: -1, ArrowRight: 1, ArrowDown: 1 }[event.key];
    if (!by) return;
    event.preventDefault();
    event.stopPropagation();
    this.walk(by);
  }

  /** takeTyped: a serial opens that wheel; anything else is refused and lands nowhere. */
  takeTyped() {
    const typed = this.typed.trim();
    this.typed = '';
    const serial = scanned(typed) === null ? serialOf(typed).serial : typed; // a scan goes on whole: what it is, is said there
    if (serial) {
      this.leave(serial);
      return;
    }
    this.said = refused(`“${typed.slice(0, 20)}” is no serial; nothing was ticked`);
    say(`Refused: ${this.said.text}.`);
    this.page.draw();
  }

  /** leave goes on to the next wheel. What was ticked stays. */
  leave(serial = '') {
    const { page } = this;
    this.reset();
    page.reset();
    page.phase = 'start';
    page.drafts = null;
    history.replaceState(null, '', page.kind.path);
    page.paint();
    page.input.value = '';
    page.input.focus();
    if (serial) page.open(serial);
    else {
      say('Scan a wheel.');
      page.listDrafts();
      this.lists.refresh();
    }
  }

  /** measure opens the wheel anew, every hole: the next round. */
  async measure() {
    const { page } = this;
    const serial = this.entry?.answer.serial ?? this.away?.serial;
    if (!serial) return;
    this.reset();
    page.reset();
    page.phase = 'start';
    page.paint();
    page.input.focus();
    this.goesOn = true; // the list in hand is no question now
    await page.open(serial);
    this.goesOn = false;
    if (page.phase === 'reading' && !page.kind.isEvery(page.plan, page.job)) page.tool('every');
  }
}
