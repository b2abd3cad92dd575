import test from 'node:test';
import assert from 'node:assert/strict';
import { waysOf, keepWays, USUAL } from '../floor-ways.js';
import { listen } from '../floor-keys.js';

const shelf = () => {
  const kept = new Map();
  return { getItem: (k) => kept.get(k) ?? null, setItem: (k, v) => kept.set(k, v), kept };
};

test('hands and pedal are each person’s, tones the device’s', () => {
  const store = shelf();
  assert.deepEqual(waysOf('p1', store), USUAL);
  assert.ok(keepWays('p1', { hands: 'left', pedal: 'PageDown', volume: 20 }, store));
  assert.deepEqual(waysOf('p1', store), { hands: 'left', pedal: 'PageDown', volume: 20 });
  assert.deepEqual(waysOf('p2', store), { hands: 'right', pedal: 'F8', volume: 20 });
});

test('off is kept as off', () => {
  const store = shelf();
  keepWays('p1', { hands: 'right', pedal: '', volume: 0 }, store);
  assert.deepEqual(waysOf('p1', store), { hands: 'right', pedal: '', volume: 0 });
});

test('what cannot be kept or read leaves the usual', () => {
  const full = { getItem: () => null, setItem: () => { throw new Error('full'); } };
  assert.equal(keepWays('p1', { ...USUAL, hands: 'left' }, full), false);
  for (const text of ['', 'null', '7', '{', '{"hands":"both","pedal":"a","volume":900}', '{"volume":"loud"}']) {
    assert.deepEqual(waysOf('p1', { getItem: () => text }), USUAL, text);
  }
  assert.deepEqual(waysOf('p1', { getItem: () => { throw new Error('not allowed'); } }), USUAL);
});

test('the chosen key is the pedal, and no other', (t) => {
  const heard = {};
  const target = { addEventListener: (kind, f) => { (heard[kind] ??= []).push(f); } };
  for (const name of ['document', 'addEventListener']) {
    const before = Object.getOwnPropertyDescriptor(globalThis, name);
    Object.defineProperty(globalThis, name, { configurable: true, writable: true, value: name === 'document' ? target : () => {} });
    t.after(() => (before ? Object.defineProperty(globalThis, name, before) : delete globalThis[name]));
  }
  const press = (key) => {
    const event = { key, repeat: false, preventDefault() { this.taken = true; }, target: { closest: () => null } };
    for (const f of heard.keydown) f(event);
    for (const f of heard.keyup) f(event);
    return Boolean(event.taken);
  };
  for (const [name, pedalKey, key, want] of [['F9 chosen', 'F9', 'F9', 1], ['F8 then is none', 'F9', 'F8', 0], ['switched off', '', 'F8', 0], ['the usual', undefined, 'F8', 1]]) {
    heard.keydown = [];
    heard.keyup = [];
    let presses = 0;
    const part = { addEventListener() {}, focus() {}, value: '' };
    listen({ input: part, pad: part, take: part, pedalKey, acts: { pedal: () => { presses += 1; } } });
    assert.equal(press(key), want === 1, name);
    assert.equal(presses, want, name);
  }
});
