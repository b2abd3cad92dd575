import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { shown, signed, atDecimals, clock, moment, useZone, day, took, list } from '../floor-format.js';

const d = decimal.plain;

test('numbers carry the typographic minus and keep their decimals', () => {
  assert.equal(shown(d('-0.09')), '\u22120.09');
  assert.equal(signed(d('0.12')), '+0.12');
  assert.equal(signed(d('0.00')), '0.00');
  assert.equal(atDecimals(d('0.2'), 2), '0.20');
  assert.equal(atDecimals(d('0.225'), 2), '0.22');
});

// Noon UTC is 13:00 in Berlin in winter, 14:00 in summer (IANA time zones).
test('times are the shop’s, not the tablet’s', () => {
  useZone('Europe/Berlin');
  assert.equal(clock('2026-11-25T12:00:00Z'), '13:00');
  assert.equal(clock('2026-07-25T12:00:00Z'), '14:00');
  assert.equal(moment('2026-11-24T23:30:00Z', Date.parse('2026-11-25T08:00:00Z')), '00:30');
  assert.equal(moment('2026-11-24T16:00:00Z', Date.parse('2026-11-25T08:00:00Z')), '24 Nov, 17:00');
  useZone('Nowhere/Such');
  assert.match(clock('2026-11-25T12:00:00Z'), /^\d\d:\d\d$/);
  assert.equal(clock('no time'), '');
});

test('days, durations and lists', () => {
  assert.equal(day('2027-03-03'), '3 Mar 2027');
  assert.equal(day(''), '');
  assert.equal(took(190000), '3 min 10 s');
  assert.equal(took(9000), '9 s');
  assert.equal(list(['L-14', 'T-03', 'D-02']), 'L-14, T-03 and D-02');
});
