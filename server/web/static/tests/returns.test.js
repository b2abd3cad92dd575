import test from 'node:test';
import assert from 'node:assert/strict';
import { moved, nearest, option, pointAt, readout, step, steps, top } from '../returns-option.js';

const data = {
  until: 6,
  lines: [
    { name: 'lot SP-1', points: [{ age: 0, share: 0, at_risk: 40 }, { age: 1.6, share: 25, low: 14.2, high: 41.5, at_risk: 40 }] },
    { name: 'all others', points: [{ age: 0, share: 0, at_risk: 60 }, { age: 1.2, share: 3.3, low: 0.8, high: 12.6, at_risk: 60 }] },
  ],
  law: [{ age: 0, share: 0 }, { age: 6, share: 30 }],
};

test('a curve stays at its last point until the next', () => {
  for (const [age, want] of [[0, 0], [1.5, 0], [1.6, 25], [6, 25]]) assert.equal(pointAt(data.lines[0].points, age).share, want, String(age));
});

test('behind the end of the curve nothing is meant', () => {
  for (const [age, want] of [[-0.1, null], [1, 0], [2, 1], [6, 1], [6.1, null]]) assert.equal(nearest(data, age), want, String(age));
});

test('the line under the curve reads every line at the age of the point', () => {
  assert.deepEqual(readout(data, 1), { where: 'At 1.6 months', lines: ['lot SP-1 25.00 % (14.20 to 41.50), 40 at risk', 'all others 3.30 % (0.80 to 12.60), 60 at risk'] });
});

test('steps go along and then up, and on to where the curve ends', () => {
  assert.deepEqual(steps(data.lines[0].points, 6, (p) => p.share), [[0, 0], [1.6, 0], [1.6, 25], [6, 25]]);
  assert.deepEqual(steps(data.lines[0].points, 6, (p) => p.low), [[1.6, 14.2], [6, 14.2]]);
  assert.deepEqual(steps([], 6, (p) => p.share), []);
});

test('everything that is drawn lies within the axis, and text is 14 px at any width', () => {
  assert.ok(top(data) >= 41.5);
  for (const width of [1000, 330]) {
    const o = option(data, width, 460);
    assert.equal(o.xAxis[0].max, 6);
    for (const axis of [...o.xAxis, ...o.yAxis]) assert.equal(axis.axisLabel.fontSize, 14);
    assert.deepEqual(o.series.map((s) => s.name), ['lot SP-1', 'all others', 'low', 'high', 'Weibull law']);
  }
});

test('the name of the law moves off the name of a line that ends beside it', () => {
  assert.equal(moved({ ...data, law: [{ age: 6, share: 14 }] }, 460), 0); // 11 % away from both, some 90 px
  const beside = (share) => moved({ ...data, law: [{ age: 6, share }] }, 460);
  assert.ok(beside(25.5) < 0 && beside(25.5) > -18); // a little above: up
  assert.ok(beside(24.5) > 0 && beside(24.5) < 18);
});

test('keys go from point to point', () => {
  for (const [key, at, want] of [['ArrowRight', null, 0], ['ArrowRight', 1, 1], ['ArrowLeft', 1, 0], ['End', 0, 1], ['q', 0, null]]) assert.equal(step(key, at, 2), want, `${key} from ${at}`);
});
