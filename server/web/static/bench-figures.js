// What a pack's readings say so far, in exact decimals: the gate a voltage has
// to pass, each string's sum and spread, and the limits.
import * as decimal from './floor-decimal.js';
import { valueOf } from './floor-reading.js';
import { inUnit } from './floor-units.js';
import { keyOf } from './floor-job.js';
import { characteristicOf, limitOf, ticksOf } from './floor-plan.js';
import { judge } from './floor-judge.js';
import { shown, list } from './floor-format.js';
import { tapOrder, placesOf, suspects } from './bench-taps.js';
import { VOLTAGE, RESISTANCE, TEMPERATURE, PACK, TAPS, WHOLE, EVERY_BLOCK, blocks, placeKey, methodOf, slots, strings, blockName } from './bench-shape.js';

/** at reads one value of a set in the characteristic's own unit; null where there is none. */
function at(plan, job, code, slot, method = methodOf(plan, job, code)) {
  const c = characteristicOf(plan, code);
  const typed = c && valueOf(job.values[keyOf(code, method, slot)]?.text);
  return typed ? { typed, value: inUnit(typed, job.units[code] ?? c.unit, c.unit) ?? typed } : null;
}

const said = (job, slot) => job.values[keyOf('conditions', WHOLE, slot)]?.text;

/** temperatures lists what was read: one for all, or one a block. */
function temperatures(plan, job) {
  const c = characteristicOf(plan, TEMPERATURE);
  if (!c) return { wanted: 0, taken: 0, values: [] };
  const all = slots(plan, c, methodOf(plan, job, TEMPERATURE));
  const values = all.map((s) => at(plan, job, TEMPERATURE, s.slot)?.value).filter(Boolean);
  return { wanted: all.length, taken: values.length, values };
}

/**
 * gate says whether the voltages may be judged: rest, charger, load, surface
 * charge, in that order. A rest that is too short, at least 4 h, and nothing
 * else against it is provisional. Lead-acid above 2.18 V a cell still carries
 * surface charge. All common practice, no source; the rest is the product's.
 */
export function gate(plan, job, voltages) {
  const rest = valueOf(said(job, 'rest_hours'));
  const load = valueOf(said(job, 'load_a'));
  const charger = said(job, 'on_charger');
  const wanted = decimal.plain(plan.form.min_rest_hours || '0') ?? decimal.make(0);
  const lead = !['lifepo4', 'li_ion'].includes(plan.form.chemistry);
  const surface = decimal.make(218 * (Number(plan.form.cells) || 6), 2);
  const charged = lead ? voltages.filter((v) => decimal.cmp(v.value, surface) > 0) : [];
  const short = rest && decimal.cmp(rest, wanted) < 0;
  const other = charger === 'yes' || (load && decimal.sign(load) !== 0) || charged.length > 0;
  const known = rest && load && charger;
  let state = 'open';
  if (other) state = 'unjudged';
  else if (short) state = decimal.cmp(rest, decimal.make(4)) >= 0 ? 'provisional' : 'unjudged';
  else if (known) state = 'passes';
  return { rest, load, charger, wanted, surface: lead ? surface : null, charged, short, state };
}

/** median of decimals with 12 decimals. */
export function median(values) {
  const sorted = [...values].sort(decimal.cmp);
  const n = sorted.length;
  return decimal.half(decimal.add(sorted[(n - 1) >> 1], sorted[n >> 1]));
}

function judged(plan, code, exact, more = {}) {
  const limit = limitOf(plan, code);
  const value = limit ? decimal.roundTo(exact, limit.decimals ?? 4) : exact;
  return { code, value, limit, ...judge(value, limit, plan.specification), ...more };
}

const widest = (perString, figure) => perString.map((values, i) => ({ string: i + 1, x: values.length > 1 ? figure(values) : null }))
  .filter((s) => s.x).reduce((a, b) => (!a || decimal.cmp(b.x, a.x) > 0 ? b : a), null);

const range = (values) => decimal.sub(decimal.max(values), decimal.min(values));

