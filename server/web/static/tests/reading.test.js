import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { readTyped, readSpoke, changeSign, outsideRange, finer } from '../floor-reading.js';
import { inUnit } from '../floor-units.js';
import { casesOf } from './cases.js';

// testdata/cases/records.json, kind parse_reading.
test('the agreed cases of typed readings', () => {
  for (const c of casesOf('records.json', 'parse_reading')) {
    const read = readTyped(c.input.typed, { unit: 'mm', units: ['mm'] });
    if (c.expected.error) {
      assert.equal(read.ok, false, c.id);
      continue;
    }
    assert.equal(decimal.text(read.value), c.expected.value, c.id);
    const step = `0.${'0'.repeat(c.input.decimals - 1)}1`;
    assert.equal(finer(read.value, { resolution: step }), c.expected.flag === 'FINER_THAN_RESOLUTION', c.id);
  }
});

test('what is no number is refused with a word', () => {
  for (const typed of ['1.2.3', '-', '1e999', '1.', ',', '--1', '0x10', 'NaN', '1 2', '12345678901234567890']) {
    const read = readTyped(typed, { unit: 'mm', units: ['mm'] });
    assert.equal(read.ok, false, typed);
    assert.notEqual(read.reason, '', typed);
  }
  assert.deepEqual(readTyped('  '), { ok: false, reason: '' });
});

test('a serial scanned into a reading is refused as one', () => {
  for (const typed of ['W26-00005-1', 'w26000051', 'P26 0009A 8']) assert.match(readTyped(typed, { unit: 'mm' }).reason, /serial/, typed);
});

test('signs, marks and units', () => {
  const cases = [['+0,12', '0.12', 'mm'], ['\u22120.09', '-0.09', 'mm'], ['-.5', '-0.5', 'mm'], ['0,12 mm', '0.12', 'mm'], ['7', '7', 'mm']];
  for (const [typed, want, unit] of cases) {
    const read = readTyped(typed, { unit: 'mm', units: ['mm'] });
    assert.equal(decimal.text(read.value), want, typed);
    assert.equal(read.unit, unit);
  }
  assert.equal(readTyped('0,12 mm', { unit: 'mm' }).text, '0,12');
  assert.equal(readTyped('104 kgf', { unit: 'N', units: ['N', 'kgf'] }).unit, 'kgf');
  assert.match(readTyped('104 mm', { unit: 'N', units: ['N', 'kgf'] }).reason, /does not fit/);
});

test('hundredths are whole digits only', () => {
  for (const [typed, text, hundredths] of [['12', '0.12', true], ['-9', '-0.09', true], ['112', '1.12', true], ['0', '0.00', true], ['.12', '.12', false], ['12.0', '12.0', false], ['0,12', '0,12', false]]) {
    const read = readTyped(typed, { unit: 'mm', units: ['mm'], hundredths: true });
    assert.equal(read.text, text, typed);
    assert.equal(read.hundredths, hundredths, typed);
  }
});

test('spokes are shown from one and kept from zero', () => {
  assert.deepEqual(readSpoke('1', 36), { ok: true, index: 0 });
  assert.deepEqual(readSpoke(' 36 ', 36), { ok: true, index: 35 });
  for (const typed of ['0', '37', '-1', '1.5', 'x', '0.13']) assert.equal(readSpoke(typed, 36).ok, false, typed);
});

test('the sign key turns the sign', () => {
  assert.equal(changeSign('12'), '-12');
  assert.equal(changeSign('-12'), '12');
  assert.equal(changeSign('+12'), '-12');
  assert.equal(changeSign(''), '-');
});

test('a value beyond the gauge is refused, at its ends it is taken', () => {
  const gauge = { code: 'L-14', unit: 'mm', rangeLow: '0', rangeHigh: '10' };
  const say = (text) => { const r = readTyped(text, { unit: 'mm' }); return outsideRange(r.value, gauge, (v, u) => inUnit(v, 'mm', u)); };
  assert.equal(say('10'), '');
  assert.equal(say('0'), '');
  assert.equal(say('31.0'), '31.0 is outside L-14’s range, 0 to 10 mm; the range is set under Instruments');
  assert.notEqual(say('-0.01'), '');
});
