import test from 'node:test';
import assert from 'node:assert/strict';
import { TONES, Tones, toneOf, toneOfWords } from '../floor-tones.js';

test('which event gives which tone', () => {
  for (const [name, kind, fault, want] of [
    ['a taken reading', 'taken', '', 'taken'],
    ['a taken reading that shows a fault', 'taken', 'Lateral run-out is over the limit.', 'over'],
    ['a refused one', 'refused', '', 'refused'],
    ['one that is to be read again', 'doubt', '', 'refused'],
    ['a unit in doubt', 'ask', '', 'refused'],
    ['a value that waits for its spoke', 'staged', '', ''],
    ['nothing typed', 'nothing', '', ''],
  ]) assert.equal(toneOf(kind, fault), want, name);
});

test('what the live region calls refused has its tone', () => {
  for (const [words, want] of [['Refused: 1.2.3 is not a number.', 'refused'], ['Taken: 0.12 mm.', ''], ['Nothing refused', ''], ['', '']]) assert.equal(toneOfWords(words), want, words);
});

test('the three differ by number and fall, not by height alone', () => {
  const { taken, over, refused } = TONES;
  assert.equal(taken.length, 1);
  assert.ok(over.length === 2 && over[1].hertz < over[0].hertz && over[1].from >= over[0].from + over[0].long, 'two, falling');
  assert.ok(refused.length === 2 && refused[0].hertz === refused[1].hertz && refused[1].from > refused[0].long, 'a double, with a gap');
  const height = (notes) => Math.max(...notes.map((n) => n.hertz));
  assert.ok(height(taken) > height(over) && height(over) > height(refused));
});

/** A Web Audio that notes what is asked of it. */
function listening() {
  const played = [];
  class Context {
    currentTime = 2;
    state = 'running';
    destination = {};
    createOscillator() { return { frequency: {}, connect: (to) => to, start(at) { played.push([this.frequency.value, at]); }, stop() {} }; }
    createGain() { return { gain: { setValueAtTime() {}, linearRampToValueAtTime() {} }, connect: (to) => to }; }
  }
  return { Context, played };
}

test('nothing sounds before the first touch, and nothing is held back after it', () => {
  const { Context, played } = listening();
  const tones = new Tones({ Context });
  assert.equal(tones.play('taken'), false);
  assert.deepEqual(played, []);
  tones.touched();
  assert.ok(tones.play('refused') && tones.play('taken') && tones.play('taken'));
  assert.deepEqual(played.map(([hertz]) => hertz), [...TONES.refused, ...TONES.taken, ...TONES.taken].map((n) => n.hertz));
  assert.equal(tones.play('no such tone'), false);
});

test('off is off, at once', () => {
  const { Context, played } = listening();
  let volume = 0;
  const tones = new Tones({ Context, volume: () => volume });
  tones.touched();
  assert.equal(tones.play('taken'), false);
  volume = 20;
  assert.equal(tones.play('taken'), true);
  assert.equal(played.length, 1);
});

test('a device without sound fails nothing', () => {
  for (const Context of [undefined, class { constructor() { throw new Error('no device'); } }, class { get currentTime() { throw new Error('gone'); } }]) {
    const tones = new Tones({ Context });
    tones.touched();
    assert.equal(tones.play('taken'), false);
  }
});
