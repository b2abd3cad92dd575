import test from 'node:test';
import assert from 'node:assert/strict';
import { concerns, extent, following, height, hot, option, pointsOf, spoken, spread, step, stepDecimals, stretch, stripExtent, tick, timeOf, zoomed } from '../control-option.js';

const points = Array.from({ length: 10 }, (_, i) => ({ serial: `W26-0000${i}-X`, path: `/items/W260000${i}X`, when: `${i + 1} May 2027, 09:00`, place: 'stand 2', value: '0.20 mm', signal: '' }));
const data = {
  unit: 'mm', behind: ' mm', title: 'Lateral run-out', decimals: 2, one: 'wheel', points,
  values: [0.2, 0.21, 0.19, 0.2, 0.22, 0.3, 0.31, 0.9, 0.3, 0.29],
  phases: [
    { from: 0, to: 4, words: 'limits of the first 4 wheels', centre: [0.2], low: [0.1], high: [0.4], slowLow: [0.17], slowHigh: [0.23], smoothed: [0.2, 0.2, 0.2, 0.2] },
    { from: 4, to: 10, words: 'baseline, 6 wheels, frozen', base: [4, 9], centre: [0.21], low: [0.11], high: [0.42], slowLow: [0.18, 0.18, 0.18, 0.17, 0.17, 0.17], slowHigh: [0.24], smoothed: [0.21, 0.22, 0.23, 0.25, 0.26, 0.27] },
  ],
  signals: [
    { point: 7, first: 7, last: 7, smoothed: false, settled: true, open: false, covered: false, words: 'w', short: '8 May: a tool' },
    { point: 7, first: 5, last: 9, smoothed: true, settled: false, open: true, covered: false, words: 'w', short: '8 May: the smoothed mean passed its upper limit' },
  ],
  events: [{ before: 4, words: 'roller replaced' }], accepted: [{ value: 0.3, words: 'accepted up to' }],
};

test('points are the rows of the table, turned into the order of measuring', () => {
  const row = (i) => ({ texts: [`${i} May`, `S${i}`, 'stand 2', `0.${i}0`, '1.10', 'odd'], path: `/items/S${i}` });
  assert.deepEqual(pointsOf([row(2), row(1)], ' mm').map((p) => [p.serial, p.value, p.signal]), [['S1', '0.10 mm', 'odd'], ['S2', '0.20 mm', 'odd']]);
});

test('keys go from point to point and from signal to signal, and stop at the ends', () => {
  for (const [key, at, want] of [['ArrowRight', null, 9], ['ArrowRight', 9, 9], ['ArrowLeft', 0, 0], ['Home', 5, 0], ['End', 0, 9], ['PageDown', 0, 2], ['PageDown', 7, 7], ['PageUp', 7, 2], ['x', 1, null]]) {
    assert.equal(step(key, at, 10, [7, 2]), want, `${key} from ${at}`);
  }
  assert.equal(step('End', null, 0, []), null);
});

test('a line has one height, or one a point, or none', () => {
  assert.equal(height([0.4], 3), 0.4);
  assert.equal(height([1, 2, 3], 2), 3);
  assert.equal(height(undefined, 0), undefined);
  assert.equal(height([], 0), undefined);
});

test('zooming halves and doubles about the chosen point and stays within the points', () => {
  assert.deepEqual(zoomed([0, 100], 100, 'in', 50), [25, 75]);
  assert.deepEqual(zoomed([0, 100], 100, 'in', 0), [0, 50]);
  assert.deepEqual(zoomed([0, 100], 100, 'in', 99), [50, 100]);
  assert.deepEqual(zoomed([0, 100], 100, 'in', null), [50, 100], 'without a choice the newest');
  assert.deepEqual(zoomed([25, 75], 100, 'out', 50), [0, 100]);
  assert.deepEqual(zoomed([40, 52], 100, 'in', 45), [40, 52], 'no fewer than twelve');
  assert.deepEqual(zoomed([40, 52], 100, 'all', 45), [0, 100]);
});

