// The list of sets on a wheel: what each gives against its limit, and what is open.
import * as decimal from './floor-decimal.js';
import { shown, signed, atDecimals, list } from './floor-format.js';
import { symbol, inUnit } from './floor-units.js';
import { marks } from './floor-screen.js';
import { limitOf, characteristicOf } from './floor-plan.js';
import { tickShort } from './stand-words.js';
import { DIVISION } from './stand-table.js';
import { groups, EXTREMES, EVERY_HOLE, SAMPLE, slots, byEveryHole, TENSION_A, TENSION_B } from './stand-shape.js';

/** setRows describes every row, in the order of the work. */
export function setRows(plan, job, f, entry) {
  const make = { lateral: () => runOut(plan, 'lateral_tir', f.lateral, entry), radial: () => runOut(plan, 'radial_tir', f.radial, entry), dish: () => dish(plan, f.dish), tension: () => tension(plan, job, f.tension), ticks: () => ticks(f.ticks, byEveryHole(plan, job)) };
  return groups(plan).map((g) => {
    const now = entry?.group === g.key;
    const row = { key: g.key, name: g.name, now, ...make[g.key]() };
    if (now && row.v === marks.open) row.v = marks.now;
    row.phone = { name: g.key === 'ticks' ? 'List' : g.name, ...(row.phone ?? {}) };
    return row;
  });
}

const limitText = (plan, code) => {
  const l = limitOf(plan, code);
  const high = l && decimal.plain(l.high);
  return high ? `limit ${atDecimals(high, 2)}` : 'no limit';
};

const bar = (taken, wanted) => (wanted ? Math.round((100 * taken) / wanted) : 0);

function runOut(plan, code, r, entry) {
  const limit = limitText(plan, code);
  if (r.method === EVERY_HOLE) {
    return {
      count: r.taken, of: r.wanted, bar: bar(r.taken, r.wanted), v: marks[r.state],
      sub: r.tir ? `${atDecimals(r.tir.value, 2)} mm${r.whole ? '' : ' so far'}; ${limit}` : limit, phone: { value: String(r.taken), of: `of ${r.wanted}` },
    };
  }
  const named = r.stations.map((s) => `${signed(s.typed)} at ${s.index + 1}`).join(', ');
  const mine = entry?.method === EXTREMES && entry.characteristic.startsWith(code.split('_')[0]);
  const next = mine ? `${entry.slot} now${entry.slot === 'highest' ? ', then lowest' : ''}` : 'highest and lowest';
  return {
    value: r.tir ? atDecimals(r.tir.value, 2) : '', unit: r.tir ? 'mm' : '', v: marks[r.state],
    sub: `${named || next}${named && r.taken < 2 && mine ? `; ${next}` : ''}; ${limit}`,
    phone: r.tir ? { value: atDecimals(r.tir.value, 2), v: marks[r.state] } : { value: mine ? 'now' : 'open' },
  };
}

function dish(plan, d) {
  const limit = limitText(plan, 'dish_abs');
  const side = (r) => `${d.wanted === 2 ? (r.index === 0 ? 'A ' : 'B ') : ''}${shown(r.typed)}`;
  const read = d.readings.map(side).join(', ');
  const toward = !d.offset ? '' : decimal.sign(d.offset) > 0 ? ': toward A' : decimal.sign(d.offset) < 0 ? ': toward B' : ': in the middle';
  return {
    value: d.abs ? atDecimals(d.abs.value, 2) : '', unit: d.abs ? 'mm' : '', v: marks[d.state],
    sub: `${read ? read + toward : 'not read yet'}; ${limit}`,
    phone: d.abs ? { value: atDecimals(d.abs.value, 2), v: marks[d.state] } : { value: String(d.taken), of: `of ${d.wanted}` },
  };
}

