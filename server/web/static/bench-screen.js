// The bench as a description of what is to be seen: above, the block in hand,
// the last value and the gate; in the middle the string; below the hands.
import { current, open, answered, lastAnswers } from './floor-job.js';
import { symbol } from './floor-units.js';
import { shown, atDecimals } from './floor-format.js';
import * as decimal from './floor-decimal.js';
import { gaugeLine, typing, causeIn, before, resumed, fieldFor } from './floor-screen.js';
import { figures as figuresOf, gateLines } from './bench-figures.js';
import { string, blockSpoken } from './bench-string.js';
import { setRows } from './bench-rows.js';
import * as pack from './bench-shape.js';
import { check, checkText, ways } from './bench-check.js';
import { recordedRest } from './bench-work.js';
import { workScreen, workLast, restBar, restLines } from './bench-work-screen.js';
import { tapsNote, readTapsNote } from './bench-taps.js';
import { tickShort, tickLong, answerWord } from './stand-words.js';
import { limitOf } from './floor-plan.js';

const written = (entry, value) => shown(value);
const names = { [pack.VOLTAGE]: 'Voltage', [pack.RESISTANCE]: 'Resistance', [pack.TEMPERATURE]: 'Temperature', [pack.PACK]: 'Whole pack', [pack.TAPS]: 'Taps', build: 'Step', charge: 'Charge', conditions: 'Rest and load', parts: 'Block' };
const conditionNames = { rest_hours: 'Rest', on_charger: 'Charger', load_a: 'Load' };
const setName = (code) => names[code] ?? tickShort(code);
const manners = { ac_1khz: '1 kHz, four wires', dc_two_point: 'two currents, d.c.' };

/** entryName names an entry for undo and for the line above the last value. */
function entryName(entry) {
  if (entry.kind === 'tick') return tickShort(entry.characteristic);
  if (entry.characteristic === 'conditions') return conditionNames[entry.slot].toLowerCase();
  if (entry.characteristic === 'parts') return entry.slot === 'all' ? 'lot of the blocks' : `number of block ${entry.slot.replace(/^1\./, '')}`;
  if (entry.characteristic === pack.TAPS) return `tap behind block ${entry.position[1]}`;
  if (entry.characteristic === pack.PACK) return entry.position[0] > 1 ? `string ${entry.position[0]}` : 'whole pack';
  if (!entry.position) return setName(entry.characteristic).toLowerCase();
  const [s, p] = entry.position;
  return `${entry.characteristic === pack.VOLTAGE ? '' : `${setName(entry.characteristic).toLowerCase()}, `}block ${s > 1 ? `${s}.${p}` : p}`;
}

/** above-left: what is asked for. */
function asked(plan, job, entry, f) {
  if (!entry) return { lab: 'Everything is read', lead: 'Nothing', big: 'open' };
  if (entry.kind === 'tick') return { lab: `Point ${Math.min(f.ticks.wanted, f.ticks.taken + 1)} of ${f.ticks.wanted}`, lead: 'Ticked list', big: tickShort(entry.characteristic), long: true, how: 'yes, no or N.A.' };
  if (entry.characteristic === 'conditions') {
    return {
      rest_hours: { lab: 'Before voltage', lead: 'Rested for', big: 'how long', long: true, how: 'hours since charge or discharge ended' },
      on_charger: { lab: 'Before voltage', lead: 'On the', big: 'charger', how: 'yes or no' },
      load_a: { lab: 'Before voltage', lead: 'Load, in', big: 'ampere', how: '0 when nothing flows' },
    }[entry.slot];
  }
  if (entry.characteristic === 'parts' && entry.slot === 'all') return { lab: 'Without a number', lead: 'Their', big: 'lot', how: 'its code; left empty: not known' };
  if (entry.characteristic === pack.PACK) {
    const many = pack.strings(plan) > 1;
    return { lab: 'Voltage across', lead: many ? `String ${entry.position[0]}` : 'Whole', big: many ? 'ends' : 'pack', how: 'minus to plus, with its sign, same meter' };
  }
  if (!entry.position) return { lab: 'One for all blocks', lead: setName(entry.characteristic), big: 'of blocks', long: true, how: 'at a pole of a middle block' };
  const part = pack.partOf(plan, job, entry.position);
  const many = pack.strings(plan) > 1;
  return {
    lab: entry.characteristic === 'parts' ? 'Scan or type block' : entry.characteristic === pack.TAPS ? 'From pack minus to behind' : `${setName(entry.characteristic)} at block`, number: String(entry.position[1]), side: '',
    sideText: many ? `string ${entry.position[0]}` : `of ${pack.blocksOfString(plan)}`, lean: [part.number || part.lot || ''], mono: true,
    leanMore: entry.characteristic === pack.RESISTANCE ? manners[job.manners[pack.RESISTANCE]] ?? '' : entry.characteristic === pack.VOLTAGE ? 'signed, minus to plus' : '',
  };
}