/** figures is everything the bench knows of the pack. */
export function figures(plan, job) {
  const all = blocks(plan);
  const of = (code) => all.map((b) => ({ block: b, ...(at(plan, job, code, placeKey(b), EVERY_BLOCK) ?? {}) }));
  const voltage = set(of(VOLTAGE));
  const resistance = set(of(RESISTANCE));
  const temperature = temperatures(plan, job);
  const f = { voltage, resistance, temperature, gate: gate(plan, job, voltage.readings), ticks: ticks(plan, job), count: all.length };
  f.corrected = temperature.values.some((t) => decimal.cmp(t, decimal.make(20)) <= 0 || decimal.cmp(t, decimal.make(30)) >= 0);
  const perString = (s) => Array.from({ length: strings(plan) }, (_, i) => s.readings.filter((r) => r.block[0] === i + 1).map((r) => r.value));
  if (voltage.readings.length) {
    const lowest = voltage.readings.reduce((a, b) => (decimal.cmp(b.value, a.value) < 0 ? b : a));
    voltage.lowest = judged(plan, 'ocv_lowest', lowest.value, { at: blockName(plan, lowest.block) });
    const spread = widest(perString(voltage), range);
    if (spread) voltage.spread = judged(plan, 'ocv_spread', spread.x, { string: spread.string });
    // Outside 20 to 30 degrees the office corrects before it judges: the page keeps silent.
    voltage.results = f.corrected || f.gate.state === 'unjudged' ? [] : [voltage.lowest, voltage.spread].filter(Boolean);
  }
  if (resistance.readings.length > 1) {
    const spread = widest(perString(resistance), (v) => decimal.divide(decimal.mul(range(v), decimal.make(100)), median(v), 12));
    if (spread) resistance.spread = judged(plan, 'resistance_spread_pct', spread.x, { string: spread.string });
    resistance.results = resistance.spread && resistance.whole ? [resistance.spread] : [];
  }
  f.pack = packFigures(plan, job, voltage);
  f.taps = tapFigures(plan, job, voltage);
  for (const s of [voltage, resistance]) s.state = stateOf(s);
  f.faults = ['voltage', 'resistance', 'pack', 'ticks'].filter((k) => f[k].state === 'fault');
  return f;
}

function set(list) {
  const readings = list.filter((r) => r.value);
  return { list, readings, taken: readings.length, wanted: list.length, whole: readings.length === list.length, results: [] };
}

function stateOf(s) {
  if (s.results.some((r) => r.verdict === 'fail')) return 'fault';
  if (!s.whole) return 'open';
  return s.results.length && s.results.every((r) => r.verdict === 'pass') ? 'passes' : 'read';
}

/** packFigures compares each string's own voltage with the sum of its blocks, and strings with one another. */
function packFigures(plan, job, voltage) {
  const n = strings(plan);
  const out = { strings: [], taken: 0, wanted: characteristicOf(plan, PACK) ? n : 0, results: [] };
  for (let s = 1; s <= n; s++) {
    const whole = at(plan, job, PACK, String(s));
    const mine = voltage.list.filter((r) => r.block[0] === s);
    const sum = mine.every((r) => r.value) ? decimal.sum(mine.map((r) => r.value)) : null;
    if (whole) out.taken++;
    const tolerance = decimal.plain(limitOf(plan, 'series_difference')?.high);
    const mean = whole && sum && tolerance ? suspects(whole.value, mine.map((r) => r.value), tolerance) : { reversed: [], missing: [] };
    out.strings.push({ string: s, whole: whole?.value ?? null, sum, apart: whole && sum ? decimal.sub(whole.value, sum) : null, ...mean });
  }
  const apart = out.strings.filter((x) => x.apart);
  if (apart.length) {
    const worst = apart.reduce((a, b) => (decimal.cmp(decimal.abs(b.apart), decimal.abs(a.apart)) > 0 ? b : a));
    out.difference = judged(plan, 'series_difference', decimal.abs(worst.apart), { string: worst.string });
    out.results.push(out.difference);
  }
  if (n > 1 && out.taken === n) {
    out.between = judged(plan, 'string_difference', range(out.strings.map((x) => x.whole)));
    out.results.push(out.between);
  }
  out.whole = out.wanted > 0 && out.taken === out.wanted;
  out.state = out.results.some((r) => r.verdict === 'fail') ? 'fault' : out.whole && apart.length === n ? 'passes' : 'open';
  return out;
}

