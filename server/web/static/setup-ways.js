// The set-up page's own choices: hands, pedal and tones, kept in this browser
// as they are chosen (floor-ways.js).
import { waysOf, keepWays, PEDALS } from './floor-ways.js';
import { sound } from './floor-tones.js';
import { h, paint } from './floor-dom.js';

const $ = (id) => document.getElementById(id);
const { person } = $('ways').dataset;
const [hands, pedal, volume, kept] = ['hands', 'pedal', 'volume', 'kept'].map($);

paint(pedal, PEDALS.map((key) => h('option', { value: key }, `the key ${key}`)), h('option', { value: '' }, 'nothing: no pedal'));

function show() {
  const ways = waysOf(person);
  hands.value = ways.hands;
  pedal.value = ways.pedal;
  const steps = [...volume.options].map((o) => Number(o.value));
  volume.value = String(steps.reduce((a, b) => (Math.abs(b - ways.volume) < Math.abs(a - ways.volume) ? b : a)));
  $('pedal-key').textContent = ways.pedal || 'of no pedal: it is switched off';
}

function keep() {
  const done = keepWays(person, { hands: hands.value, pedal: pedal.value, volume: Number(volume.value) });
  kept.textContent = done ? 'Kept. It holds when a floor page is next opened.' : 'Not kept: this browser keeps nothing for this address.';
  show();
}

for (const select of [hands, pedal, volume]) select.addEventListener('change', keep);
for (const key of document.querySelectorAll('#ways [data-tone]')) {
  key.addEventListener('click', () => {
    const played = sound(key.dataset.tone);
    kept.textContent = `${key.textContent}${played ? '' : waysOf(person).volume ? ': no sound on this device' : ': tones are off'}`;
  });
}
show();
