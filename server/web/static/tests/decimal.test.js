import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { inUnit, unitOf } from '../floor-units.js';
import { uuid7 } from '../floor-id.js';

const d = decimal.plain;

test('stored numbers are read and written alike', () => {
  for (const text of ['0', '-0.60', '12.871', '1300', '0.0001', '-5']) assert.equal(decimal.text(d(text)), text);
  for (const text of ['', '-', '1.', '.5', '1e3', '1,5', '+1', 'NaN', undefined]) assert.equal(d(text), null);
});

// Binary floating point gives 0.34 - 0.29 = 0.05000000000000004 (IEEE 754).
test('differences are exact', () => {
  assert.equal(decimal.text(decimal.sub(d('0.34'), d('0.29'))), '0.05');
  assert.equal(decimal.text(decimal.add(d('0.1'), d('0.2'))), '0.3');
  assert.equal(decimal.cmp(d('0.30'), d('0.3')), 0);
});

// Round half to even: IEEE 754-2019, 4.3.1, and ISO 80000-1, annex B, rule A.
test('rounding is half to even, once', () => {
  for (const [text, decimals, want] of [['0.125', 2, '0.12'], ['0.135', 2, '0.14'], ['-0.125', 2, '-0.12'], ['2.5', 0, '2'], ['3.5', 0, '4'], ['0.1251', 2, '0.13'], ['1.2', 4, '1.2']]) {
    assert.equal(decimal.text(decimal.roundTo(d(text), decimals)), want, text);
  }
  assert.equal(decimal.text(decimal.divide(d('1'), d('8'), 2)), '0.12');
  assert.equal(decimal.text(decimal.divide(d('-2'), d('3'), 3)), '-0.667');
  assert.equal(decimal.divide(d('1'), d('0'), 2), null);
  assert.equal(decimal.text(decimal.half(d('0.41'))), '0.205');
  assert.equal(decimal.text(decimal.half(d('0.40'))), '0.20');
});

// 1 kgf = 9.80665 N (3rd CGPM 1901); 1 lbf = 4.4482216152605 N (pound of 1959).
test('forces convert exactly', () => {
  assert.equal(decimal.text(inUnit(d('104'), 'kgf', 'N')), '1019.89160');
  assert.equal(decimal.text(inUnit(d('1'), 'lbf', 'N')), '4.4482216152605');
  assert.equal(inUnit(d('1'), 'kgf', 'mm'), null);
});

test('units are read as people write them', () => {
  for (const [typed, code] of [['mm', 'mm'], ['kp', 'kgf'], ['mΩ', 'mohm'], ['°C', 'degC'], ['N', 'N'], ['mV', 'mV'], ['MV', null], ['furlong', null]]) assert.equal(unitOf(typed), code, typed);
});

// RFC 9562, appendix A.6: the example of a UUIDv7.
test('ids are those of RFC 9562', () => {
  const random = Uint8Array.from([0x0c, 0xc3, 0x18, 0xc4, 0xdc, 0x0c, 0x0c, 0x07, 0x39, 0x8f]);
  assert.equal(uuid7(0x017f22e279b0, random), '017f22e2-79b0-7cc3-98c4-dc0c0c07398f');
});
