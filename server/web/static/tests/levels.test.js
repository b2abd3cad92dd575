import test from 'node:test';
import assert from 'node:assert/strict';
import { dayOf, levelExtent, levelOption, levelPoints, nearestPoint, stepLevel } from '../levels-option.js';
import { over } from '../searching-wait.js';

const day = 24 * 60 * 60 * 1000;
const data = {
  title: 'Lateral run-out, mm', behind: ' mm', decimals: 2, names: ['stand 2', 'all others'], moment: 2 * day,
  points: [[0, 0.2, 0], [day, 0.3, 0], [3 * day, 0.5, 1], [4 * day, 0.6, 1]],
  lines: [{ x0: 0, x1: 2 * day, y0: 0.25, y1: 0.25, in: false }, { x0: 2 * day, x1: 4 * day, y0: 0.55, y1: 0.55, in: true }],
  bands: [{ x0: 2 * day, x1: 4 * day, low: 0.45, high: 0.7 }],
};
const rows = [4, 3, 2, 1].map((i) => ({ texts: [`${i} May 2027`, `W${i}`, i > 2 ? 'stand 2' : 'all others', `0.${i}0`], path: `/items/W${i}` }));

test('the points are the rows of the table, oldest first, with their moments', () => {
  const points = levelPoints(rows, data);
  assert.deepEqual(points[0], { when: '1 May 2027', serial: 'W1', part: 'all others', value: '0.10 mm', path: '/items/W1', at: 0, y: 0.2, in: false });
  assert.equal(points[3].in, true);
});

test('arrow keys go from value to value, page keys to the other part', () => {
  const points = levelPoints(rows, data);
  for (const [key, at, want] of [['ArrowRight', null, 3], ['ArrowRight', 3, 3], ['ArrowLeft', 0, 0], ['Home', 3, 0], ['End', 0, 3], ['PageDown', 0, 2], ['PageUp', 3, 1], ['PageDown', 3, 3], ['x', 1, null]]) {
    assert.equal(stepLevel(key, at, points), want, `${key} from ${at}`);
  }
  assert.equal(stepLevel('End', null, []), null);
});

test('the nearest value in time is meant', () => {
  const points = levelPoints(rows, data);
  for (const [x, want] of [[-5 * day, 0], [0.4 * day, 0], [0.6 * day, 1], [1.9 * day, 1], [2.1 * day, 2], [99 * day, 3]]) assert.equal(nearestPoint(points, x), want, `${x / day}`);
  assert.equal(nearestPoint([], 1), null);
});

test('the axis holds values, levels and bands, and is one where there is nothing', () => {
  const [low, high] = levelExtent(data);
  assert.ok(low >= 0 && low < 0.2 && high > 0.7);
  assert.deepEqual(levelExtent({ points: [], lines: [], bands: [] }), [0, 1]);
});

test('the drawing keeps text at 14 px and lies in its height, with values or without', () => {
  for (const [width, height] of [[976, 460], [358, 330]]) {
    const option = levelOption(data, width, height);
    assert.equal(option.textStyle.fontSize, 14);
    assert.equal(option.xAxis[0].axisLabel.fontSize, 14);
    assert.ok(option.grid[0].top + option.grid[0].height <= height);
    assert.equal(option.series[0].data.length, 2);
    assert.equal(option.series[1].data.length, 2);
    assert.notEqual(option.series[0].symbol, option.series[1].symbol, 'the parts differ in shape, not in colour alone');
  }
  assert.equal(levelOption({ ...data, points: [], lines: [], bands: [], moment: 0 }, 976, 460).series[0].data.length, 0);
});

test('a day of the axis', () => assert.equal(dayOf(Date.UTC(2027, 4, 14)), '14 May'));

test('a search is waited for until it is over, through an answer that fails', async () => {
  const answers = [{ searching: true }, null, { searching: false }];
  let waits = 0;
  const ask = async () => { const a = answers.shift(); if (a === null) throw new Error('away'); return a; };
  assert.equal(await over({ ask, wait: async () => { waits++; } }), true);
  assert.equal(waits, 3);
  assert.equal(await over({ ask: async () => ({ searching: true }), wait: async () => {}, times: 4 }), false);
});
