// The stand as a description of what is to be seen: above, what to measure, the
// last value and the state; in the middle the rim; below the hands.
import { current, awaitsSpoke, open, answered, lastAnswers } from './floor-job.js';
import { readSpoke, valueOf } from './floor-reading.js';
import { symbol } from './floor-units.js';
import { atDecimals, list } from './floor-format.js';
import * as decimal from './floor-decimal.js';
import { gaugeLine, typing, causeIn, before, resumed, fieldFor } from './floor-screen.js';
import { figures as figuresOf } from './stand-figures.js';
import { strip, spokeSpoken } from './stand-strip.js';
import { setRows } from './stand-rows.js';
import * as words from './stand-words.js';
import * as wheel from './stand-shape.js';
import { check } from './stand-check.js';
import { unitOf } from './floor-take.js';
import { maskTool } from './stand-masking.js';
import { reasonWords } from './stand-mask.js';

const written = words.written;

/** above-left: the entry in hand in words. */
function asked(plan, job, entry, done, total) {
  if (!entry) return { lab: 'Everything is read', lead: 'Nothing', big: 'open' };
  const lab = `Entry ${Math.min(done + 1, total)} of ${total}`;
  if (entry.kind === 'tick') return { lab: tickCount(plan, job), lead: 'Ticked list', big: words.tickShort(entry.characteristic), long: true, how: 'yes, no or N.A.' };
  if (entry.kind === 'extreme') {
    const spoke = awaitsSpoke(job, entry);
    return { lab, lead: words.setName(entry.characteristic), big: entry.slot, how: spoke ? 'now the spoke where it stopped' : words.howTo(entry, plan) };
  }
  if (entry.characteristic === wheel.DISH) {
    const one = plan.form.dish_reference === 'face' || plan.form.dish_reference === 'frame_gauge';
    const side = wheel.sideOf(entry.position);
    return { lab, lead: 'Dish', big: one ? 'distance' : `side ${side}`, how: [wheel.sideMark(plan, side), words.howTo(entry, plan)].filter(Boolean).join(', ') };
  }
  const side = wheel.sideOf(entry.position);
  return {
    lab: `Take ${words.setName(entry.characteristic).toLowerCase()} at spoke`, number: String(entry.position + 1), side,
    sideText: `side ${side}`, lean: [wheel.sideMark(plan, side), entry.slot === 'reread' ? 'once more' : wheel.leans(plan, entry.position)].filter(Boolean),
  };
}

function tickCount(plan, job) {
  const all = wheel.entries(plan, job).filter((e) => e.kind === 'tick');
  return `Point ${Math.min(all.length, all.filter((e) => answered(job, e)).length + 1)} of ${all.length}`;
}

/** above-middle: what is typed, or the last value. */
function last(plan, job, entry, typed, said) {
  if (entry && awaitsSpoke(job, entry)) {
    const value = valueOf(job.values[entry.key].text);
    const spoke = typed.trim() ? readSpoke(typed, wheel.holes(plan)) : null;
    const bad = said?.kind === 'refused' && said.entry?.key === entry.key && !typed ? said : null;
    const slot = { text: typed.trim(), after: spoke && !spoke.ok ? spoke.reason : '', afterMore: typed ? '' : 'next' };
    const at = [words.meaning(entry, value), 'at spoke'].filter(Boolean).join(', ').replace('toward side', 'toward');
    if (bad) { // the number is refused; the value before it was taken, and still wants its spoke
      return { tone: 'refused', lab: { tone: 'fail', shape: 'cross', word: 'Refused' }, rest: bad.reason, value: bad.text, text: true, struck: true, slot: { ...slot, before: `${written(entry, value)} ${symbol(unitOf(job, entry))} ${at}` } };
    }
    return {
      tone: 'typing', lab: { tone: 'now', shape: 'square', word: 'Its spoke' }, rest: `${words.setName(entry.characteristic).toLowerCase()} ${entry.slot}`,
      value: written(entry, value), unit: symbol(unitOf(job, entry)), slot: { ...slot, before: at },
    };
  }
  const now = typing(job, entry, typed, written);
  if (now) {
    const meaning = now.read ? words.meaning(entry, now.read.value) : '';
    if (entry.kind === 'extreme' && now.read) return { ...now, slot: { before: [meaning, 'at spoke'].filter(Boolean).join(', ').replace('toward side', 'toward'), text: '', after: '', afterMore: 'next' } };
    return { ...now, sub: meaning };
  }
  if (said?.kind === 'resumed') return resumed;
  if (said?.kind === 'again') return { ...resumed, lab: { tone: 'care', shape: 'triangle', word: 'Read again' }, sub: said.reason };
  if (!said || said.kind === 'nothing' || said.kind === 'staged') return before(plan);
  const line = causeIn(job, said, words.entryName, written);
  if (said.kind === 'taken' && said.entry) {
    if (said.mask) return { ...line, lab: { tone: 'plain', shape: 'bar', word: 'Masked' }, value: reasonWords(said.mask), sub: 'not judged; Undo takes it back' };
    if (said.entry.kind === 'tick') return { ...line, value: words.answerWord(said.text), sub: words.tickLong(said.entry.characteristic) };
    const where = said.spoke !== undefined ? `at spoke ${said.spoke + 1}` : '';
    line.sub = [said.value ? words.meaning(said.entry, said.value) : '', where].filter(Boolean).join(', ');
  }
  return line;
}

