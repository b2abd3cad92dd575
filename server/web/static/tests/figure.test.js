import test from 'node:test';
import assert from 'node:assert/strict';
import { extent, moved, nearest, option, readout, step } from '../figure-option.js';

const data = {
  along: { code: 'discharge.hours', unit: 'h', decimals: 2 }, up: { code: 'discharge.block_voltage', unit: 'V', decimals: 2 },
  at: [0, 10, 20], line: 'Block',
  lines: [{ name: '1.1', values: [12.8, 12.1, 10.5] }, { name: '1.2', values: [12.8, 12, 10.4], foremost: true }, { name: '2.1', values: [12.8, 12.2, 10.51] }],
  levels: [{ code: 'discharge.cut_off', value: 10.5 }],
  words: { 'discharge.hours': 'Time since the start', 'discharge.block_voltage': 'Voltage of a block', 'discharge.cut_off': 'cut-off' },
  units: { 'discharge.hours': 'h', 'discharge.block_voltage': 'V' },
};

test('keys go along the figure and stop at its ends', () => {
  for (const [key, at, want] of [
    ['ArrowRight', null, 0], ['ArrowLeft', null, 39], ['ArrowRight', 3, 4], ['ArrowRight', 39, 39], ['ArrowLeft', 0, 0], ['PageDown', 3, 7], ['PageUp', 3, 0], ['Home', 9, 0], ['End', 9, 39], ['x', 1, null],
  ]) assert.equal(step(key, at, 40), want, `${key} from ${at}`);
  assert.equal(step('End', null, 0), null);
});

test('a pointer means the nearest place', () => {
  for (const [x, want] of [[-3, 0], [4.9, 0], [5.1, 1], [14.9, 1], [99, 2]]) assert.equal(nearest(data.at, x), want, `${x}`);
});

test('a place is read with every line and its unit', () => assert.deepEqual(readout(data, 1), { where: '10.00 h', values: ['Block 1.1: 12.10 V', 'Block 1.2: 12.00 V', 'Block 2.1: 12.20 V'] }));

test('the upward axis holds every value and level', () => {
  const [low, high] = extent(data);
  assert.ok(low < 10.4 && high > 12.8, `${low} to ${high}`);
  const [under, over] = extent({ lines: [{ values: [3, 3] }] });
  assert.ok(under < 3 && over > 3, 'equal values still have an axis');
});

test('names at the ends do not lie on each other and stay in the picture', () => {
  for (const [name, ends] of [['near each other', [10.5, 10.4, 10.51]], ['all alike', [10, 10, 10, 10, 10]], ['at the foot', [8, 8.01, 8.02]], ['apart', [8, 10, 12.9]]]) {
    const height = 240, low = 8, high = 13;
    const shift = moved(ends, height, low, high);
    const y = ends.map((v, i) => (high - v) / (high - low) * height + shift[i]).sort((a, b) => a - b);
    for (let i = 1; i < y.length; i++) assert.ok(y[i] - y[i - 1] >= 15, `${name}: ${y}`);
    assert.ok(y[y.length - 1] <= height + 1, `${name}: ${y}`);
  }
  assert.deepEqual(moved([8.5, 10, 12.9], 240, 8, 13).map(Math.abs), [0, 0, 0], 'what lies apart stays');
});

test('every line has its own look, the foremost stands out, and text keeps 14 px', () => {
  for (const width of [976, 358]) {
    const o = option(data, width, 330);
    assert.equal(o.series.length, 3);
    assert.equal(new Set(o.series.map((s) => JSON.stringify(s.lineStyle.type))).size, 3);
    assert.ok(o.series[1].lineStyle.width > o.series[0].lineStyle.width);
    assert.deepEqual(o.series[0].markLine.data.map((m) => m.yAxis), [10.5]);
    assert.equal(o.series[0].markLine.data[0].label.formatter, 'cut-off 10.50 V');
    assert.equal(o.series[1].endLabel.formatter, width === 976 ? 'Block 1.2' : '1.2');
    for (const axis of [o.xAxis, o.yAxis]) assert.equal(axis.axisLabel.fontSize, 14);
    assert.equal(o.xAxis.name, 'Time since the start, h');
  }
});

test('a long name at the end of a line has the room that it takes', () => {
  const persons = { ...data, lines: [{ name: 'Tomos Hale', values: [1, 2, 3] }] };
  for (const [name, width] of [['phone', 358], ['tablet', 900]]) {
    const text = option(persons, width, 300).series[0].endLabel.formatter;
    assert.ok(option(persons, width, 300).grid.right >= 6 + 7 * text.length, `${name}: ${text}`);
  }
  assert.equal(option(data, 358, 300).grid.right, 34, 'short ones take no more than before');
});

test('a few lines that cross have a key to their dashes, and the last of a few places its label', () => {
  const few = { ...data, levels: undefined, lines: data.lines.map(({ name, values }) => ({ name, values })) };
  assert.equal(option(few, 900, 400).legend.orient, 'horizontal');
  assert.equal(option(few, 380, 300).legend.orient, 'vertical');
  assert.equal(option(few, 900, 400).xAxis.axisLabel.showMaxLabel, true);
  assert.equal(option(data, 900, 400).legend, undefined, 'where one stands out, the others need none');
});

test('what is counted has whole numbers along', () => {
  assert.equal(option({ ...data, at: [1, 2, 3] }, 900, 400).xAxis.minInterval, 1);
  assert.equal(option({ ...data, at: [0, 0.5, 1] }, 900, 400).xAxis.minInterval, 0);
});
