// What a wheel's readings say so far, in exact decimals, against the limits of
// its specification. The office judges; this is what the stand may know before.
import * as decimal from './floor-decimal.js';
import { valueOf } from './floor-reading.js';
import { DIVISION, asRead } from './stand-table.js';
import { keyOf } from './floor-job.js';
import { characteristicOf, limitOf, ticksOf } from './floor-plan.js';
import { judge } from './floor-judge.js';
import { masksOf } from './stand-mask.js';
import { LATERAL, RADIAL, DISH, TENSION_A, TENSION_B, EXTREMES, EVERY_HOLE, WHOLE, methodOf, sideOf, slots, holes } from './stand-shape.js';

/**
 * readings lists what a set holds: {slot, index, value} in the characteristic's own
 * unit. Divisions that lie beyond the gauge's table have no value, but beyond.
 */
export function readings(plan, job, code, method = methodOf(plan, job, code)) {
  const c = characteristicOf(plan, code);
  if (!c) return [];
  const unit = job.units[code] ?? c.unit;
  return slots(plan, c, method).flatMap((s) => {
    const entry = job.values[keyOf(code, method, s.slot)];
    const value = entry && valueOf(entry.text);
    if (!value) return [];
    const read = asRead(plan, job, code, value, unit, c.unit);
    return [{ slot: s.slot, index: s.kind === 'extreme' ? entry.spoke : s.position, typed: value, unit, value: read ?? value, beyond: !read && unit === DIVISION }];
  });
}

/** judged is one result: its value at the decimals it is stored with, and its verdict. */
function judged(plan, code, exact, more = {}) {
  const limit = limitOf(plan, code);
  const value = limit ? decimal.roundTo(exact, limit.decimals ?? 4) : exact;
  return { code, value, limit, ...judge(value, limit, plan.specification), ...more };
}

/**
 * runOut says how a run-out set stands: the full indicator reading so far
 * (highest less lowest), whether the set is whole, and the verdict. A reading
 * over the limit is lost at once; that it passes is known at the end.
 */
export function runOut(plan, job, code) {
  const method = methodOf(plan, job, code);
  const c = characteristicOf(plan, code);
  const all = readings(plan, job, code, method);
  const masked = method === EVERY_HOLE ? masksOf(job, code) : [];
  const wanted = c ? slots(plan, c, method).length - (masked[0]?.index === 0 ? 1 : 0) : 0; // spoke 1, masked, is not read once more
  const stations = all.filter((r) => r.slot !== 'reread' && r.index !== undefined);
  const whole = wanted > 0 && all.length + masked.length === wanted && all.every((r) => r.index !== undefined);
  const out = { method, taken: all.filter((r) => r.index !== undefined).length + masked.length, wanted, whole, stations, masked, state: 'open' };
  const both = method === EXTREMES ? stations.length === 2 : stations.length > 1;
  if (!both) return out;
  out.high = stations.reduce((a, b) => (decimal.cmp(b.value, a.value) > 0 ? b : a));
  out.low = stations.reduce((a, b) => (decimal.cmp(b.value, a.value) < 0 ? b : a));
  const tir = judged(plan, code === LATERAL ? 'lateral_tir' : 'radial_tir', decimal.sub(out.high.value, out.low.value));
  out.tir = tir;
  if (tir.verdict === 'fail') out.state = 'fault';
  else if (whole) out.state = tir.verdict === 'pass' ? 'passes' : 'read';
  return out;
}

/** outside says whether a station sticks out of the band that covers most evenly what was read. */
export function outside(figures, station) {
  const limit = figures.tir?.limit && decimal.plain(figures.tir.limit.high);
  if (!limit) return false;
  // |2y - (max + min)| > limit, twice the distance from the band's middle
  const twice = decimal.sub(decimal.add(station.value, station.value), decimal.add(figures.high.value, figures.low.value));
  return decimal.cmp(decimal.abs(twice), limit) > 0;
}

/** dish says where the rim stands: offset toward A and its distance from the target, exact. */
export function dish(plan, job) {
  const c = characteristicOf(plan, DISH);
  const all = readings(plan, job, DISH, WHOLE);
  const wanted = c ? slots(plan, c, WHOLE).length : 0;
  const out = { taken: all.length, wanted, whole: wanted > 0 && all.length === wanted, readings: all, state: 'open' };
  if (!out.whole) return out;
  out.offset = offset(plan, all);
  if (!out.offset) return { ...out, state: 'read' };
  const target = decimal.plain(plan.form.dish_target || '0') ?? decimal.make(0);
  out.abs = judged(plan, 'dish_abs', decimal.abs(decimal.sub(out.offset, target)));
  out.state = { pass: 'passes', fail: 'fault', none: 'read' }[out.abs.verdict];
  return out;
}

function offset(plan, all) {
  if (all.length === 2) {
    const at = (i) => all.find((r) => r.index === i)?.value;
    return at(0) && at(1) ? decimal.half(decimal.sub(at(1), at(0))) : null;
  }
  if (plan.form.dish_reference === 'face') {
    const nominal = decimal.plain(plan.form.dish_nominal);
    return nominal && decimal.sub(all[0].value, nominal);
  }
  return all[0].value;
}

