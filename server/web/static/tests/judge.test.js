import test from 'node:test';
import assert from 'node:assert/strict';
import * as decimal from '../floor-decimal.js';
import { judge } from '../floor-judge.js';
import { verdictPanel } from '../floor-verdict.js';

const simple = { rule: 'simple', guardFactor: '1' };
const says = (value, limit, specification) => judge(decimal.plain(value), limit, specification).verdict;

// At most 0.30 known to 0.04, guard factor 1: ILAC-G8:09/2019, 4.2. What the office
// alone decides, the page keeps silent on.
test('a limit is judged by its own rule', () => {
  const values = ['0.24', '0.26', '0.30', '0.32', '0.34', '0.36'];
  for (const [rule, want] of Object.entries({
    simple: ['pass', 'pass', 'pass', 'fail', 'fail', 'fail'],
    guarded: ['pass', 'pass', 'fail', 'fail', 'fail', 'fail'],
    nonbinary: ['pass', 'pass', 'none', 'fail', 'fail', 'fail'],
    iso14253: ['pass', 'pass', 'none', 'none', 'none', 'fail'],
  })) {
    const limit = { high: '0.30', u: '0.04', rule, guard_factor: '1' };
    assert.deepEqual(values.map((v) => says(v, limit, { rule: 'guarded', guardFactor: '2' })), want, rule);
  }
});

test('without a rule of its own it is judged by the specification’s', () => {
  assert.equal(says('0.28', { high: '0.30', u: '0.04' }, simple), 'pass');
  assert.equal(says('0.28', { high: '0.30', u: '0.04' }, { rule: 'guarded', guardFactor: '1' }), 'fail');
  assert.equal(says('0.28', { high: '0.30', u: '0.04', rule: 'simple' }, { rule: 'guarded', guardFactor: '1' }), 'pass');
  assert.equal(says('0.28', { high: '0.30', rule: 'guarded' }, simple), 'none', 'no uncertainty');
});

test('both sides of a limit move inward', () => {
  const limit = { low: '51.1', high: '51.3', u: '0.02', rule: 'guarded' };
  assert.deepEqual(['51.11', '51.12', '51.28', '51.29'].map((v) => says(v, limit, simple)), ['fail', 'pass', 'pass', 'fail']);
});

test('a verdict between yes and no has its mark and its reason', () => {
  const inspection = { verdict: 'incomplete' };
  const results = [{ code: 'dish_abs', name: 'Dish', value: '0.30', shown: '0.30', unit: 'mm', verdict: 'not_verified', message: 'Too close.' }, { code: 'x', name: 'X', value: '1', shown: '1', verdict: 'conformity_verified', message: 'm' }];
  const panel = verdictPanel({ placed: true, inspection, results }, { plan: { specification: { grade: 'fine', revision: 2 } }, savedAt: 0 });
  assert.deepEqual(panel.lines.map((l) => [l.v.tone, l.v.word, l.reason]), [['care', 'Not shown either way', 'Too close.'], ['pass', 'Conformity shown', '']]);
});
