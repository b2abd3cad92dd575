import test from 'node:test';
import assert from 'node:assert/strict';
import { along, beyond, binAt, bins, edges, extent, option, readout, step } from '../good-option.js';

// Four bins of 0.1 mm from 0.2, a limit at 0.5: a bin that ends on it is within.
const data = {
  unit: 'mm', result: 'Lateral run-out', first: 0.2, width: 0.1, digits: 2, limits: [{ name: 'upper limit', value: 0.5, text: '0.50' }],
  panels: [{ title: 'First readings', counts: [10, 14, 14, 2] }, { title: 'Certified', counts: [9, 14, 15, 0] }], density: [9, 15, 13, 3], law: 'lognormal',
};

test('a bin that ends on the limit is within, the next beyond', () => {
  assert.deepEqual([0, 1, 2, 3].map((i) => beyond(data, i)), [false, false, false, true]);
  const low = { ...data, limits: [{ name: 'lower limit', value: 0.3, text: '0.30' }] };
  assert.deepEqual([0, 1, 2, 3].map((i) => beyond(low, i)), [true, false, false, false]);
});

test('of several limits only what lies beyond all of them is beyond', () => {
  const two = { ...data, limits: [...data.limits, { name: 'upper limit', value: 0.4, text: '0.40' }] };
  assert.deepEqual([2, 3].map((i) => beyond(two, i)), [false, true]);
});

test('a place along the axis is a bin, and none outside', () => {
  for (const [x, want] of [[0.25, 0], [0.59, 3], [0.61, null], [0.19, null]]) assert.equal(binAt(data, x), want, String(x));
  assert.equal(bins(data), 4);
});

test('arrow keys go from bin to bin, pass over empty ones and stop at the ends', () => {
  const gaps = { ...data, panels: [{ title: '', counts: [0, 3, 0, 0, 2, 0] }] };
  for (const [key, at, want] of [['ArrowRight', null, 1], ['ArrowRight', 1, 4], ['ArrowRight', 4, 4], ['ArrowRight', 2, 4], ['ArrowLeft', 1, 1], ['ArrowLeft', null, 4], ['ArrowLeft', 4, 1], ['Home', 4, 1], ['End', 1, 4], ['x', 1, null]]) assert.equal(step(key, at, gaps), want, `${key} from ${at}`);
  assert.equal(step('End', null, { ...data, panels: [] }), null);
});

test('the line under the picture names the bin and each count', () => {
  assert.deepEqual(readout(data, 3), { where: 'above 0.50 up to 0.60 mm, beyond the limit', counts: ['first readings 2', 'certified 0'] });
});

test('a limit near the bins is within the axis, one far away is not', () => {
  const at = (value) => extent({ ...data, limits: [{ name: 'upper limit', value, text: '' }] })[1];
  assert.ok(at(0.7) > 0.7);
  assert.ok(Math.abs(at(5) - edges(data, 3)[1]) < 1e-9);
});

test('the axis says where a limit stands that it does not reach', () => {
  assert.equal(along(data), 'Lateral run-out, mm');
  assert.equal(along({ ...data, limits: [{ name: 'lower limit', value: -9, text: '\u22129' }] }), 'Lateral run-out, mm; lower limit \u22129 further left');
});

test('what is drawn keeps its text at 14 px and its bars as wide as a bin, at any width', () => {
  for (const width of [1000, 330]) {
    const o = option(data, width, 460);
    assert.equal(o.grid.length, 2);
    for (const axis of [...o.xAxis, ...o.yAxis]) assert.equal(axis.axisLabel.fontSize, 14);
    for (const axis of o.xAxis) assert.equal(axis.containShape, false, 'bars would widen the axis that they are measured by');
    const inner = width - o.grid[0].left - o.grid[0].right, [min, max] = extent(data);
    const first = o.series.find((s) => s.name === 'First readings');
    assert.ok(Math.abs(first.barWidth - (inner * 0.1 / (max - min) - 1)) < 1e-9);
    assert.deepEqual(first.data.map(([, k]) => k), [10, 14, 14]);
    assert.deepEqual(o.series.find((s) => s.name === 'First readings, beyond the limit').data.map(([, k]) => k), [2]);
    assert.ok(o.series.some((s) => s.markLine?.data.some((l) => l.xAxis === 0.5)));
  }
});