/** above-middle: what is typed, or the last value. */
function last(plan, job, entry, typed, said) {
  const now = typing(job, entry, typed, written);
  if (now) return { ...now, sub: entry.characteristic === pack.RESISTANCE ? windowWords(plan) : '' };
  if (said?.kind === 'resumed') return resumed;
  if (!said || said.kind === 'nothing') return before(plan);
  const done = workLast(said, Date.now());
  if (done) return done;
  const line = causeIn(job, said, entryName, written);
  if (said.kind !== 'taken') return line;
  if (said.entry.kind === 'tick') return { ...line, value: answerWord(said.text), sub: tickLong(said.entry.characteristic) };
  if (said.entry.kind === 'choice') return { ...line, value: answerWord(said.text) };
  if (said.entry.characteristic === pack.RESISTANCE) return { ...line, sub: windowWords(plan) };
  return line;
}

function windowWords(plan) {
  const { resistance_low: low, resistance_high: high } = plan.form;
  return low && high ? `window ${low} to ${high} mΩ` : '';
}

/** faultSentences says each fault so far. */
function faultSentences(f) {
  const out = [];
  const over = (r, name, unit, decimals, times = 1) => {
    const at = (d) => atDecimals(times === 1 ? d : decimal.mul(d, decimal.make(times)), decimals);
    return `${name} ${at(r.value)} ${unit}, ${r.missed === 'high' ? 'over' : 'under'} ${at(r.bound)}`;
  };
  for (const r of f.voltage.results) if (r.verdict === 'fail') out.push(r.code === 'ocv_lowest' ? over(r, `Lowest block, ${r.at},`, 'V', 2) : over(r, 'Spread of voltage', 'mV', 0, 1000));
  for (const r of f.resistance.results) if (r.verdict === 'fail') out.push(over(r, 'Spread of resistance', '%', 1));
  for (const r of f.pack.results) if (r.verdict === 'fail') out.push(r.code === 'series_difference' ? over(r, 'Pack and sum of blocks apart by', 'V', 3) + suspected(f.pack.strings) : over(r, 'Strings apart by', 'V', 3));
  if (f.taps?.swapped.length) out.push(`By the taps ${f.taps.text}`);
  for (const p of f.ticks.faults) out.push(`${tickLong(p.code)}: no`);
  return out;
}

/** suspected says what a series sum that does not agree may mean. */
function suspected(strings) {
  const s = strings.find((x) => x.reversed.length || x.missing.length);
  if (!s) return '';
  const which = (places) => `block ${places.map((i) => i + 1).join(' or ')}`;
  return `. ${s.reversed.length ? `Perhaps ${which(s.reversed)} is reversed` : `Perhaps ${which(s.missing)} is left out`}: read the taps`;
}

