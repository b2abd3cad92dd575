// The lock of a page where readings are taken. When no hand was at it for as long
// as the shop says, the page is covered and the session ends; the half-entered set
// stays in the page, on the tablet and in the office. At a tablet a tap on the name
// goes on, or another's; in the office a password does. A gauge that speaks and
// readings that are sent again by themselves are no hand.
import { h } from './floor-dom.js';

const LOOK = 10000; // ms between two looks at the clock: timers stop while a tablet sleeps

/** due says whether the page is to lock: minutes without a hand, 0 never. A clock that was set back counts from now. */
export function due(lastHand, now, minutes) {
  return minutes > 0 && now - lastHand >= minutes * 60000;
}

/** outcomeOf reads the answer to a tapped name: a redirect lets the person go on. No answer does too: a tap proves no more with a line than without. */
export function outcomeOf(response) {
  if (!response) return 'away';
  return response.type === 'opaqueredirect' || response.ok ? 'on' : 'refused';
}

/** wordsOf says what the cover says. */
export function wordsOf({ device, person, minutes, refused = false }) {
  return {
    title: 'Locked',
    why: `No hand was at it for ${minutes} minutes. What was entered is kept.`,
    go: device ? `Go on as ${person}` : '',
    other: device ? 'Somebody else' : 'Sign in to go on',
    wrong: refused ? 'The office did not let this name in. Choose it anew.' : '',
  };
}

/** Lock covers a page. It is given what it needs of a browser, so that a test can stand in for one. */
export class Lock {
  constructor({ minutes, device, person, personId, cover, uncover, post, now = () => Date.now() }) {
    Object.assign(this, { minutes, device, person, personId, cover, uncover, post, now });
    this.lastHand = now();
    this.locked = false;
  }

  hand() {
    if (this.locked) return;
    this.look(); // The hand that comes too late finds it locked.
    if (!this.locked) this.lastHand = this.now();
  }

  look() {
    const now = this.now();
    if (now < this.lastHand) this.lastHand = now;
    if (this.locked || !due(this.lastHand, now, this.minutes)) return;
    this.locked = true;
    this.cover(wordsOf(this));
    this.ended = this.post('/signout', {}).catch(() => {});
  }

  /** goOn lets the person of the page go on by a tap on the name. */
  async goOn() {
    await this.ended;
    const outcome = outcomeOf(await this.post('/signin', { person: this.personId }).catch(() => null));
    if (outcome === 'refused') {
      this.cover(wordsOf({ ...this, refused: true }));
      return;
    }
    this.locked = false;
    this.lastHand = this.now();
    this.uncover(outcome);
  }
}

const post = (path, fields) => fetch(path, { method: 'POST', body: new URLSearchParams(fields), redirect: 'manual', credentials: 'same-origin' });

/** start locks the page that is open. */
export function start(page) {
  const dialog = h('dialog', { class: 'lock', 'aria-labelledby': 'lock-title' });
  document.body.append(dialog);
  dialog.addEventListener('cancel', (event) => event.preventDefault());
  const lock = new Lock({
    minutes: Number(page.dataset.lock) || 0, device: page.dataset.device !== undefined, person: page.dataset.person, personId: page.dataset.personId, post,
    cover: (w) => {
      const next = encodeURIComponent(location.pathname + location.search);
      const go = w.go ? h('button', { class: 'key go', type: 'button' }, w.go) : null;
      go?.addEventListener('click', () => lock.goOn());
      dialog.replaceChildren(...[h('h2', { id: 'lock-title' }, w.title), h('p', {}, w.why), w.wrong ? h('p', { class: 'v fail', role: 'alert' }, w.wrong) : null, h('div', { class: 'lock-acts' }, go, h('a', { class: go ? 'key' : 'key go', href: `/signin?next=${next}` }, w.other))].filter(Boolean));
      if (!dialog.open) dialog.showModal();
    },
    uncover: () => {
      dialog.close();
      dispatchEvent(new Event('online')); // what waited for a name is sent
      document.getElementById('capture')?.focus();
    },
  });
  for (const kind of ['pointerdown', 'keydown']) addEventListener(kind, () => lock.hand(), { capture: true, passive: true });
  document.addEventListener('visibilitychange', () => lock.look());
  setInterval(() => lock.look(), LOOK);
  return lock;
}

const page = globalThis.document?.getElementById?.('floor');
if (page) start(page);
