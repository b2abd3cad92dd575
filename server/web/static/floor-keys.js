// The hands: one capture field has the focus always, a keypad types into it,
// and a touch elsewhere gives it back. What a letter or a digit means is decided
// from the field's text, so that screen keyboards work too. A pedal is a key: F8,
// unless the person's settings say another.

import { Pace } from './floor-pace.js';

const BOUNCE = 150; // ms: a second press of Take within it, with nothing typed between, is bounce

const HELD = 1000; // ms: a pedal held so long takes back
const PEDAL = 'F8';

/**
 * pedal tells a press from a hold. down and up are its key; acts.pedal is
 * called once for each press, with true where it was held. A press within
 * BOUNCE of the one before is bounce: ignored and counted.
 */
export function pedal({ acts, now, later = setTimeout, never = clearTimeout }) {
  let last = -Infinity;
  let timer = null;
  return {
    down(repeat) {
      if (repeat || timer !== null) return;
      const at = now();
      if (at - last < BOUNCE) {
        acts.bounced?.();
        return;
      }
      last = at;
      timer = later(() => {
        timer = null;
        acts.pedal(true);
      }, HELD);
    },
    up() {
      if (timer === null) return;
      never(timer);
      timer = null;
      last = now();
      acts.pedal(false);
    },
  };
}

/** listen connects keyboard, keypad and the pedal's key ('' for none) to acts; the answer knows by whom the field was filled. */
export function listen({ input, pad, take, acts, pedalKey = PEDAL, now = () => Date.now() }) {
  let lastTake = -Infinity;
  const pace = new Pace();
  const enter = (how) => {
    const at = now();
    if (at - lastTake < BOUNCE && input.value === '') {
      acts.bounced?.(); // what a gauge types is never dropped by time
      return;
    }
    lastTake = at;
    acts.take(how);
  };

  take.addEventListener('click', () => { enter({ pressed: true }); input.focus(); });
  input.addEventListener('input', () => {
    if (input.value === '') pace.clear();
    acts.typed();
  });

  pad.addEventListener('pointerdown', (event) => event.preventDefault()); // the field keeps the focus
  pad.addEventListener('click', (event) => {
    const key = event.target.closest('button')?.dataset.key;
    if (key) {
      pace.pressed();
      press(input, key, acts);
      if (input.value === '') pace.clear();
    }
    input.focus();
  });

  const foot = pedal({ acts, now });
  document.addEventListener('keyup', (event) => { if (event.key === pedalKey) foot.up(); });
  document.addEventListener('keydown', (event) => {
    if (event.key === pedalKey) {
      event.preventDefault();
      foot.down(event.repeat);
      return;
    }
    if (event.altKey || event.metaKey) return;
    if (event.ctrlKey) {
      if (event.key.toLowerCase() === 'z') {
        event.preventDefault();
        acts.undo();
      }
      return;
    }
    if (event.target !== input) {
      // A digit or letter typed while a key has the focus belongs into the field.
      if (event.key.length !== 1 || event.key === ' ' || event.target.closest?.('dialog, select, textarea')) return;
      input.focus();
    }
    if (event.key.length === 1 || (input.value !== '' && (event.key === 'Enter' || event.key === 'Tab'))) pace.key(event.timeStamp);
    switch (event.key) {
      case 'Enter':
        event.preventDefault();
        if (!event.repeat) enter();
        break;
      case 'Tab': // some gauges end with it; with nothing typed it goes on to the next key
        if (event.shiftKey || input.value === '') return;
        event.preventDefault();
        enter();
        break;
      case 'Escape':
        event.preventDefault();
        acts.clear();
        break;
      case 'ArrowLeft':
      case 'ArrowRight':
        if (input.value !== '') return;
        event.preventDefault();
        acts.walk(event.key === 'ArrowRight' ? 1 : -1);
        break;
      case 'ArrowUp':
      case 'ArrowDown':
        event.preventDefault();
        acts.step(event.key === 'ArrowDown' ? 1 : -1);
        break;
      default:
    }
  });

  // A touch on what is no key gives the focus back.
  document.addEventListener('click', (event) => {
    if (!event.target.closest('a, select, summary')) input.focus({ preventScroll: true });
  });
  addEventListener('focus', () => input.focus({ preventScroll: true }));
  return pace;
}

/** press types one key of the keypad. */
export function press(input, key, acts) {
  if (key === 'clear') {
    acts.clear();
    return;
  }
  if (key === 'rub') input.value = input.value.slice(0, -1);
  else if (key === 'sign') input.value = acts.sign(input.value);
  else input.value += key;
  acts.typed();
}
