// The cover of an office page that was left open. When no hand was at it for as long
// as the shop says, or when its session ended, nobody who passes by reads on. What
// was typed stays in the page: whoever signs in in another tab, as the same person, goes on.
import { h } from './floor-dom.js';
import { due } from './floor-lock.js';

const LOOK = 10000; // ms between two looks at the clock: timers stop while a computer sleeps
const ASK = 60000; // ms between two questions; a session counts as finely

/** readOf reads the answer to whether the person of the page is signed in: 'on', 'ended', or 'away' where nothing tells. */
export function readOf(response) {
  if (!response || response.status >= 500) return 'away';
  return response.status === 204 ? 'on' : 'ended';
}

/** wordsOf says what the cover says. */
export function wordsOf({ why, minutes, device = '', tried = '' }) {
  const wrong = { '': '', away: 'The office does not answer. Try again in a moment.', ended: 'Nobody is signed in here, or somebody else. Sign in first.' }[tried];
  if (why === 'idle') return { title: 'Locked', why: `No hand was at this page for ${minutes} minutes. What was typed stays in it.`, wrong };
  const how = device ? '.' : ': sign in in another tab, and go on here.';
  return { title: 'Signed out', why: `The session of this page has ended. What was typed stays in it${how}`, wrong };
}

/** Watch covers a page. It is given what it needs of a browser, so that a test can stand in for one. */
export class Watch {
  constructor({ minutes, ask, cover, uncover, device = '', tap = async () => {}, now = () => Date.now() }) {
    Object.assign(this, { minutes, ask, cover, uncover, device, tap, now });
    this.lastHand = now();
    this.asked = this.lastHand;
    this.handed = false; // since it was last asked
    this.owed = false; // an answer: what nothing came back to is asked again at the next look
    this.why = '';
  }

  /** hand is somebody at the page; the one that comes too late finds it covered. */
  hand() {
    if (this.why) return;
    this.look();
    if (this.why) return;
    this.lastHand = this.now();
    this.handed = true;
  }

  /** look covers the page where that is due, and asks once a minute, or at once, whether its session goes on. */
  async look(atOnce = false) {
    const now = this.now();
    if (now < this.asked) {
      this.lastHand = now; // A clock that was set back counts from now.
      this.asked = now;
    }
    if (this.why) return;
    if (due(this.lastHand, now, this.minutes)) {
      this.close('idle');
      return;
    }
    if (!atOnce && !this.owed && now - this.asked < ASK) return;
    const hand = this.handed;
    this.asked = now;
    this.handed = false;
    const is = readOf(await this.ask(hand).catch(() => null));
    this.owed = is === 'away';
    if (this.owed && hand) this.handed = true;
    if (is === 'ended' && !this.why) this.close('ended');
  }

  close(why) {
    this.why = why;
    this.cover(wordsOf(this));
  }

  /** goOn uncovers the page for its own person, where they are signed in; at a tablet the tap on their name does that. */
  async goOn() {
    await this.tap().catch(() => {});
    const is = readOf(await this.ask(true).catch(() => null));
    if (is !== 'on') {
      this.cover(wordsOf({ ...this, tried: is }));
      return;
    }
    this.why = '';
    this.lastHand = this.now();
    this.asked = this.lastHand;
    this.uncover();
  }
}

/** start watches over the page that is open. */
export function start({ lock, person, device }) {
  const dialog = h('dialog', { class: 'lock', 'aria-labelledby': 'lock-title' });
  document.body.append(dialog);
  dialog.addEventListener('cancel', (event) => event.preventDefault());
  // A question that no hand led to is no sign that anybody is there: it says that it only listens.
  const ask = (hand) => fetch(`/own/here?person=${encodeURIComponent(person)}`, { redirect: 'manual', credentials: 'same-origin', headers: hand ? {} : { Accept: 'text/event-stream' } });
  const watch = new Watch({
    minutes: Number(lock), ask, device,
    tap: device ? () => fetch('/signin', { method: 'POST', body: new URLSearchParams({ person }), redirect: 'manual', credentials: 'same-origin' }) : undefined,
    cover: (w) => {
      const goFirst = device || watch.why === 'idle'; // an idle session may go on in another page
      const go = h('button', { class: goFirst ? 'act first' : 'act', type: 'button' }, device ? `Go on as ${device}` : 'Go on');
      go.addEventListener('click', () => watch.goOn());
      const signIn = device ? h('a', { class: 'act', href: '/signin' }, 'Somebody else') : h('a', { class: goFirst ? 'act' : 'act first', href: '/signin', target: '_blank' }, 'Sign in in another tab');
      dialog.replaceChildren(...[h('h2', { id: 'lock-title' }, w.title), h('p', {}, w.why), w.wrong ? h('p', { class: 'wrong', role: 'alert' }, w.wrong) : null,
        h('div', { class: 'acts' }, goFirst ? [go, signIn] : [signIn, go])].filter(Boolean));
      if (!dialog.open) dialog.showModal();
    },
    uncover: () => dialog.close(),
  });
  for (const kind of ['pointerdown', 'keydown']) addEventListener(kind, () => watch.hand(), { capture: true, passive: true });
  document.addEventListener('visibilitychange', () => { if (!document.hidden) watch.look(true); });
  addEventListener('pageshow', (event) => { if (event.persisted) watch.look(true); });
  setInterval(() => watch.look(), LOOK);
  return watch;
}

const body = globalThis.document?.body;
if (body?.dataset?.lock) start(body.dataset);