/** side says what the tensions of one side say so far. Percentages are of its own mean. */
export function side(plan, job, code) {
  const c = characteristicOf(plan, code);
  const method = methodOf(plan, job, code);
  const all = readings(plan, job, code, method);
  const wanted = c ? slots(plan, c, method).length : 0;
  const out = { code, method, readings: all, taken: all.length, wanted, whole: wanted > 0 && all.length === wanted, results: [] };
  if (!all.length) return out;
  if (all.some((r) => r.beyond)) return { ...out, beyond: true, readings: all.filter((r) => !r.beyond) };
  out.mean = decimal.mean(all.map((r) => r.value), 12);
  out.lowest = all.reduce((a, b) => (decimal.cmp(b.value, a.value) < 0 ? b : a));
  out.spread = spread(all, out.mean);
  const letter = code === TENSION_A ? 'a' : 'b';
  const of = { side: letter.toUpperCase() };
  if (!out.whole || decimal.sign(out.mean) <= 0) return out;
  out.results.push(judged(plan, `side_tension_dev_pct_${letter}`, percentOf(widest(all, out.mean), out.mean), of));
  if (method === EVERY_HOLE && all.length > 1) {
    out.results.push(judged(plan, `adjacent_diff_pct_${letter}`, percentOf(steepest(all), out.mean), of));
  }
  return out;
}

/** spread is the standard deviation (of a sample: over n - 1) in per cent of the mean; no number where one says nothing. */
function spread(all, mean) {
  const m = decimal.number(mean);
  if (all.length < 2 || m <= 0) return null;
  const squares = all.reduce((sum, r) => sum + (decimal.number(r.value) - m) ** 2, 0);
  return (100 * Math.sqrt(squares / (all.length - 1))) / m;
}

const percentOf = (part, whole) => decimal.divide(decimal.mul(part, decimal.make(100)), whole, 12);
const widest = (all, mean) => decimal.max(all.map((r) => decimal.abs(decimal.sub(r.value, mean))));

/** steepest is the largest step between spokes next to one another on the flange, round the wheel. */
function steepest(all) {
  const round = [...all].sort((a, b) => a.index - b.index);
  return decimal.max(round.map((r, i) => decimal.abs(decimal.sub(round[(i + 1) % round.length].value, r.value))));
}

/** lowest judges the lowest spoke of the whole wheel, as the office does: it is lost at once, and passes only with the rest. */
function lowest(plan, sides) {
  const [first, ...rest] = sides.map((s) => s.lowest).filter(Boolean);
  if (!first) return [];
  const low = rest.reduce((a, b) => (decimal.cmp(b.value, a.value) < 0 ? b : a), first);
  const out = judged(plan, 'tension_lowest', low.value, { at: low.index, side: sideOf(low.index) });
  return out.verdict === 'fail' ? [out] : [];
}

/** tension says how both sides stand together. */
export function tension(plan, job) {
  const a = side(plan, job, TENSION_A);
  const b = side(plan, job, TENSION_B);
  const results = [...lowest(plan, [a, b]), ...a.results, ...b.results];
  const expected = decimal.plain(plan.form.expected_ratio);
  if (a.whole && b.whole && a.mean && b.mean && decimal.sign(a.mean) > 0 && decimal.sign(b.mean) > 0) {
    const tight = decimal.cmp(b.mean, a.mean) > 0 ? b : a;
    results.push(judged(plan, 'tension_mean_tight', tight.mean, { side: tight === a ? 'A' : 'B' }));
  }
  const out = { a, b, results, taken: a.taken + b.taken, wanted: a.wanted + b.wanted, whole: a.whole && b.whole, beyond: Boolean(a.beyond || b.beyond), expected };
  if (expected && decimal.sign(expected) > 0 && a.whole && a.mean && !b.whole) out.expectB = decimal.divide(a.mean, expected, 0);
  if (a.whole && b.whole && a.mean && b.mean && decimal.sign(b.mean) > 0) out.ratio = decimal.divide(a.mean, b.mean, 2);
  out.state = results.some((r) => r.verdict === 'fail') ? 'fault' : !out.whole ? 'open' : out.beyond ? 'read' : 'passes';
  return out;
}

/** ticks says how the ticked list stands. */
export function ticks(plan, job) {
  const points = ticksOf(plan).map((c) => ({ code: c.code, answer: job.values[keyOf(c.code, WHOLE, '')]?.text ?? '', at: job.values[keyOf(c.code, WHOLE, '')]?.at }));
  const done = points.filter((p) => p.answer);
  const faults = points.filter((p) => p.answer === 'no');
  return {
    points, taken: done.length, wanted: points.length, whole: done.length === points.length, faults,
    state: faults.length ? 'fault' : done.length === points.length && points.length ? 'passes' : 'open',
  };
}

/** figures is everything the stand knows of the wheel. */
export function figures(plan, job) {
  const f = {
    lateral: runOut(plan, job, LATERAL), radial: runOut(plan, job, RADIAL),
    dish: dish(plan, job), tension: tension(plan, job), ticks: ticks(plan, job), holes: holes(plan),
  };
  f.faults = ['lateral', 'radial', 'dish', 'tension', 'ticks'].filter((k) => f[k].wanted && f[k].state === 'fault');
  return f;
}
