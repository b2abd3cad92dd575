import assert from "node:assert/strict";
import test from "node:test";

import { cut, extent, nearest, option, readout, spot } from "../plot-option.js";

const words = { expected: "Expected", low: "Limit below", high: "Limit above", signal: "beyond", to: "to", of: "of", none: "nothing read" };

const weeks = {
  shape: "dots", unit: "%", decimals: 1, labels: ["5 May", "12 May", "19 May"], long: ["5 May 2031", "12 May 2031", "19 May 2031"], words,
  points: [{ value: 82.5, k: 33, n: 40, centre: 78.5, lower: 65, upper: 90 }, { n: 0 }, { value: 47.5, k: 19, n: 40, centre: 78.5, lower: 65, upper: 90, signal: true }],
};
const failed = { shape: "bars", unit: "", decimals: 0, zero: true, labels: ["Lateral run-out", "Dish"], long: ["Lateral run-out", "Dish"], words, points: [{ value: 14, low: 7.7, high: 23.5, k: 14 }, { value: 2, low: 0.2, high: 7.2, k: 2 }] };

test("a place is read out with its share, what is expected and its limits", () => {
  assert.deepEqual(readout(weeks, 2), { where: "19 May 2031", value: "47.5\u00a0%", about: "19 of 40, Expected 78.5\u00a0%, Limit below 65.0\u00a0%, Limit above 90.0\u00a0%, beyond" });
  assert.deepEqual(readout(weeks, 1), { where: "12 May 2031", value: "nothing read", about: "" });
  assert.deepEqual(readout(failed, 0), { where: "Lateral run-out", value: "14", about: "7.7 to 23.5" });
});

test("a week without work has no place on the axes, and is no zero", () => {
  assert.equal(spot(weeks, 1), null);
  assert.deepEqual(spot(weeks, 0), [0, 82.5]);
  assert.deepEqual(spot(failed, 1), [2, 1]);
  const values = option(weeks, 600, 220).series.find((s) => s.name === "values");
  assert.deepEqual(values.data[1], [1, null]);
  assert.equal(values.connectNulls, false);
});

test("the axis holds everything, and a share ends at 100", () => {
  const [low, high] = extent(weeks);
  assert.ok(low < 47.5 && low > 40 && high > 90 && high <= 100);
  const full = { ...weeks, points: [{ value: 100 }, { value: 99 }] };
  assert.equal(extent(full)[1], 100);
  assert.deepEqual(extent({ ...weeks, points: [{}] }), [0, 1]);
  assert.equal(extent(failed)[0], 0);
});

test("signals are open squares, on the points that are signals", () => {
  const signals = option(weeks, 600, 220).series.find((s) => s.name === "signals");
  assert.deepEqual(signals.data, [[2, 47.5]]);
  assert.equal(signals.symbol, "rect");
});

test("each bar has the line of its interval", () => {
  const lines = option(failed, 600, 220).series[0].markLine.data;
  assert.deepEqual(lines, [[{ coord: [7.7, 0] }, { coord: [23.5, 0] }], [{ coord: [0.2, 1] }, { coord: [7.2, 1] }]]);
});

test("dots with an interval each have its line", () => {
  const months = { ...weeks, points: [{ value: 15.9, low: 6.6, high: 30.1, centre: 2.8, k: 7, n: 44 }, { n: 3 }] };
  const values = (data) => option(data, 600, 220).series.find((s) => s.name === "values");
  assert.deepEqual(values(months).markLine.data, [[{ coord: [0, 6.6] }, { coord: [0, 30.1] }]]);
  assert.deepEqual(values(weeks).markLine.data, []);
});

test("text stands at 14 px at any width", () => {
  for (const width of [300, 600, 1200]) {
    for (const data of [weeks, failed]) {
      const sizes = JSON.stringify(option(data, width, 220)).match(/"fontSize":\d+/g);
      assert.ok(sizes.length > 1 && sizes.every((s) => s === '"fontSize":14'));
    }
  }
});

test("the place under a pointer is the nearest, and beyond the ends none", () => {
  assert.equal(nearest(weeks, 1.4, 50), 1);
  assert.equal(nearest(weeks, -0.6, 50), null);
  assert.equal(nearest(failed, 9, 0.8), 1);
});

test("a long name is cut with a sign that it is", () => {
  assert.equal(cut("Lateral run-out, full reading", 100), "Lateral run-…");
  assert.equal(cut("Dish", 100), "Dish");
});

test("no two ticks of an axis read alike, and a wide one has no decimals", () => {
  const months = (...values) => ({ ...weeks, zero: true, points: values.map((value) => ({ value })) });
  for (const [values, steps, want] of [[[0, 1], [0, 0.5, 1], ["0.0", "0.5", "1.0"]], [[0, 0.1], [0, 0.05, 0.1], ["0.00", "0.05", "0.10"]], [[0, 60], [0, 20, 40, 60], ["0", "20", "40", "60"]]]) {
    const { formatter } = option(months(...values), 600, 220).yAxis.axisLabel;
    assert.deepEqual(steps.map(formatter), want);
  }
});