const countWord = (n, one) => `${n} ${one}${n === 1 ? '' : 's'}`;
const readable = (n) => (n === 1 ? '1 entry' : `${n} entries`);

/** above-right: no fault so far, or the fault at once. */
function state(plan, job, f, entry, entries) {
  const measured = entries.filter((e) => e.kind !== 'tick');
  const done = measured.filter((e) => answered(job, e)).length;
  const faults = faultSentences(f);
  const left = [[measured.length - done, readable], [f.ticks.wanted - f.ticks.taken, (n) => countWord(n, 'tick')]].filter(([n]) => n);
  const openCount = left.length ? `${left.map(([n, words]) => words(n)).join(', ')} open` : 'all read';
  const line = { gauge: gaugeLine(plan, job, entry?.kind === 'tick' ? null : entry) };
  const run = entry && [wheel.LATERAL, wheel.RADIAL].includes(entry.characteristic) && entry.method === wheel.EVERY_HOLE ? f[entry.characteristic === wheel.LATERAL ? 'lateral' : 'radial'] : null;
  if (run && run.taken) return { ...line, ...runSoFar(run, entry, f) };
  return {
    ...line,
    lab: `Verdict: ${done} of ${readable(measured.length)}, ${f.ticks.taken} of ${countWord(f.ticks.wanted, 'tick')}`,
    v: faults.length ? { tone: 'fail', shape: 'cross', word: faults.length > 1 ? `${faults.length} faults` : 'A fault' } : { tone: 'ink', shape: 'open', word: 'No fault so far' },
    short: openCount,
    built: builtSquares(job, entries, entry),
    note: faults.length ? `${faults[0]}.` : soFar(f),
  };
}

/** run-out at every hole: the reading so far against the limit, said as soon as it is lost. */
function runSoFar(run, entry, f) {
  const name = words.setName(entry.characteristic);
  const limit = run.tir?.limit && decimal.plain(run.tir.limit.high);
  const out = { lab: `${name} so far, ${run.stations.length} of ${f.holes}` };
  if (!run.tir) return { ...out, far: { value: '', unit: '' }, v: { tone: 'ink', shape: 'open', word: 'No fault so far' }, note: 'A second spoke makes a run-out.' };
  const lost = run.state === 'fault';
  out.far = { value: atDecimals(run.tir.value, 2), unit: 'mm' };
  out.v = lost ? { tone: 'fail', shape: 'cross', word: `over ${atDecimals(limit, 2)}` } : limit ? { tone: 'ink', shape: 'open', word: `limit ${atDecimals(limit, 2)}` } : { tone: 'ink', shape: 'open', word: 'no limit' };
  const others = faultSentences(f).length - (lost ? 1 : 0);
  out.note = lost ? `Cannot pass now. The rest shows where.` : others ? `Elsewhere: ${faultSentences(f)[0]}.` : 'No fault so far.';
  return out;
}

