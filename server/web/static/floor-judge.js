// A value against its limit, by the specification's rule, in exact decimals:
// what the page may say before the office has judged. Equal to the limit passes.
import * as decimal from './floor-decimal.js';

/**
 * judge says pass, fail (with which limit was missed) or none. Under the
 * guarded rule the limits move inward by the guard factor times U; without a U
 * the page keeps silent.
 */
export function judge(value, limit, specification) {
  const bounds = acceptance(limit, specification);
  if (!bounds || !value) return { verdict: 'none' };
  if (bounds.high && decimal.cmp(value, bounds.high) > 0) return { verdict: 'fail', missed: 'high', bound: bounds.high };
  if (bounds.low && decimal.cmp(value, bounds.low) < 0) return { verdict: 'fail', missed: 'low', bound: bounds.low };
  return { verdict: 'pass' };
}

/** acceptance gives the limits a value is compared with; null for none. */
export function acceptance(limit, specification) {
  const low = decimal.plain(limit?.low);
  const high = decimal.plain(limit?.high);
  if (!low && !high) return null;
  if (specification.rule !== 'guarded') return { low, high };
  const u = decimal.plain(limit.u);
  const factor = decimal.plain(specification.guardFactor);
  if (!u || !factor) return null;
  const band = decimal.mul(u, factor);
  return { low: low && decimal.add(low, band), high: high && decimal.sub(high, band) };
}
