import test from 'node:test';
import assert from 'node:assert/strict';
import { extent, labelled, option, readout, step } from '../failures-option.js';

const data = { usual: 80, weeks: [{ day: '3 Mar', value: 78, low: 61, high: 96 }, { day: '10 Mar', value: 84, low: 62, high: 95 }, { day: '17 Mar', value: 55, low: 60, high: 97, signal: true }] };

test('arrow keys go from week to week and stop at the ends; page keys go to signals', () => {
  for (const [key, at, want] of [['ArrowRight', null, 2], ['ArrowRight', 2, 2], ['ArrowLeft', 1, 0], ['ArrowLeft', 0, 0], ['Home', 2, 0], ['End', 0, 2], ['PageDown', 0, 2], ['PageDown', 2, 2], ['PageUp', 2, 2], ['x', 1, null]]) {
    assert.equal(step(key, at, data.weeks), want, `${key} from ${at}`);
  }
});

test('the axis holds every limit and ends at a hundred', () => {
  assert.deepEqual(extent(data), [50, 100]);
  assert.deepEqual(extent({ usual: 1, weeks: [{ value: 0 }] }), [0, 100]);
});

test('each week has its own band, and text keeps 14 px at any width', () => {
  for (const width of [340, 560]) {
    const o = option(data, width, 300);
    assert.equal(o.series[0].markArea.data.length, 3);
    assert.deepEqual(o.series[1].data, [[2, 55]]);
    assert.ok([o.textStyle, o.xAxis.axisLabel, o.yAxis.axisLabel].every((t) => t.fontSize === 14));
  }
  assert.equal(option({ usual: 100, weeks: [{ day: '3 Mar', value: 100 }] }, 340, 300).series[0].markArea.data.length, 0);
});

test('the last week is labelled, and few before it', () => {
  assert.deepEqual(labelled(12, 4), [2, 5, 8, 11]);
  assert.deepEqual(labelled(1, 4), [0]);
  assert.deepEqual(labelled(0, 4), []);
  const { axisLabel } = option(data, 560, 300).xAxis;
  assert.deepEqual(axisLabel.customValues.map(axisLabel.formatter), ['3 Mar', '10 Mar', '17 Mar']);
});

test('a week is read out with its limits and its signal', () => {
  assert.deepEqual(readout(['17 Mar 2031', '55.0', '40.0 to 69.0', '22 of 40', '24 to 38', 'Below its limits']), { week: 'Week of 17 Mar 2031', value: '55.0 %', about: '22 of 40 passed (40.0 to 69.0); 24 to 38 go with the usual yield.', signal: 'Below its limits' });
  assert.equal(readout(['17 Mar 2031', '55.0', '40.0 to 69.0', '22 of 40', '', '']).about, '22 of 40 passed (40.0 to 69.0).');
});
