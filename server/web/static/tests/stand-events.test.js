import test from 'node:test';
import assert from 'node:assert/strict';
import { subscribe, addressOf } from '../stand-events.js';

/** A line to a server that the test speaks for, and a clock that it turns. */
function bench() {
  const sources = [];
  const timers = [];
  const heard = [];
  const lost = [];
  const open = (address) => {
    const listeners = {};
    const source = {
      address, readyState: 1, closed: false,
      addEventListener: (name, f) => { listeners[name] = f; },
      close() { this.closed = true; },
      say: (name, data = {}, lastEventId = '') => listeners[name]?.({ data: JSON.stringify(data), lastEventId }),
    };
    sources.push(source);
    return source;
  };
  const later = (f, ms) => { const t = { f, ms, off: false }; timers.push(t); return t; };
  const never = (t) => { if (t) t.off = true; };
  const due = () => timers.filter((t) => !t.off).at(-1);
  const end = subscribe({ place: 'stand 1', open, hear: (r) => heard.push(r), missed: (n) => lost.push(n), later, never });
  return { sources, heard, lost, due, run: () => { const t = due(); t.off = true; t.f(); }, end };
}

const reading = (id, value) => ({ id, value, unit: 'mm' });

test('a reading is heard with its unit, and an instrument where one is named', () => {
  const b = bench();
  assert.equal(b.sources[0].address, '/api/v1/stands/stand%201/events');
  b.sources[0].say('reading', { ...reading('a', '-0,12'), instrument: 'L-14' }, 'e-1');
  b.sources[0].say('reading', reading('b', '0.3'), 'e-2');
  assert.deepEqual(b.heard, [{ value: '-0,12', unit: 'mm', instrument: 'L-14', id: 'a' }, { value: '0.3', unit: 'mm', instrument: '', id: 'b' }]);
});

test('the same reading twice is heard once, two alike under two ids twice', () => {
  const b = bench();
  b.sources[0].say('reading', reading('a', '1'), 'e-1');
  b.sources[0].say('reading', reading('a', '1'), 'e-1');
  b.sources[0].say('reading', reading('b', '1'), 'e-2');
  assert.deepEqual(b.heard.map((r) => r.id), ['a', 'b']);
});

test('a refused stream is opened anew from where it was, ever more slowly', () => {
  const b = bench();
  b.sources[0].say('ready', {}, 'e-7');
  const waits = [];
  for (let i = 0; i < 6; i++) {
    const now = b.sources.at(-1);
    now.readyState = 2;
    now.say('error');
    waits.push(b.due().ms);
    b.run();
    assert.equal(b.sources.at(-1).address, addressOf('stand 1', 'e-7'));
  }
  assert.deepEqual(waits, [2000, 4000, 8000, 16000, 30000, 30000]);
});

test('a stream that comes back by itself is left alone', () => {
  const b = bench();
  b.sources[0].readyState = 0;
  b.sources[0].say('error');
  assert.equal(b.due().ms, 45000);
  assert.equal(b.sources.length, 1);
});

test('a silent line is given up and opened from the last event', () => {
  const b = bench();
  b.sources[0].say('reading', reading('a', '1'), 'e-4');
  b.sources[0].say('beat');
  b.run();
  assert.equal(b.sources[0].closed, true);
  assert.equal(b.sources[1].address, addressOf('stand 1', 'e-4'));
});

test('readings that are gone are counted, and garbage is not heard', () => {
  const b = bench();
  b.sources[0].say('missed', { count: 3 });
  b.sources[0].say('reading', 'no object', 'e-9');
  assert.deepEqual([b.lost, b.heard], [[3], []]);
});

test('after the end nothing is opened', () => {
  const b = bench();
  b.end();
  assert.equal(b.sources[0].closed, true);
  assert.equal(b.due(), undefined);
});