/** beside the string: the sum of its blocks against the pack, and the spreads. */
function sums(plan, f) {
  const rows = [];
  for (const s of f.pack.strings) {
    const of = f.pack.strings.length > 1 ? ` ${s.string}` : '';
    const volts = (d) => (d ? `${shown(d)} V` : '');
    if (of) {
      rows.push({ name: `String${of}`, value: volts(s.apart ?? s.sum) });
      continue;
    }
    rows.push({ name: 'Blocks', value: volts(s.sum) }, { name: 'Pack', value: volts(s.whole) });
    rows.push({ rule: true, name: 'Apart', value: volts(s.apart) });
  }
  const high = decimal.plain(limitOf(plan, 'series_difference')?.high);
  const state = f.pack.state === 'fault' ? { tone: 'fail', shape: 'cross', word: 'Apart' } : f.pack.difference ? { tone: 'pass', shape: 'tick', word: 'Agrees' } : { tone: 'plain', shape: 'open', word: 'open' };
  const foot = [];
  const words = (code, decimals, times, low) => {
    const l = limitOf(plan, code);
    const d = decimal.plain(low ? l?.low : l?.high);
    return d ? `${low ? 'from' : 'to'} ${atDecimals(times === 1 ? d : decimal.mul(d, decimal.make(times)), decimals)}` : '';
  };
  const fails = (r) => (f.voltage.results.includes(r) || r === f.resistance.spread) && r.verdict === 'fail';
  if (f.voltage.spread) foot.push({ text: `Spread ${atDecimals(decimal.mul(f.voltage.spread.value, decimal.make(1000)), 0)} mV`, note: words('ocv_spread', 0, 1000), fails: fails(f.voltage.spread) });
  if (f.voltage.lowest) foot.push({ text: `Least ${shown(f.voltage.lowest.value)} V`, note: words('ocv_lowest', 2, 1, true), fails: fails(f.voltage.lowest) });
  if (f.resistance.spread) foot.push({ text: `Spread ${atDecimals(f.resistance.spread.value, 1)} %`, note: words('resistance_spread_pct', 0, 1), fails: fails(f.resistance.spread) });
  const fault = faultSentences(f)[0];
  return { title: 'Series sum', v: state, rows, note: fault ? `${fault}.` : high ? `Up to ${shown(high)} V apart${f.pack.strings.length > 1 ? `; shown: sum, then apart` : ', same meter'}.` : '', foot };
}

function tools(plan, job, entry, f) {
  const newest = lastAnswers(job, pack.allEntries(plan, job));
  const value = newest.length === 1 ? job.values[newest[0].key].text : '';
  const out = [{ does: 'undo', label: 'Undo', small: !newest.length ? 'nothing yet' : newest.length > 1 ? `${newest.length} points of one press` : `${entryName(newest[0])}, ${answerWord(value) || 'not known'}`, disabled: !newest.length && !job.ask && !job.doubt }];
  if (entry?.kind === 'choice') out.push({ does: 'yes', label: 'Yes', small: 'on the charger' }); // Take says no
  else out.push(entry?.group === 'gate' && canEach(plan)
    ? pack.methodOf(plan, job, pack.TEMPERATURE) === pack.EVERY_BLOCK ? { does: 'quick', label: 'One temperature', small: 'for all blocks' } : { does: 'every', label: 'Each block’s temperature', short: 'Each block', small: 'if they differ' }
    : entry?.method === 'number' ? { does: 'camera', label: 'Camera', small: 'for scanning' } : { does: 'reread', label: 'Re-read', small: 'type its number', disabled: !entry?.position });
  if (f.gate.charger === 'yes' && entry?.kind !== 'choice') out.push({ does: 'off', label: 'Off charger', short: 'Off now', small: 'rest begins anew' });
  if (f.voltage.whole && pack.blocksOfString(plan) > 1 && entry && entry.group !== pack.TAPS && entry.kind !== 'tick') out.push({ does: 'taps', label: 'Read taps', short: 'Taps', small: f.taps?.whole ? f.taps.text : 'check the order' });
  if (out.length < 4) out.push({ does: 'leave', label: 'Next pack', small: newest.length ? 'this one waits' : 'nothing read yet' });
  return out;
}

const canEach = (plan) => {
  const methods = plan.specification.characteristics.find((c) => c.code === pack.TEMPERATURE)?.methods ?? [];
  return methods.includes(pack.WHOLE) && methods.includes(pack.EVERY_BLOCK);
};

