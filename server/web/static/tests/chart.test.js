import test from 'node:test';
import assert from 'node:assert/strict';
import { apart, extent, option, pointsOf, readout, signalled, step, tick } from '../chart-option.js';

const data = {
  unit: 'mm', decimals: 2,
  points: [1, 2, 3, 4].map((i) => ({ serial: `W26-0000${i}-X`, path: `/items/W260000${i}X`, when: `${i} May 2027, 09:00`, place: i === 1 ? '' : 'stand 2', value: `0.${i}0 mm` })),
  panels: [
    { name: 'values', title: 'Lateral run-out', unit: 'mm', first: 0, values: [0.1, 0.2, 0.3, 0.9], centre: 0.25, low: 0.05, high: 0.6, signals: { 3: '0.90 mm is above the upper limit of 0.60 mm.' } },
    { name: 'moving_ratio', title: 'Times apart', unit: '', first: 1, values: [2, 1.5, 3], centre: 1.5, high: 2.5, signals: { 3: 'Three times apart.' } },
  ],
};

test('the points are the rows of the table, turned into the order of measuring', () => {
  const row = (i) => ({ texts: [`${i} May 2027, 09:00`, `W26-0000${i}-X`, i === 1 ? '' : 'stand 2', `0.${i}0`, '1.10', ''], path: `/items/W260000${i}X` });
  assert.deepEqual(pointsOf([4, 3, 2, 1].map(row), ' mm'), data.points);
});

test('arrow keys go from point to point and stop at the ends', () => {
  for (const [key, at, want] of [
    ['ArrowRight', null, 3], ['ArrowLeft', null, 3], ['ArrowRight', 1, 2], ['ArrowRight', 3, 3], ['ArrowLeft', 1, 0], ['ArrowLeft', 0, 0], ['Home', 2, 0], ['End', 0, 3], ['x', 1, null],
  ]) assert.equal(step(key, at, 4, []), want, `${key} from ${at}`);
});

test('page keys go from signal to signal, and stay where there is none further', () => {
  for (const [key, at, want] of [['PageDown', 0, 2], ['PageDown', 2, 7], ['PageDown', 7, 7], ['PageUp', 7, 2], ['PageUp', 2, 2], ['PageUp', null, 7], ['PageDown', null, 2]]) {
    assert.equal(step(key, at, 9, [7, 2]), want, `${key} from ${at}`);
  }
});

test('a chart without points has nowhere to go', () => assert.equal(step('End', null, 0, []), null));

test('a point is signalled once, on however many strips', () => assert.deepEqual(signalled(data), [3]));

test('the line under the chart names the item, its value and every signal', () => {
  assert.deepEqual(readout(data, 3), {
    serial: 'W26-00004-X', path: '/items/W2600004X', value: '0.40 mm', about: '4 May 2027, 09:00, stand 2', signals: ['0.90 mm is above the upper limit of 0.60 mm.', 'Three times apart.'],
  });
  assert.equal(readout(data, 0).about, '1 May 2027, 09:00');
});

test('an axis holds every value and limit, and does not begin below zero for what cannot', () => {
  const [low, high] = extent(data.panels[0]);
  assert.ok(low >= 0 && low <= 0.05, `from ${low}`);
  assert.ok(high > 0.9, `to ${high}`);
  const [below] = extent({ values: [-0.2, 0.1], centre: 0 });
  assert.ok(below < -0.2);
  const flat = extent({ values: [5, 5], centre: 5 });
  assert.ok(flat[0] < 5 && flat[1] > 5, 'equal values still have an axis');
});

test('words beside points keep their distance, the newest first', () => {
  assert.deepEqual(apart([[0, 1], [90, 1], [95, 1], [99, 1]], 100, 3), [[99, 1], [0, 1]]);
  assert.deepEqual(apart([[0, 1], [50, 1], [99, 1]], 100, 1), [[99, 1]]);
});

test('a negative tick has a minus sign', () => assert.equal(tick(-0.5, 1), '\u22120.5'));

test('both strips lie in the height there is, and text keeps 14 px at any width', () => {
  for (const [width, height] of [[976, 460], [358, 330]]) {
    const o = option(data, width, height);
    assert.equal(o.grid.length, 2);
    const last = o.grid[1];
    assert.ok(last.top + last.height < height, `${width}: the lower strip ends at ${last.top + last.height} of ${height}`);
    assert.ok(o.grid[0].top + o.grid[0].height < last.top, `${width}: strips overlap`);
    for (const axis of [...o.xAxis, ...o.yAxis]) assert.equal(axis.axisLabel.fontSize, 14);
  }
});

test('signals are open squares apart from the plain points, and no point is lost', () => {
  const upper = option(data, 976, 460).series.filter((s) => s.xAxisIndex === 0);
  const plain = upper.find((s) => s.name === 'values'), outside = upper.find((s) => s.name === 'values signals');
  assert.equal(plain.data.length + outside.data.length, 4);
  assert.deepEqual(outside.data, [[3, 0.9]]);
  assert.equal(outside.symbol, 'rect');
});
