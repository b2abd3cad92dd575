// A value against its limit, by its rule, in exact decimals:
// what the page may say before the office has judged. Equal to the limit passes.
import * as decimal from './floor-decimal.js';

/** ruleOf is the rule of a limit with its guard factor: its own, or the specification's. */
export function ruleOf(limit, specification) {
  if (limit?.rule) return { rule: limit.rule, factor: limit.guard_factor || '1' };
  return { rule: specification.rule, factor: specification.guardFactor };
}

/**
 * judge says pass, fail (with which limit was missed) or none. Under a rule with
 * a guard band the limits move inward by the guard factor times U; without a U
 * the page keeps silent, and so it does where the rule says neither yes nor no.
 */
export function judge(value, limit, specification) {
  const bounds = acceptance(limit, specification);
  if (!bounds || !value) return { verdict: 'none' };
  const missed = beyond(value, bounds);
  if (!missed) return { verdict: 'pass' };
  const { rule } = ruleOf(limit, specification);
  if (rule === 'nonbinary' || rule === 'iso14253') {
    const w = rule === 'iso14253' ? bounds.band : decimal.make(0);
    const fails = { low: bounds.low && decimal.sub(decimal.plain(limit.low), w), high: bounds.high && decimal.add(decimal.plain(limit.high), w) };
    if (!beyond(value, fails)) return { verdict: 'none' };
  }
  return { verdict: 'fail', missed, bound: bounds[missed] };
}

/** beyond says which limit a value lies beyond; null for none. */
function beyond(value, { low, high }) {
  if (high && decimal.cmp(value, high) > 0) return 'high';
  if (low && decimal.cmp(value, low) < 0) return 'low';
  return null;
}

/** acceptance gives the limits a value is compared with, and the guard band they moved by; null for none. */
export function acceptance(limit, specification) {
  const low = decimal.plain(limit?.low);
  const high = decimal.plain(limit?.high);
  if (!low && !high) return null;
  const { rule, factor } = ruleOf(limit, specification);
  if (rule === 'simple') return { low, high };
  const u = decimal.plain(limit.u);
  const r = decimal.plain(factor);
  if (!u || !r) return null;
  const band = decimal.mul(u, r);
  return { low: low && decimal.add(low, band), high: high && decimal.sub(high, band), band };
}