/** screen describes the bench for a job as it stands. */
function screen(model) {
  const { plan, job, typed, said, walk, narrow, now = Date.now() } = model;
  const entries = pack.entries(plan, job);
  const entry = current(job, entries);
  const f = figuresOf(plan, job);
  const left = open(job, entries);
  const ticking = entry?.kind === 'tick';
  const gauge = entry && !entry.local && !ticking ? gaugeLine(plan, job, entry) : null;
  if (entry?.kind === 'step' || entry?.kind === 'charge') {
    return {
      quick: false, ticking: entry.kind === 'step', working: true, picture: string(plan, job, f, { now: entry, walk, narrow, plain: true }), sets: setRows(plan, job, f, entry, entries, now),
      walked: walk === null || walk === undefined ? '' : blockSpoken(plan, job, f, walk), entry, entries, left, ...workScreen({ ...model, entry }, now),
    };
  }
  const recorded = plan.build ? restLines(plan.build, now)[0] : null;
  const field = fieldFor(job, entry, typed, entries);
  const byRecord = entry?.slot === 'rest_hours' && plan.build ? recordedRest(plan.build, now) : '';
  return {
    title: entry ? `${setName(entry.characteristic)}: pack` : 'Pack read', quick: false, ticking,
    ask: asked(plan, job, entry, f), last: last(plan, job, entry, typed, said),
    third: { bar: entry?.group === 'gate' && !gauge && plan.build ? restBar(plan.build, now) : null, gate: gateLines(plan, f, recorded), gauge },
    picture: string(plan, job, f, { now: entry, walk, narrow }), beside: sums(plan, f),
    sets: setRows(plan, job, f, entry, entries, now), tools: tools(plan, job, entry, f),
    list: ticking ? entries.filter((e) => e.kind === 'tick').map((e) => ({ key: e.key, text: tickLong(e.characteristic), answer: job.values[e.key]?.text ?? '', now: e.key === entry.key })) : null,
    yesNo: entry?.kind === 'choice',
    field: byRecord && !typed ? { ...field, hint: `Enter: ${byRecord}, recorded` } : field, go: goKey(job, entries, entry, left),
    walked: walk === null || walk === undefined ? '' : blockSpoken(plan, job, f, walk), entry, entries, left,
  };
}

const after = { tick: 'the list', step: 'the building', charge: 'the charge' };

function goKey(job, entries, entry, left) {
  if (!entry) return { label: 'Send', small: 'everything is read' };
  if (entry.kind === 'tick') {
    const rest = left.filter((e) => e.kind === 'tick').length;
    return { label: rest > 1 ? 'Yes to the rest' : 'Yes', small: rest > 1 ? `${rest} points, in one press` : '', words: true };
  }
  if (entry.kind === 'choice') return { label: 'No', small: 'off the charger', words: true };
  const next = entries.slice(entries.indexOf(entry) + 1).find((e) => !answered(job, e));
  const then = !next ? (left.length > 1 ? 'then what is open' : 'the last one') : `then ${after[next.kind] ? after[next.kind] : next.group === entry.group && next.position?.[1] ? next.position[1] : entryName(next)}`;
  return { label: 'Take', small: then };
}

/** bench is all that the page needs to know of a pack. */
export const bench = {
  ...pack.shape, path: '/bench', thing: 'pack', letter: 'P', check, checkText, ways, note: tapsNote, readNote: readTapsNote, screen, figures: figuresOf, faultSentences, entryName, written,
  setName: (entry) => setName(entry.characteristic),
  sizeWords: (plan) => `${pack.strings(plan) > 1 ? `${pack.strings(plan)} x ` : ''}${pack.blocksOfString(plan)} blocks`,
  begin: () => ({ [pack.TEMPERATURE]: pack.WHOLE }), every: () => ({ [pack.TEMPERATURE]: pack.EVERY_BLOCK }),
  stations: (plan) => pack.blocks(plan).length,
  stationOf: (plan, entry) => (entry.position?.[1] ? pack.blocks(plan).findIndex((b) => b[0] === entry.position[0] && b[1] === entry.position[1]) : -1),
  usedWords: (plan, job, f) => ({ how: 'Every block', count: `${f.voltage.taken + f.resistance.taken + f.temperature.taken + f.pack.taken} readings, ${f.ticks.wanted} points` }),
  spokenTaken: (said) => [entryName(said.entry), said.value ? shown(said.value) : answerWord(said.text), said.unit ? symbol(said.unit) : ''].filter(Boolean).join(' '),
};