test('the shown part follows the chosen point', () => {
  assert.deepEqual(following([20, 40], 100, 30), [20, 40]);
  assert.deepEqual(following([20, 40], 100, 40), [21, 41]);
  assert.deepEqual(following([20, 40], 100, 5), [5, 25]);
  assert.deepEqual(following([20, 40], 100, 99), [80, 100]);
});

test('an axis holds values and limits of what is shown, and no others', () => {
  const [low, high] = extent(data, [0, 10]);
  assert.ok(low > 0 && low < 0.1 && high > 0.9);
  assert.ok(extent(data, [0, 4])[1] < 0.5);
  const [below] = extent({ values: [-1, 1], phases: [] }, [0, 2]);
  assert.ok(below < -1);
  const flat = extent({ values: [5, 5], phases: [] }, [0, 2]);
  assert.ok(flat[0] < 5 && flat[1] > 5);
});

test('labels that lie on one another are moved apart', () => {
  const out = spread([{ y: 100 }, { y: 101 }, { y: 200 }], 19);
  for (let i = 1; i < out.length; i++) assert.ok(out[i].y - out[i - 1].y > 18, `${out[i - 1].y} and ${out[i].y}`);
});

test('words stand beside the newest signal without a cause first, and keep their distance', () => {
  assert.deepEqual(spoken(data, [0, 10], 3).map((s) => s.settled), [false]);
  const far = { ...data, signals: [{ ...data.signals[0], point: 1 }, data.signals[1]] };
  assert.deepEqual(spoken(far, [0, 10], 3).map((s) => s.point), [7, 1]);
  assert.deepEqual(spoken(far, [0, 10], 1).map((s) => s.point), [7]);
  assert.deepEqual(spoken(data, [0, 5], 3), []);
  assert.deepEqual(spoken({ ...data, signals: [{ ...data.signals[0], covered: true }] }, [0, 10], 3), []);
});

test('points since an open change are told apart, until it has a cause', () => {
  assert.deepEqual([...hot(data)], [5, 6, 7, 8, 9]);
  assert.equal(hot({ signals: [{ ...data.signals[1], settled: true }] }).size, 0);
});

test('text keeps 14 px at any width, and what is drawn lies inside', () => {
  for (const [width, tall] of [[1152, 460], [358, 330]]) {
    const o = option(data, width, tall);
    assert.ok(o.grid.top + o.grid.height < tall);
    for (const axis of [o.xAxis, o.yAxis]) assert.equal(axis.axisLabel.fontSize, 14);
    for (const g of o.graphic.filter((x) => x.type === 'text')) assert.match(g.style.font, /14px/);
  }
  const narrow = option(data, 358, 330).graphic.filter((x) => x.type === 'text').map((x) => x.style.text);
  assert.ok(narrow.length && narrow.every((said) => /^[\u2212\d.]+$/.test(said)), `a narrow picture has room for values and for no words: ${narrow}`);
});

test('limits break between phases, and no limit of a specification runs through the plot', () => {
  const o = option(data, 1152, 460);
  const high = o.series.filter((s) => /^high/.test(s.name));
  assert.deepEqual(high.map((s) => [s.data[0], s.data.at(-1)]), [[[0, 0.4], [3, 0.4]], [[4, 0.42], [9, 0.42]]]);
  assert.ok(!o.series.some((s) => JSON.stringify(s.data ?? []).includes('accepted')));
  assert.ok(o.graphic.some((g) => g.style.text === 'accepted up to'));
});

test('a signal of the smoothed mean stands on it, one of a point on the point; no point is lost', () => {
  const series = Object.fromEntries(option(data, 1152, 460).series.map((s) => [s.name, s]));
  assert.deepEqual(series.signals.data, [[7, 0.25]]);
  assert.deepEqual(series.settled.data, [[7, 0.9]]);
  assert.equal(series.values.data.length + series['since the change'].data.length, 10);
});