function tension(plan, job, t) {
  const v = t.results.some((r) => r.verdict === 'fail') ? marks.fault : marks[t.state];
  const read = job.units[TENSION_A] ?? characteristicOf(plan, TENSION_A)?.unit ?? 'N';
  const unit = read === DIVISION ? 'N' : read; // a mean of divisions means nothing
  const mean = (s) => s.mean && decimal.roundTo(inUnit(s.mean, 'N', unit) ?? s.mean, unit === 'N' ? 0 : 1);
  const beyond = 'a reading lies beyond the gauge’s table: kept, not judged';
  const phone = { value: String(t.taken), of: `of ${t.wanted}`, v: t.whole ? marks[t.state] : undefined };
  if (t.a.method === EVERY_HOLE || t.b.method === EVERY_HOLE) {
    const means = [['A', t.a], ['B', t.b]].filter(([, s]) => s.mean).map(([n, s]) => `${n} ${shown(mean(s))}`);
    const spreads = [t.a, t.b].map((s) => s.spread).filter((x) => x !== null && x !== undefined);
    const even = spreads.length === means.length && spreads.length ? `; spread ${list(spreads.map((x) => x.toFixed(1)))} %` : '';
    return { count: t.taken, of: t.wanted, bar: bar(t.taken, t.wanted), v, sub: t.beyond ? beyond : means.length ? `mean ${list(means)} ${symbol(unit)}${even}` : 'both sides, in turn', phone };
  }
  const name = headed(t);
  const [head, beside] = name === 'B' ? [t.b, t.a] : [t.a, t.b];
  const sub = t.whole && t.beyond ? beyond : t.whole ? `side ${name === 'B' ? 'A' : 'B'} ${shown(mean(beside))} ${symbol(unit)}${t.ratio ? `; ratio ${shown(t.ratio)}` : ''}${t.expected ? `, expected ${atDecimals(t.expected, 2)}` : ''}`
    : openSpokes(plan, t);
  return { value: head.mean ? shown(mean(head)) : '', unit: head.mean ? symbol(unit) : '', nameMore: head.mean ? ` ${name}` : '', v, sub, phone };
}

/** headed is the side whose mean stands beside the mark: one that failed, the mean before a spread; else the tighter one, which is judged; A until both are read. */
function headed(t) {
  const failed = t.results.filter((r) => r.verdict === 'fail');
  return (failed.at(-1) ?? t.results.find((r) => r.code === 'tension_mean_tight'))?.side ?? 'A';
}

/** openSpokes names what is still to be read: "side B: 8, 20, 32; about 716 N expected". */
function openSpokes(plan, t) {
  const out = [];
  for (const [name, s, code] of [['A', t.a, TENSION_A], ['B', t.b, TENSION_B]]) {
    const c = characteristicOf(plan, code);
    if (!c || s.whole) continue;
    const left = slots(plan, c, SAMPLE).filter((p) => !s.readings.some((r) => r.index === p.position)).map((p) => p.position + 1);
    out.push(`${name}: ${left.join(', ')}`);
  }
  const expected = t.expectB ? `; about ${shown(t.expectB)} N expected` : '';
  return `side ${out.join('; ')}${expected}`;
}

function ticks(t, brief) {
  const counts = [['yes', 'yes'], ['no', 'no'], ['na', 'not applicable']].map(([a, word]) => [t.points.filter((p) => p.answer === a).length, word]).filter(([n]) => n);
  const sub = t.taken ? list(counts.map(([n, word]) => `${n} ${word}`)) : '';
  const press = onePress(t.points);
  return {
    v: t.whole ? marks[t.state] : { tone: 'plain', shape: 'open', word: `${t.taken} of ${t.wanted}` },
    value: t.whole ? String(t.taken) : '', unit: t.whole ? `of ${t.wanted}` : '',
    sub: t.whole ? sub + (press > 1 ? `, ${press} in one press` : '') : sub,
    points: t.whole || brief ? null : t.points.map((p) => ({ answer: p.answer, text: tickShort(p.code) })),
    phone: { value: String(t.taken), of: `of ${t.wanted}` },
  };
}

/** onePress is how many were answered in the largest single press. */
function onePress(points) {
  const at = new Map();
  for (const p of points) if (p.answer) at.set(p.at, (at.get(p.at) ?? 0) + 1);
  return Math.max(0, ...at.values());
}