function builtSquares(job, entries, entry) {
  const groups = [];
  const many = entries.filter((e) => e.kind !== 'tick').length > 24;
  for (const e of entries) {
    if (many && e.kind !== 'tick') continue; // at every hole the bars of the sets count instead
    const name = e.group === 'tension' ? e.characteristic : e.group;
    if (groups.at(-1)?.name !== name) groups.push({ name, squares: [] });
    groups.at(-1).squares.push(answered(job, e) ? 'full' : e.key === entry?.key ? 'now' : 'open');
  }
  return groups.map((g) => g.squares);
}

/** faultSentences says each fault so far. */
export function faultSentences(f) {
  const out = [];
  for (const r of [f.lateral, f.radial]) if (r.state === 'fault') out.push(words.fault(r.tir));
  if (f.dish.state === 'fault') out.push(words.fault(f.dish.abs));
  for (const r of f.tension.results) if (r.verdict === 'fail') out.push(words.fault(r));
  for (const p of f.ticks.faults) out.push(`${words.tickLong(p.code)}: no`);
  return out;
}

const sets = [['lateral', 'lateral'], ['radial', 'radial'], ['dish', 'dish'], ['tension', 'tension'], ['ticks', 'list']];

/** soFar says what passed and what is open, while there is no fault: "Passed: lateral. Open: dish and list." */
function soFar(f) {
  const named = (holds) => sets.filter(([k]) => f[k].wanted && holds(f[k])).map(([, name]) => name);
  const passed = named((r) => r.state === 'passes');
  const open = named((r) => r.taken < r.wanted);
  if (!open.length) return 'All read, not sent yet.';
  return `${passed.length ? `Passed: ${list(passed)}. ` : ''}Open: ${open.length === named(() => true).length ? 'everything' : list(open)}.`;
}

/** tools are the keys beside the keypad. */
function tools(plan, job, f, entry) {
  const newest = lastAnswers(job, wheel.allEntries(plan));
  const undoSays = !newest.length ? 'nothing yet' : newest.length > 1 ? `${newest.length} ticks of one press`
    : `${words.entryName(newest[0])}, ${undoText(job, newest[0])}`;
  const every = wheel.byEveryHole(plan, job);
  const kept = keptCount(plan, job, every);
  const out = [{ does: 'undo', label: 'Undo', small: undoSays, disabled: !newest.length && !job.ask && !job.doubt }];
  if (wheel.canSwitch(plan)) {
    out.push(every
      ? { does: 'quick', label: 'By extremes', small: kept ? `keeps these ${kept}` : 'highest and lowest' }
      : { does: 'every', label: 'Measure every hole', short: 'Every hole', small: kept ? `keeps these ${kept}` : 'lateral, radial, tension', go: f.faults.some((k) => k !== 'ticks' && k !== 'dish') });
  }
  if (every && entry?.method === wheel.EVERY_HOLE) {
    out.push({ does: 'reread', label: 'Re-read', small: 'type its number' });
    const masks = maskTool(plan, job, entry, wheel.holes(plan));
    if (masks) out.push(masks);
  }
  if (out.length < 4) out.push({ does: 'leave', label: 'Next wheel', small: newest.length ? 'this one waits' : 'nothing read yet' });
  return out;
}

function keptCount(plan, job) {
  return wheel.entries(plan, job).filter((e) => e.kind !== 'tick' && answered(job, e)).length;
}

function undoText(job, entry) {
  const value = job.values[entry.key];
  if (entry.kind === 'tick') return words.answerWord(value.text);
  const d = valueOf(value.text);
  return d ? written(entry, d) : value.text;
}

/** rows of the ticked list. */
function tickRows(plan, job, entry) {
  return wheel.entries(plan, job).filter((e) => e.kind === 'tick').map((e) => ({
    key: e.key, text: words.tickLong(e.characteristic), answer: job.values[e.key]?.text ?? '', now: e.key === entry?.key,
  }));
}

