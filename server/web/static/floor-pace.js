// Who typed it: a person at the keypad of the screen is known for certain; at a
// keyboard only the pace tells. Keys closer than 35 ms, the closing one included,
// come from a gauge: two fingers reach it now and then, a whole entry does not.
// Some close and some not is neither: then a person is asked.

const PERSON = 35; // ms: the closest two keys of a person; our own choice

export class Pace {
  constructor() {
    this.clear();
  }

  clear() {
    this.pad = false;
    this.times = [];
  }

  /** pressed: a key of the screen's keypad. */
  pressed() {
    this.pad = true;
  }

  /** key: a key of a keyboard or of a gauge that types, at its own time. */
  key(at) {
    this.times.push(at);
  }

  /** says tells who typed: hand, gauge or unsure. What came without keys (a screen keyboard) is by hand. */
  says() {
    if (this.pad) return 'hand';
    const gaps = this.times.slice(1).map((t, i) => t - this.times[i]);
    const close = gaps.filter((g) => g < PERSON).length;
    if (!close) return 'hand';
    return close === gaps.length ? 'gauge' : 'unsure';
  }
}
