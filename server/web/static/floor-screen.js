// Pieces of a screen that wheel and pack share. A screen is a plain
// description of what is to be seen; floor-view.js paints it.
import { awaitsSpoke, untouched } from './floor-job.js';
import { readEntry, unitOf } from './floor-take.js';
import { instrumentOf, instrumentsFor } from './floor-plan.js';
import { symbol } from './floor-units.js';
import { shown, day, clock, moment, capital } from './floor-format.js';
import { lacking } from './floor-lacking.js';
import * as decimal from './floor-decimal.js';
import { finer, valueOf } from './floor-reading.js';
import { gaugeName, gaugeKind, plainWords } from './stand-words.js';

export const marks = {
  passes: { tone: 'pass', shape: 'tick', word: 'Passes' },
  fault: { tone: 'fail', shape: 'cross', word: 'Fails' },
  open: { tone: 'plain', shape: 'open', word: 'Open' },
  now: { tone: 'now', shape: 'square', word: 'Open' },
  read: { tone: 'plain', shape: 'tick', word: 'Read' },
};

/** gaugeLine says with what the entry in hand is read, and whether it is in date. */
export function gaugeLine(plan, job, entry) {
  if (!entry?.characteristic) return null;
  const usable = instrumentsFor(plan, entry.characteristic);
  const kind = plan.specification.characteristics.find((c) => c.code === entry.characteristic)?.instrument;
  if (!kind) return null;
  const i = instrumentOf(plan, job, entry.characteristic);
  if (!i) return { name: `No ${gaugeKind(kind).toLowerCase()} in use`, choices: 0, state: { tone: 'care', shape: 'triangle', text: 'the owner or an inspector adds one under Instruments' } };
  const u = decimal.plain(i.uncertainty);
  const line = { code: i.code, name: gaugeName(i), more: u ? `±${shown(u)} ${symbol(i.unit)}` : '', choices: usable.length };
  if (i.outNote) line.state = { tone: 'care', shape: 'triangle', text: `${i.code} is out of use, and may be used: ${i.outNote}`, short: 'out of use' };
  else if (i.checks === 'failed') line.state = { tone: 'care', shape: 'triangle', text: `${i.code} failed its last check`, short: 'check failed' };
  else if (i.overdue) line.state = { tone: 'care', shape: 'triangle', text: `${i.code} is overdue since ${day(i.dueOn)}`, short: 'overdue' };
  else if (finerTaken(job, entry, i)) line.state = { tone: 'care', shape: 'triangle', text: `more digits than ${i.code} shows` };
  else if (i.checks === 'due') line.state = { tone: 'care', shape: 'triangle', text: `${i.code}: check it today`, short: 'check due' };
  else line.state = { tone: 'pass', shape: 'tick', text: i.dueOn ? `in date to ${day(i.dueOn)}` : 'no due date in the register' };
  return line;
}

/** finerTaken says whether a reading of this characteristic has more digits than its instrument shows. */
function finerTaken(job, entry, instrument) {
  if ((job.units[entry.characteristic] ?? entry.unit) !== instrument.unit) return false;
  return Object.entries(job.values).some(([key, v]) => {
    const value = key.startsWith(entry.characteristic + '/') ? valueOf(v.text) : null;
    return value && finer(value, instrument);
  });
}

/** typing is the value as it would be taken, before Take. */
export function typing(job, entry, typed, written) {
  if (!entry || entry.kind === 'tick' || entry.kind === 'choice' || typed.trim() === '') return null;
  if (entry.kind === 'text') return { tone: 'typing', lab: { tone: 'now', shape: 'square', word: 'To take' }, value: typed.trim(), text: true };
  if (awaitsSpoke(job, entry)) return null;
  const read = readEntry(job, entry, typed);
  if (!read.ok) {
    return { tone: 'typing', lab: { tone: 'now', shape: 'square', word: 'Typing' }, rest: read.reason, value: typed.trim(), text: true };
  }
  return {
    tone: 'typing', lab: { tone: 'now', shape: 'square', word: 'To take' },
    rest: `typed ${typed.trim()}`, restMore: read.hundredths ? ', in hundredths' : '',
    value: written(entry, read.value), unit: symbol(read.unit), read,
  };
}