/** screen describes the stand for a job as it stands. */
export function screen(model) {
  const { plan, job, typed, said, walk, narrow } = model;
  const entries = wheel.entries(plan, job);
  const entry = current(job, entries);
  const f = figuresOf(plan, job);
  const measured = entries.filter((e) => e.kind !== 'tick');
  const done = measured.filter((e) => answered(job, e)).length;
  const left = open(job, entries);
  const ticking = entry?.kind === 'tick';
  const shownTyped = typed.trim() && entry?.kind === 'extreme' && !awaitsSpoke(job, entry) ? typing(job, entry, typed, written)?.value ?? '' : awaitsSpoke(job, entry) ? `${written(entry, valueOf(job.values[entry.key].text))}, its spoke is next` : '';
  return {
    title: entry ? `${words.setName(entry.characteristic)}: ${done} of ${measured.length}` : 'Wheel read',
    quick: !wheel.byEveryHole(plan, job), ticking,
    ask: asked(plan, job, entry, done, measured.length),
    last: last(plan, job, entry, typed, said),
    third: state(plan, job, f, entry, entries),
    picture: strip(plan, job, f, { now: ticking ? null : entry, walk, narrow, typed: shownTyped }),
    sets: setRows(plan, job, f, entry),
    tools: tools(plan, job, f, entry),
    list: ticking ? tickRows(plan, job, entry) : null,
    field: fieldFor(job, entry, typed, entries),
    go: goKey(plan, job, entries, entry, typed, left),
    walked: walk === null || walk === undefined ? '' : spokeSpoken(f, walk),
    entry, entries, left,
  };
}

function goKey(plan, job, entries, entry, typed, left) {
  if (!entry) return { label: 'Send', small: 'everything is read' };
  if (entry.kind === 'tick') {
    const rest = left.filter((e) => e.kind === 'tick').length;
    return { label: rest === left.filter((e) => e.group === 'ticks').length && rest > 1 ? 'Yes to the rest' : 'Yes', small: rest > 1 ? `${rest} points, in one press` : '', words: true };
  }
  const value = typing(job, entry, typed, written)?.value;
  if (awaitsSpoke(job, entry)) return { label: 'Take', small: typed.trim() ? `at spoke ${typed.trim()}` : 'its spoke' };
  if (entry.kind === 'extreme') return { label: 'Take', small: value ? `${value}, then its spoke` : 'then its spoke' };
  const next = entries.slice(entries.indexOf(entry) + 1).find((e) => !answered(job, e));
  if (!next) return { label: 'Take', small: left.length > 1 ? 'then what is open' : 'the last one' };
  const then = next.kind === 'tick' ? 'the list' : next.group === entry.group && next.method !== 'whole' ? String(next.position + 1) : words.entryName(next);
  return { label: 'Take', small: `then ${then}` };
}

/** verdictWords tell which gauges were used, and how. */
export function usedWords(plan, job, f) {
  const every = wheel.byEveryHole(plan, job);
  const entries = wheel.entries(plan, job).filter((e) => e.kind !== 'tick');
  return { how: every ? 'Every hole' : 'By extremes, as the plan allows', count: `${readable(entries.length)}, ${countWord(f.ticks.wanted, 'tick')}` };
}

/** stand is all that the page needs to know of a wheel. */
export const stand = {
  ...wheel.shape, path: '/stand', thing: 'wheel', letter: 'W', check, screen, figures: figuresOf, faultSentences, usedWords,
  entryName: words.entryName, written, setName: (entry) => words.setName(entry.characteristic),
  sizeWords: (plan) => `${wheel.holes(plan)} spokes`,
  begin: (plan) => wheel.methodsFor(plan, false),
  every: (plan) => wheel.methodsFor(plan, true),
  isEvery: wheel.byEveryHole,
  stations: (plan) => wheel.holes(plan),
  spokenTaken: (said) => [words.entryName(said.entry), said.value ? written(said.entry, said.value) : words.answerWord(said.text), said.unit ? symbol(said.unit) : '',
    said.spoke !== undefined ? `at spoke ${said.spoke + 1}` : ''].filter(Boolean).join(' '),
};
