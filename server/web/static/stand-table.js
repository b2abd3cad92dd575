// Divisions of a tension gauge read through its table: cubics that never turn
// back between the points (slopes of Fritsch and Butland, SIAM J. Sci. Stat.
// Comput. 5, 1984), nothing beyond the ends. The office does the same; what it
// keeps is its own.
import * as decimal from './floor-decimal.js';
import { inUnit } from './floor-units.js';
import { instrumentOf, instrumentsFor } from './floor-plan.js';

export const DIVISION = 'div';

/** tableOf is the table of the gauge in use for a characteristic; none is []. */
export const tableOf = (plan, job, code) => instrumentOf(plan, job, code)?.table ?? [];

/** unitsFor leaves divisions out where no gauge of this place has a table for the product's spoke. */
export const unitsFor = (plan, c) => (instrumentsFor(plan, c.code).some((i) => i.table?.length) ? c.units : c.units.filter((u) => u !== DIVISION));

/** asRead gives a value in the characteristic's own unit; null where nothing says what it means. */
export function asRead(plan, job, code, value, unit, own) {
  if (unit !== DIVISION) return inUnit(value, unit, own);
  const newtons = byTable(tableOf(plan, job, code), decimal.number(value));
  const exact = newtons === null ? null : decimal.plain(newtons.toFixed(1));
  return exact && inUnit(exact, 'N', own);
}

/**
 * doubtOfDivision says what speaks against a value in divisions: {refuse}, {doubt,
 * near} or null. Beyond the table it is read again; what stands is kept, and nothing
 * is computed from it.
 */
export function doubtOfDivision(plan, job, code, value) {
  const gauge = instrumentOf(plan, job, code);
  const spoke = plan.form.spoke_type || 'this spoke';
  if (!gauge?.table?.length) return { refuse: `${gauge?.code ?? 'The gauge'} has no table for ${spoke}: read in newtons` };
  if (byTable(gauge.table, decimal.number(value)) !== null) return null;
  return { doubt: `Read again: ${decimal.text(value)} lies beyond the table of ${gauge.code} for ${spoke}; it is kept, but not judged`, near: '0' };
}

/** byTable gives newtons; null beyond the table. */
export function byTable(points, reading) {
  const x = points.map((p) => Number(p.reading));
  const y = points.map((p) => Number(p.tension));
  const n = x.length;
  if (n < 2 || !(reading >= x[0] && reading <= x[n - 1])) return null;
  const slope = x.slice(1).map((_, i) => (y[i + 1] - y[i]) / (x[i + 1] - x[i]));
  const d = n === 2 ? [slope[0], slope[0]] : x.map((_, i) => {
    if (i === 0) return edge(slope[0], slope[1], x[1] - x[0], x[2] - x[0]);
    if (i === n - 1) return edge(slope[n - 2], slope[n - 3], x[n - 1] - x[n - 2], x[n - 1] - x[n - 3]);
    if (slope[i] * slope[i - 1] <= 0) return 0;
    return (3 * (x[i + 1] - x[i - 1])) / ((2 * x[i + 1] - x[i - 1] - x[i]) / slope[i - 1] + (x[i + 1] + x[i] - 2 * x[i - 1]) / slope[i]);
  });
  let i = 0;
  while (i < n - 2 && reading > x[i + 1]) i++;
  const h = x[i + 1] - x[i];
  const t = (reading - x[i]) / h;
  // Hermite's form of the cubic through two points with their slopes.
  return y[i] * (1 + 2 * t) * (1 - t) ** 2 + h * d[i] * t * (1 - t) ** 2 + y[i + 1] * t ** 2 * (3 - 2 * t) + h * d[i + 1] * t ** 2 * (t - 1);
}

/** edge is the slope at an end, from three points, bent so that the curve does not turn back. */
function edge(end, next, near, far) {
  const g = ((near + far) * end - near * next) / far;
  if (g * end <= 0) return 0;
  return end * next <= 0 && Math.abs(g) > 3 * Math.abs(end) ? 3 * end : g;
}
