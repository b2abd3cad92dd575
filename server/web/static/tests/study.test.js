import test from 'node:test';
import assert from 'node:assert/strict';
import { readTyped } from '../floor-reading.js';
import { said } from '../study-read.js';

const read = (typed) => readTyped(typed, { unit: 'mm', units: ['mm', 'in'] });

test('what is a reading goes off', () => {
  for (const typed of [',21', '0.21', '-0,05 mm', '0.01 in']) assert.equal(said(read(typed)), '', typed);
});

test('what is none is said and stays', () => {
  assert.equal(said(read('')), 'Type a reading first');
  assert.match(said(read('0.2.1')), /not a number/);
  assert.match(said(read('21 N')), /does not fit here/);
  assert.match(said(read('W26000051')), /serial/);
});
