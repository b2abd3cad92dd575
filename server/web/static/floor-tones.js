// Three tones, each beside its word: taken is short and high, out of limit two
// falling, refused a low double. They are told apart by number and fall as well
// as by height. Nothing sounds before the first touch or key (browsers allow it
// only then), and where there is no sound nothing fails.
import { waysOf } from './floor-ways.js';

/** Each tone as notes: hertz, from when and how long in seconds. */
export const TONES = {
  taken: [{ hertz: 1320, from: 0, long: 0.08 }],
  over: [{ hertz: 740, from: 0, long: 0.14 }, { hertz: 440, from: 0.16, long: 0.24 }],
  refused: [{ hertz: 196, from: 0, long: 0.13 }, { hertz: 196, from: 0.2, long: 0.13 }],
};

/**
 * toneOf is the tone of what became of an entry, '' for none. What is doubted
 * or asked about is not taken: it sounds as what is refused.
 */
export function toneOf(kind, fault = '') {
  if (kind === 'taken') return fault ? 'over' : 'taken';
  return kind === 'refused' || kind === 'doubt' || kind === 'ask' ? 'refused' : '';
}

/** toneOfWords is the tone of a sentence of the live region: whatever is refused says so first. */
export const toneOfWords = (words) => (/^Refused\b/.test(words) ? 'refused' : '');

/** Tones plays them; volume() is 0 to 100 at that moment. */
export class Tones {
  constructor({ Context = globalThis.AudioContext, volume = () => 50 } = {}) {
    Object.assign(this, { Context, volume, context: null });
  }

  /** touched: from now on the browser allows sound. */
  touched() {
    if (this.context || !this.Context) return;
    try {
      this.context = new this.Context();
    } catch {
      this.Context = undefined; // no sound on this device
    }
  }

  play(name) {
    const notes = TONES[name];
    const loud = this.volume() / 100;
    if (!notes || !this.context || !(loud > 0)) return false;
    try {
      if (this.context.state === 'suspended') this.context.resume()?.catch?.(() => {});
      for (const { hertz, from, long } of notes) this.note(hertz, this.context.currentTime + from, long, loud);
      return true;
    } catch {
      return false; // the words are there
    }
  }

  note(hertz, at, long, loud) {
    const wave = this.context.createOscillator();
    const gain = this.context.createGain();
    wave.type = hertz < 300 ? 'square' : 'triangle'; // a small speaker hardly gives a low pure tone
    wave.frequency.value = hertz;
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(loud * 0.5, at + 0.008); // no click
    gain.gain.setValueAtTime(loud * 0.5, at + long - 0.02);
    gain.gain.linearRampToValueAtTime(0, at + long);
    wave.connect(gain).connect(this.context.destination);
    wave.start(at);
    wave.stop(at + long);
  }
}

const tones = new Tones({ volume: () => waysOf('').volume });
if (globalThis.document?.addEventListener) {
  for (const kind of ['pointerdown', 'touchend', 'keydown']) document.addEventListener(kind, () => tones.touched(), { capture: true, passive: true });
}

/** sound plays a tone of this page. */
export const sound = (name) => tones.play(name);