/** causeIn is the last value with what became of it: taken, refused, to be read again. */
export function causeIn(job, said, name, written) {
  const e = said.entry;
  if (said.kind === 'unsent') {
    return { tone: 'doubt', lab: { tone: 'care', shape: 'triangle', word: 'Not sent' }, rest: '', value: '', text: true, sub: said.reason };
  }
  const value = said.value ? written(e, said.value) : said.text ?? '';
  const unit = said.unit ? symbol(said.unit) : '';
  switch (said.kind) {
    case 'refused':
      return { tone: 'refused', lab: { tone: 'fail', shape: 'cross', word: 'Refused' }, rest: e ? name(e) : '', value: said.text, text: true, struck: true, sub: said.reason };
    case 'doubt':
      return { tone: 'doubt', lab: { tone: 'care', shape: 'triangle', word: 'Read again' }, rest: name(e), value, unit, sub: said.reason.replace(/^Read again: /, '') };
    case 'ask':
      return { tone: 'doubt', lab: { tone: 'care', shape: 'triangle', word: 'Which one?' }, rest: name(e), value, unit, sub: 'nothing is taken yet' };
    case 'undone':
      return { tone: 'undone', lab: { tone: 'plain', shape: 'open', word: 'Undone' }, rest: said.name, value: said.text, unit, text: said.long, sub: 'taken back, kept as an event' };
    default:
      return { tone: 'taken', lab: { tone: 'pass', shape: 'tick', word: 'Taken' }, rest: name(e), value, unit, text: !said.value };
  }
}

/** stands is what an item is already, where that is more than its last verdict. */
const stands = {
  released: { tone: 'plain', shape: 'tick', word: 'Certified' }, shipped: { tone: 'plain', shape: 'tick', word: 'Shipped' },
  recalled: { tone: 'care', shape: 'triangle', word: 'Called back' }, scrapped: { tone: 'care', shape: 'triangle', word: 'Scrapped' }, returned_to_supplier: { tone: 'care', shape: 'triangle', word: 'Sent back to its supplier' },
};

/** before says what should be known of an item before its first reading: why it is on hold, newest first, which gauge is missing, what it is already, or an earlier verdict. */
export function before(plan) {
  const { holds } = plan;
  const missing = lacking(plan);
  if (holds.length) {
    const why = holds.map((h) => [capital(h.name || plainWords(h.code)), h.message || h.reason].filter(Boolean).join(': ').replace(/\.$/, '')).reverse();
    return { tone: 'doubt', lab: { tone: 'hold', shape: 'bars', word: 'On hold' }, rest: holds.length > 1 ? `by ${holds.length} holds` : '', value: '', sub: [why.join('. '), missing].filter(Boolean).join('. ') };
  }
  const state = stands[plan.item?.state];
  if (missing) {
    const care = state?.tone === 'care'; // It is the more to know.
    return { tone: 'doubt', lab: care ? state : { tone: 'care', shape: 'triangle', word: 'A gauge is missing' }, rest: '', value: '', sub: [care ? '' : state?.word, missing].filter(Boolean).join('. ') };
  }
  const earlier = plan.standing[0];
  const nothing = { tone: state?.tone === 'care' ? 'doubt' : '', lab: state ?? { tone: 'plain', shape: 'open', word: 'Nothing read yet' }, rest: '', value: '', sub: '' };
  if (!earlier) return nothing;
  const word = { pass: 'passed', fail: 'failed' }[earlier.verdict] ?? earlier.verdict;
  return { ...nothing, sub: `${earlier.person || 'Somebody'} judged it ${moment(earlier.measured_at)}: ${word}. Both are kept.` };
}

/** resumed stands where the last value does when a draft was taken up again. */
export const resumed = { tone: '', lab: { tone: 'plain', shape: 'tick', word: 'Taken up' }, rest: '', value: '', sub: 'where it was left' };

/** lineState says how the page and the office stand. */
export function lineState(save) {
  switch (save.state) {
    case 'unreachable': return { ok: false, shape: 'lines', text: { 401: 'not saved: sign in again', 403: 'not saved: not yours to do' }[save.status] ?? (save.kept ? 'kept on this tablet' : 'not saved: no answer') };
    case 'taken': return { ok: false, shape: 'triangle', text: 'taken over' };
    case 'saving': case 'waiting': return { ok: true, shape: 'open', text: 'saving' };
    default: return { ok: true, shape: 'tick', text: save.savedAt ? `saved ${clock(save.savedAt)}` : 'all saved' };
  }
}

/** fieldFor is the capture field for an entry in hand. */
export function fieldFor(job, entry, typed, entries = []) {
  if (!entry) return { says: '', hint: '', units: [] };
  if (entry.kind === 'tick' || entry.kind === 'choice') return { says: 'By keys', hint: entry.kind === 'choice' ? 'y or n' : untouched(job, entries) ? 'y, n, a; Enter: all yes' : 'y, n or a', units: [] };
  if (entry.kind === 'text') return { says: entry.field ?? 'Scan or type', hint: entry.optional ? 'empty: not known' : '', units: [], letters: true };
  if (awaitsSpoke(job, entry)) return { says: 'Spoke number', hint: 'where it was read', units: [] };
  const unit = unitOf(job, entry);
  const hundredths = entry.hundredths;
  const read = typed.trim() ? readEntry(job, entry, typed) : null;
  return {
    says: hundredths ? 'Hundredths, by hand' : 'By hand', unit, units: entry.units ?? [],
    hint: read?.hundredths ? `${typed.trim()} is ${shown(read.value)}` : hundredths ? '12 is 0.12' : 'point or comma',
  };
}