/** tapFigures compares the taps of the string in doubt with its blocks; null while none are asked for. */
function tapFigures(plan, job, voltage) {
  if (!job.taps) return null;
  const mine = voltage.list.filter((r) => r.block[0] === job.taps);
  const taps = mine.map((r) => tapAt(job, r.block));
  const out = { string: job.taps, taps, whole: taps.every(Boolean), swapped: [], text: '' };
  if (!out.whole || !mine.every((r) => r.value)) return out;
  let order = tapOrder(taps, mine.map((r) => r.value));
  const stored = mine.map((r) => plan.stored?.[placeKey(r.block)]);
  // Blocks that were read where they lie agree with the taps in any order: what was stored under their numbers tells.
  if (!order.swapped.length && stored.every(Boolean)) {
    const byStored = tapOrder(taps, shifted(placesOf(taps), stored));
    if (byStored.swapped.length && byStored.sure) [order, out.stored] = [byStored, true];
  }
  out.swapped = order.swapped.map((i) => mine[i].block);
  const names = list(out.swapped.map((b) => String(b[1])));
  out.text = !out.swapped.length ? order.off ? 'the taps are apart from the blocks, in their order all the same' : 'the order is as recorded'
    : `blocks ${names} swapped${out.stored ? ', against what is stored of them' : order.sure ? '' : ', though hardly told apart'}`;
  return out;
}

/** shifted brings stored voltages to where the places stand now: by the median of their differences, since all were charged, or cooled, together. */
function shifted(places, stored) {
  const by = median(places.map((v, i) => decimal.sub(v, stored[i])));
  return stored.map((v) => decimal.add(v, by));
}

/** tapAt is the tap behind a block in V; null where none was read. */
function tapAt(job, block) {
  const typed = valueOf(job.values[keyOf(TAPS, WHOLE, placeKey(block))]?.text);
  return typed ? inUnit(typed, job.units[TAPS] ?? 'V', 'V') : null;
}

function ticks(plan, job) {
  const points = ticksOf(plan).map((c) => ({ code: c.code, answer: job.values[keyOf(c.code, WHOLE, '')]?.text ?? '', at: job.values[keyOf(c.code, WHOLE, '')]?.at }));
  const done = points.filter((p) => p.answer);
  const faults = points.filter((p) => p.answer === 'no');
  return { points, taken: done.length, wanted: points.length, whole: done.length === points.length, faults, state: faults.length ? 'fault' : done.length === points.length && points.length ? 'passes' : 'open' };
}

/** gateLines are the gate in words, its answer first; recorded is the rest by the record, which stands while none is typed. */
export function gateLines(plan, f, recorded = null) {
  const g = f.gate;
  const ok = (text) => ({ tone: 'pass', shape: 'tick', text });
  const open = (text) => ({ tone: 'plain', shape: 'open', text });
  const care = (text) => ({ tone: 'care', shape: 'triangle', text });
  const rested = g.rest ? `Rested ${shown(g.rest)} h` : '';
  const head = {
    open: recorded ?? open('Rest and load come first'), passes: ok(`${rested}: may be judged`),
    provisional: care(`${rested} of ${shown(g.wanted)}: provisional`), unjudged: care(g.charger === 'yes' ? 'On the charger: no reading' : 'Kept, not judged so'),
  }[g.state];
  const rest = !g.rest ? open(`rest: ${shown(g.wanted)} h needed`) : g.short ? care(`rested ${shown(g.rest)} h, ${shown(g.wanted)} h needed`) : ok(`${shown(g.wanted)} h of rest needed`);
  const charger = !g.charger ? open('charger: not said yet') : g.charger === 'yes' ? care('a charger is connected: take it off, let it rest') : ok('off the charger');
  const load = !g.load ? open('load: not said yet') : decimal.sign(g.load) !== 0 ? care(`a load of ${shown(g.load)} A`) : ok('no load');
  const surface = !g.surface || !f.voltage.taken ? null : g.charged.length
    ? care(`surface charge: ${list(g.charged.map((r) => blockName(plan, r.block)))} above ${shown(g.surface)} V`) : ok(`below ${shown(g.surface)} V`);
  const checks = [charger, load, surface].filter(Boolean);
  const out = [head, rest];
  // All well is one line; what is not stands on its own.
  const well = checks.filter((c) => c.tone === 'pass');
  if (well.length) out.push(ok(well.map((c) => c.text).join(', ')));
  out.push(...checks.filter((c) => c.tone !== 'pass'));
  if (f.temperature.taken) {
    const t = f.temperature.values.length === 1 ? `${shown(f.temperature.values[0])} °C` : `${shown(decimal.min(f.temperature.values))} to ${shown(decimal.max(f.temperature.values))} °C`;
    out.push(f.corrected ? ok(`${t}: the office corrects to 25 °C`) : ok(`${t}, so no correction to 25 °C`));
  }
  return out;
}
