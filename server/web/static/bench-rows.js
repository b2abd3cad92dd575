// The list of sets on a pack: what each gives against its limit, and what is open.
import * as decimal from './floor-decimal.js';
import { shown, atDecimals, list } from './floor-format.js';
import { marks } from './floor-screen.js';
import { answered } from './floor-job.js';
import { tickShort } from './stand-words.js';
import { groups, parts, partOf, blocks } from './bench-shape.js';
import { workRows } from './bench-work-screen.js';

const bar = (taken, wanted) => (wanted ? Math.round((100 * taken) / wanted) : 0);

/** setRows describes every row, in the order of the work. */
export function setRows(plan, job, f, entry, entries, now) {
  const work = plan.build ? workRows(plan.build, now) : {};
  const make = {
    build: () => work.build, charge: () => work.charge,
    blocks: () => known(plan, job), gate: () => gate(f, job, entries), voltage: () => counted(f.voltage, voltageWords(f)),
    resistance: () => counted(f.resistance, resistanceWords(f)), pack: () => whole(f), ticks: () => ticks(f.ticks),
  };
  return groups(plan).map((g) => {
    const inHand = entry?.group === g.key;
    const row = { key: g.key, name: g.name, now: inHand, ...make[g.key]() };
    if (inHand && row.v === marks.open) row.v = marks.now;
    const short = { build: 'Build', gate: 'Rest', resistance: 'Resist.', pack: 'Pack', ticks: 'List' };
    row.phone = { name: short[g.key] ?? g.name, value: String(row.count ?? row.value ?? ''), of: row.of ? `of ${row.of}` : '', v: row.v?.shape === 'open' || row.v?.shape === 'square' ? undefined : row.v };
    return row;
  });
}

function known(plan, job) {
  const named = blocks(plan).filter((b) => partOf(plan, job, b).number).length;
  const lot = partOf(plan, job, blocks(plan)[0]).lot;
  const all = parts(plan).length;
  return { count: named, of: all, v: named === all ? { tone: 'plain', shape: 'tick', word: 'Known' } : { tone: 'plain', shape: 'open', word: 'Optional' }, sub: '', nameMore: lot && named < all ? ` lot ${lot}` : '' };
}

function gate(f, job, entries) {
  const mine = entries.filter((e) => e.group === 'gate');
  const done = mine.filter((e) => answered(job, e)).length;
  const v = { open: marks.open, passes: { tone: 'pass', shape: 'tick', word: 'Ready' }, provisional: { tone: 'care', shape: 'triangle', word: 'Provis.' }, unjudged: { tone: 'care', shape: 'triangle', word: f.gate.charger === 'yes' ? 'Charger' : 'Kept' } }[f.gate.state];
  return { count: done, of: mine.length, v: done < mine.length && f.gate.state === 'passes' ? marks.open : v };
}

const counted = (s, sub) => ({ count: s.taken, of: s.wanted, bar: bar(s.taken, s.wanted), v: marks[s.state], sub });
const voltageWords = (f) => (f.voltage.spread ? `spread ${atDecimals(decimal.mul(f.voltage.spread.value, decimal.make(1000)), 0)} mV` : '');
const resistanceWords = (f) => (f.resistance.spread ? `spread ${atDecimals(f.resistance.spread.value, 1)} %` : '');

function whole(f) {
  const apart = f.pack.difference ? `apart ${shown(f.pack.difference.value)} V` : '';
  return { count: f.pack.taken, of: f.pack.wanted, v: marks[f.pack.state], sub: apart };
}

function ticks(t) {
  const counts = [['yes', 'yes'], ['no', 'no'], ['na', 'not applicable']].map(([a, word]) => [t.points.filter((p) => p.answer === a).length, word]).filter(([n]) => n);
  const no = t.faults.map((p) => tickShort(p.code));
  return { count: t.taken, of: t.wanted, v: t.whole ? marks[t.state] : marks.open, sub: no.length ? `no: ${list(no)}` : list(counts.map(([n, w]) => `${n} ${w}`)) };
}
