// The page that tries scanner, gauge, pedal and camera. What a burst means is
// decided in setup-burst.js; here it is collected and shown.
import { readBurst, nameOf, bounce } from './setup-burst.js';
import { h, icon, paint } from './floor-dom.js';
import { Camera } from './floor-camera.js';
import { waysOf, PEDALS } from './floor-ways.js';
import './setup-ways.js';

const WITHOUT_END = 700; // ms of silence after which a burst is taken to have no end
const BURST = 60; // ms between keys, at most: nobody types so

const $ = (id) => document.getElementById(id);
const [input, keys, answer, awaits, video] = ['arrives', 'keys', 'answer', 'awaits', 'seen'].map($);
let times = [];
let silence = 0;
let pedal = { at: -Infinity, presses: 0, bounces: 0 };

function context(end) {
  const o = awaits.selectedOptions[0];
  const { unit = 'mm', code = '', low = '', high = '', resolution = '' } = o.dataset;
  return { awaits: awaits.value, end, gauge: { unit, code, rangeLow: low, rangeHigh: high, resolution } };
}

const shapes = { pass: 'tick', fail: 'cross', care: 'triangle' };

function say({ tone, word, why }) {
  answer.dataset.tone = tone;
  paint(answer, h('p', { class: 'try-word' }, icon(shapes[tone], 24), word), h('p', { class: 'quiet' }, why));
}

function heard(what, tone, word) {
  const state = document.querySelector(`#heard [data-what=${what}] [data-state]`);
  state.className = `word ${tone}`;
  paint(state, icon(shapes[tone], 15), word);
}

function key(name, end = false) {
  if (times.length === 0) paint(keys);
  if (keys.childElementCount < 60) keys.append(h('span', { class: end && 'end' }, nameOf(name)));
}

/** take closes a burst and says what a stand makes of it. */
function take(end) {
  clearTimeout(silence);
  const text = input.value;
  if (!text && end === '') return;
  const read = readBurst(text, context(end));
  say(read);
  if (read.from) {
    const tone = read.works ? 'pass' : read.tone;
    heard(read.from, tone, { pass: 'Heard', care: 'Look', fail: 'Refused' }[tone]);
  }
  input.value = '';
  times = [];
}

function press(event) {
  event.preventDefault();
  if (event.repeat) {
    say({ tone: 'pass', word: 'Pedal: held', why: 'Held for a second a stand takes the last reading back.' });
    return;
  }
  const at = event.timeStamp;
  if (bounce(at, pedal.at)) {
    pedal.bounces += 1;
    say({ tone: 'care', word: 'Pedal: bounce', why: `A second press within 150 ms is ignored; ${pedal.bounces} so far.` });
  } else {
    pedal.presses += 1;
    say({ tone: 'pass', word: 'Pedal: take', why: `Press ${pedal.presses}: a stand takes the reading and goes on.` });
  }
  pedal.at = at;
  heard('pedal', 'pass', 'Heard');
}

document.addEventListener('keydown', (event) => {
  const own = waysOf($('ways').dataset.person).pedal;
  if (own && event.key === own) {
    press(event);
    return;
  }
  if (/^F\d/.test(event.key) && PEDALS.includes(event.key)) { // a page key still turns the page
    event.preventDefault();
    say({ tone: 'care', word: `Not the pedal: ${event.key}`, why: own ? `Your pedal’s key is ${own}. Choose ${event.key} below, or set the pedal to ${own}.` : 'Your pedal is switched off below.' });
    return;
  }
  if (event.target.closest?.('a, button, select, summary, .find') || event.altKey || event.metaKey) return;
  // A scanner may send the group separator (0x1D) as Ctrl and a closing bracket.
  if (event.ctrlKey) {
    if (event.key === ']' || event.code === 'BracketRight') {
      event.preventDefault();
      key('\u001d');
      input.value += '\u001d';
      times.push(event.timeStamp);
    }
    return;
  }
  if (document.activeElement !== input) input.focus({ preventScroll: true });
  if (event.key === 'Enter' || (event.key === 'Tab' && input.value)) {
    event.preventDefault();
    key(event.key, true);
    take(event.key);
    return;
  }
  if (event.key === 'Tab' || event.key === 'Shift') return;
  if (event.key === 'Escape') {
    input.value = '';
    times = [];
    paint(keys);
    return;
  }
  key(event.key);
  times.push(event.timeStamp);
  clearTimeout(silence);
  silence = setTimeout(() => {
    const span = times.at(-1) - times[0];
    if (times.length >= 4 && span / (times.length - 1) < BURST) take('');
  }, WITHOUT_END);
});

$('again').addEventListener('click', () => location.reload());
$('print').addEventListener('click', () => print());
awaits.addEventListener('change', () => input.focus({ preventScroll: true }));

/** What the camera reads comes with the prefix that a scanner sends. */
const camera = new Camera({
  video,
  looking: () => {
    video.hidden = false;
    say({ tone: 'care', word: 'Looking', why: 'Hold the first code of the sheet before the camera, a hand’s width away. Escape ends it.' });
  },
  heard: (text) => {
    const read = readBurst(text, context('Enter'));
    say(read.what === 'scan' ? { ...read, why: `Read by the camera as ${text.slice(0, 3)}. It lands in no reading.` } : read);
    heard('camera', 'pass', 'Heard');
  },
  none: (why) => {
    heard('camera', 'care', 'Not here');
    say({ tone: 'care', word: 'Nothing read', why });
  },
  off: () => {
    video.hidden = true;
    say({ tone: 'care', word: 'Camera off', why: 'Nothing was read.' });
    input.focus({ preventScroll: true });
  },
});
$('camera').addEventListener('click', () => camera.open());

input.focus({ preventScroll: true });