test('a stretch has its ends in order, however it was drawn', () => {
  assert.deepEqual(stretch(points, 7, 2), { first: 'W26-00002-X', last: 'W26-00007-X', n: 6 });
});

test('a change concerns a chart of its family and result, at its place or at all', () => {
  const key = 'f1||stand 2|lateral_tir';
  for (const [changed, want] of [[{ family: 'f1', result: 'lateral_tir', place: 'stand 2' }, true], [{ family: 'f1', result: 'lateral_tir', place: 'stand 1' }, false], [{ family: 'f2', result: 'lateral_tir', place: 'stand 2' }, false], [{ family: 'f1', result: 'dish_abs', place: 'stand 2' }, false], [{ family: 'f1', place: 'stand 2' }, true]]) {
    assert.equal(concerns(key, changed), want, JSON.stringify(changed));
  }
  assert.ok(concerns('f1|||lateral_tir', { family: 'f1', result: 'lateral_tir', place: 'stand 2' }));
});

test('a negative tick has a minus sign', () => assert.equal(tick(-0.5, 1), '\u22120.5'));

test('under a point stands its day, or its time where all are of one day', () => {
  assert.equal(timeOf(points[2], false), '3 May');
  assert.equal(timeOf(points[2], true), '09:00');
  assert.equal(timeOf(undefined, true), '');
});

test('the spread within lots stands on a strip of its own over the same points, with its own limits and signals', () => {
  const within = { title: 'Spread within a lot', unit: 'V', decimals: 4, values: [0, 0, 0, 0, 0.01, 0.012, 0.011, 0.05, 0.01, 0.012], phases: [{ from: 4, to: 10, centre: [0.011], low: [0.002], high: [0.02] }] };
  const spreads = { point: 7, first: 7, last: 7, smoothed: false, within: true, settled: false, open: false, covered: false, words: 'w', short: 's' };
  const lots = { ...data, within, signals: [...data.signals, spreads] };
  const drawn = option(lots, 1000, 620, [0, 10]);
  assert.equal(drawn.grid.length, 2);
  assert.ok(drawn.grid[0].top + drawn.grid[0].height < drawn.grid[1].top && drawn.grid[1].top + drawn.grid[1].height <= 620 - 34);
  const own = drawn.series.filter((s) => s.xAxisIndex === 1);
  assert.deepEqual(own.find((s) => s.name === 'spread within lots').data.map(([i]) => i), [4, 5, 6, 7, 8, 9], 'a phase without limits has no spread drawn');
  assert.deepEqual(own.filter((s) => s.name === 'signals of the spread').map((s) => s.data), [[[7, 0.05]], []]);
  assert.equal(drawn.series.filter((s) => s.xAxisIndex !== 1 && s.name === 'signals')[0].data.length, 1, 'a signal of the spread is none of the means');
  const [low, high] = stripExtent(within, [4, 7]);
  assert.ok(low >= 0 && low < 0.002 && high > 0.02 && high < 0.05);
  assert.deepEqual(stripExtent({ values: [], phases: [] }, [0, 3]), [0, 1]);
  assert.equal(option(data, 1000, 460, [0, 10]).grid.length, undefined, 'and other charts have one strip');
});

test('no two ticks of an axis read the same', () => {
  assert.equal(stepDecimals(0, 1, 2), 2);
  assert.equal(stepDecimals(12.89, 12.9, 2), 3);
  assert.equal(stepDecimals(0, 1e-9, 2), 4, 'but two more at the most');
  assert.equal(stepDecimals(3, 3, 1), 1);
});

test('a stretch of weeks or lots is named as forms take it', () => {
  assert.deepEqual(stretch([{ serial: 'L-1, 4 blocks', name: 'L-1' }, { serial: 'L-2, 9 blocks', name: 'L-2' }], 0, 1), { first: 'L-1', last: 'L-2', n: 2 });
});
