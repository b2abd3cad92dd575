import test from 'node:test';
import assert from 'node:assert/strict';
import { readBurst, bounce, nameOf } from '../setup-burst.js';
import { serialOf, hybridCheck, printed } from '../floor-serial.js';
import { casesOf } from './cases.js';

test('serials as typed, from the cases', () => {
  for (const c of casesOf('records.json', 'serial_normalise')) {
    const got = serialOf(c.input.typed);
    if (c.expected.error) assert.equal(got.error, { CHECK: 'check', FORMAT: 'form' }[c.expected.error], c.id);
    else assert.deepEqual([got.serial, printed(got.serial)], [c.expected.serial, c.expected.print], c.id);
  }
});

test('check characters of serials given out, from the cases', () => {
  for (const c of casesOf('records.json', 'serial_allocate')) {
    for (const s of c.expected.serials ?? []) assert.equal(hybridCheck(s.slice(0, 8)), s[8], s);
  }
});

const gauge = { code: 'L-14', unit: 'mm', rangeLow: '-5', rangeHigh: '5', resolution: '0.01' };
const serial = 'W26000051'; // of the cases

test('what a stand makes of what arrives while a reading is awaited', () => {
  for (const [name, text, what, from, tone] of [
    ['a serial with its prefix is a scan', `]C0${serial}`, 'scan', 'scanner', 'pass'],
    ['so is one of a QR code', `]Q1${serial}`, 'scan', 'scanner', 'pass'],
    ['a serial without prefix is one too, with a word', serial, 'scan', 'scanner', 'care'],
    ['digits with a prefix never land in a reading', ']C020260012', 'refused', 'scanner', 'fail'],
    ['not even digits that would do for one', ']C00.12', 'refused', 'scanner', 'fail'],
    ['a misread serial is refused', ']C0W26000052', 'refused', 'scanner', 'fail'],
    ['a bracket that came out as another sign names the layout', `+C0${serial}`, 'refused', 'scanner', 'fail'],
    ['a reading with a comma', '-0,12', 'reading', 'gauge', 'pass'],
    ['a reading with its unit', '0.12 mm', 'reading', 'gauge', 'pass'],
    ['a reading in another unit of the same quantity', '0.05in', 'reading', 'gauge', 'pass'],
    ['a unit of something else', '104 kgf', 'refused', '', 'fail'],
    ['the upper end of the range', '5', 'reading', 'gauge', 'pass'],
    ['beyond the range: a scanned number without prefix', '5.01', 'refused', '', 'fail'],
    ['the digits of the sheet without prefix', '20260012', 'refused', '', 'fail'],
    ['no number', '1.2.3', 'refused', '', 'fail'],
    ['an exponent', '1e3', 'refused', '', 'fail'],
    ['nothing', '  ', 'refused', '', 'care'],
  ]) {
    const got = readBurst(text, { awaits: 'reading', gauge });
    assert.deepEqual([got.what, got.from, got.tone], [what, from, tone], `${name}: ${got.word}, ${got.why}`);
    assert.ok(got.word && got.why, name);
  }
});

test('a number is no answer where a serial is awaited', () => {
  assert.equal(readBurst('0.12', { awaits: 'serial', gauge }).what, 'refused');
  assert.equal(readBurst(`]C0${serial}`, { awaits: 'serial', gauge }).what, 'scan');
});

test('an end that is missing or strange is said', () => {
  assert.match(readBurst(`]C0${serial}`, { gauge, end: '' }).why, /Enter as its suffix/);
  assert.match(readBurst(`]C0${serial}`, { gauge, end: 'Tab' }).why, /set Enter/);
  assert.equal(readBurst('0.12', { gauge, end: 'Tab' }).tone, 'pass'); // a gauge may end with either
});

test('more digits than the gauge shows are taken and said', () => {
  const got = readBurst('0.412', { gauge });
  assert.equal(got.what, 'reading');
  assert.match(got.why, /more digits than L-14 shows/);
});

test('without a gauge no range keeps a number out, and that is said', () => {
  const got = readBurst('20260012', { gauge: { unit: 'mm' } });
  assert.equal(got.what, 'reading');
  assert.match(got.why, /No range is known/);
});

test('a second press within 150 ms is bounce, at 150 ms it is a press', () => {
  assert.deepEqual([bounce(1149, 1000), bounce(1150, 1000)], [true, false]);
});

test('keys that show nothing are named', () => {
  assert.deepEqual([' ', '\u001d', 'Enter', 'a'].map(nameOf), ['Space', 'GS', 'Enter', 'a']);
});
