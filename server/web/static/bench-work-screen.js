// The bench while a pack is built and charged: the steps in the keypad's place,
// the charge with its rest, and the cautions beside the string, where sums stand
// later.
import { clock, list, moment, shown } from './floor-format.js';
import { readTyped } from './floor-reading.js';
import { cautionsAt, lastDone, restOf, spanText, stepsOf, takenBack, PROVISIONAL, STRINGS_JOINED } from './bench-work.js';

const care = (text) => ({ tone: 'care', shape: 'triangle', text });
const ok = (text) => ({ tone: 'pass', shape: 'tick', text });
const open = (text) => ({ tone: 'plain', shape: 'open', text });

/** who is a person and a moment: Marek Dovan, 10:12. */
const who = (name, at) => [name, moment(at)].filter(Boolean).join(', ');

/** restLines are the rest by the record in words, its answer first; none before a charge is recorded. */
export function restLines(build, now) {
  const rest = restOf(build, now);
  switch (rest.state) {
    case 'none': return [];
    case 'charging': return [care(`On ${rest.charger || 'the charger'}`), open(`since ${moment(rest.since, now)}, ${build.charge.started_by}`)];
    case 'short': return [care(`Rests, ${spanText(rest.hours)}`), open(`provisional from ${moment(rest.provisional, now)}, in full from ${moment(rest.opens, now)}`)];
    case 'provisional': return [care(`Rests, ${spanText(rest.hours)}: provisional`), open(`in full from ${moment(rest.opens, now)}; a reading before is judged and printed as provisional`)];
    default: return [ok(`Rested ${spanText(rest.hours)}`)];
  }
}

/** restBar is how much of the rest is over, drawn; null while none counts. */
export function restBar(build, now) {
  const rest = restOf(build, now);
  if (rest.hours === undefined) return null;
  const span = Math.max(rest.wanted * 1.08, rest.hours);
  return { full: rest.hours / span, mark: rest.wanted / span, over: rest.state === 'rested', from: `off charge ${moment(rest.since, now)}`, to: `${rest.wanted} h needed` };
}

/** workRows are the rows of building and charge in the list of sets. */
export function workRows(build, now) {
  const { all, done } = stepsOf(build);
  const rest = restOf(build, now);
  const v = {
    none: open(''), charging: care(''), short: care(''), provisional: care(''), rested: ok(''),
  }[rest.state];
  const word = { none: 'Open', charging: 'Charging', short: 'Rests', provisional: 'Provis.', rested: 'Rested' }[rest.state];
  return {
    build: { count: done, of: all.length, v: done === all.length ? { tone: 'pass', shape: 'tick', word: 'Done' } : { tone: done ? 'care' : 'plain', shape: done ? 'triangle' : 'open', word: 'Open' } },
    charge: { value: rest.hours === undefined ? '' : `${Math.floor(rest.hours)} h`, v: { tone: v.tone, shape: v.shape, word } },
  };
}

/** workScreen describes what is to be seen while a step or the charge is in hand. */
export function workScreen({ plan, entry, typed, said, work = { volts: 0, again: false } }, now) {
  const { build } = plan;
  const part = entry.group === 'build' ? steps(build, entry, work) : charge(build, work, now);
  const notes = cautionsAt(build, entry.group === 'build' ? 'joining' : 'charging');
  return {
    ...part, last: last(build, entry, typed, said, now),
    third: { bar: restBar(build, now), gate: entry.group === 'build' ? stepLines(build, now) : chargeLines(build, now) },
    beside: { title: 'Caution', v: { tone: 'care', shape: 'triangle', word: '' }, notes },
  };
}

// --- building ---

function steps(build, entry, work) {
  const { all, done } = stepsOf(build);
  const step = all.find((s) => s.code === entry.slot);
  const joins = step.code === STRINGS_JOINED && !step.done;
  const rows = all.map((s) => ({ code: s.code, text: s.words, done: s.done, waits: Boolean(s.waits), now: s.code === step.code, who: s.done ? [who(s.done_by, s.done_at), s.string_volts?.length ? `at ${list(s.string_volts)} V` : ''].filter(Boolean).join(', ') : '' }));
  const undo = lastDone(build);
  const left = all.filter((s) => !s.done && s.code !== step.code);
  const tools = [{ does: 'undo', label: 'Undo', small: undo ? undo.words : 'nothing yet', disabled: !undo && !work.volts }, { does: 'readings', label: 'Readings', small: 'go on without' }];
  if (joins) {
    return {
      title: 'Building: pack', steps: rows, tools,
      ask: { lab: `${step.words}, step ${all.indexOf(step) + 1} of ${all.length}`, lead: 'Voltage of', big: `string ${work.volts + 1}`, long: true, how: 'rested, same meter' },
      field: { says: `String ${work.volts + 1}`, hint: build.join_limit_v ? `at most ${build.join_limit_v} V apart` : '', unit: 'V', units: ['V', 'mV'] }, go: { label: 'Take', small: `string ${work.volts + 1}` },
    };
  }
  return {
    title: 'Building: pack', steps: rows, tools,
    ask: { lab: `Step ${all.indexOf(step) + 1} of ${all.length}, ${done} done`, lead: '', big: step.words, words: true },
    field: { says: 'By keys', hint: step.done ? 'Enter: go on' : 'Enter: done', units: [] },
    go: step.done ? { label: 'Go on', small: left.length ? left[0].words : 'to the charge', words: true } : { label: 'Done', small: left.length ? `then ${left[0].words.toLowerCase()}` : 'then the charge', words: true },
  };
}

function stepLines(build, now) {
  const { all, done } = stepsOf(build);
  const out = [done === all.length ? ok(`All ${all.length} steps are done`) : open(`${done} of ${all.length} steps done`)];
  out.push(...takenBack(build).slice(0, 3).map((text) => ({ tone: 'plain', shape: 'bar', text })));
  const waits = all.filter((s) => s.waits).length;
  if (waits) out.push({ tone: 'plain', shape: 'lines', text: `${waits} kept here, sent when the office answers` });
  const rest = restLines(build, now);
  out.push(rest[0] ? { ...rest[0] } : open('no charge recorded yet'));
  return out;
}

// --- charge ---

function charge(build, work, now) {
  const c = build.charge;
  const rest = restOf(build, now);
  if (rest.state === 'charging') {
    const load = c.kind === 'load';
    return {
      title: 'Charge: pack', tools: [{ does: 'readings', label: 'Readings', small: 'go on without' }],
      ask: { lab: `On ${c.charger || 'the charger'} since ${moment(c.started_at, now)}`, lead: load ? 'Load off,' : 'Off the', big: load ? 'in ampere' : 'charger', how: 'its end current, or Enter' },
      field: { says: 'Current at the end', hint: 'Enter: not read', unit: 'A', units: ['A'] }, go: { label: load ? 'Load off' : 'Off charger', small: 'rest counts from now', words: true },
    };
  }
  if (rest.state === 'none' || work.again) {
    return {
      title: 'Charge: pack', tools: [{ does: 'readings', label: 'Readings', small: 'go on without' }, { does: 'load', label: 'Short load', small: 'takes surface charge off' }],
      ask: { lab: c ? 'Once more' : 'No charge recorded', lead: 'Onto the', big: 'charger', how: 'its name, or Enter' },
      field: { says: 'Charger', hint: 'scan or type', units: [], letters: true }, go: { label: 'On charger', small: 'begins now', words: true },
    };
  }
  return {
    title: 'Charge: pack', tools: [{ does: 'charge-again', label: 'Charge again', small: 'or a short load' }],
    ask: { lab: `Charged${c.end_current_a ? `, ${c.end_current_a} A at the end` : ''}`, lead: rest.state === 'rested' ? 'Rested' : 'Rests', big: spanText(rest.hours), long: true, how: rest.state === 'rested' ? `of ${rest.wanted} h: it may be read` : `of ${rest.wanted} h, full at ${moment(rest.opens, now)}` },
    field: { says: 'By keys', hint: 'Enter: to the readings', units: [] },
    go: { label: 'Readings', small: { rested: 'rested in full', provisional: 'judged as provisional', short: `not judged before ${clock(rest.provisional)}` }[rest.state], words: true },
  };
}

function chargeLines(build, now) {
  const c = build.charge;
  const lines = restLines(build, now);
  if (!c) return [open('No charge recorded'), open(`after it ${build.rest_hours} h of rest; provisional from ${Math.min(PROVISIONAL, build.rest_hours)} h`)];
  if (c.ended_at) {
    lines.push(ok(`on ${c.charger || 'the charger'} ${moment(c.started_at, now)}, ${c.started_by}`), ok(`off ${moment(c.ended_at, now)}${c.end_current_a ? ` at ${c.end_current_a} A` : ''}, ${c.ended_by}`));
  }
  if (c.waits) lines.push({ tone: 'plain', shape: 'lines', text: 'kept here, sent when the office answers' });
  return lines;
}

// --- the last thing done ---

/** workLast is the last thing done to a pack; null where the last thing was no work. */
export function workLast(said, now) {
  const taken = (word, rest, value, more = {}) => ({ tone: 'taken', lab: { tone: 'pass', shape: 'tick', word }, rest, value, text: true, ...more });
  switch (said?.kind) {
    case 'done': return taken('Done', clock(now), said.text, { words: true });
    case 'back': return { tone: 'undone', lab: { tone: 'plain', shape: 'open', word: 'Taken back' }, rest: clock(now), value: said.text, text: true, words: true, sub: 'both stay on record' };
    case 'volts': return taken('Taken', `string ${said.n}`, said.text, { text: false, unit: said.unit });
    case 'begun': return taken(said.what === 'load' ? 'Under load' : 'On the charger', clock(now), said.text || 'not named');
    case 'ended': return taken('Off the charger', clock(now), said.text || 'not read', { text: !said.text, unit: said.text ? 'A' : '' });
    default: return null;
  }
}

function last(build, entry, typed, said, now) {
  if (typed.trim()) {
    const letters = entry.kind === 'charge' && (!build.charge || build.charge.ended_at);
    const read = letters ? { ok: true, text: typed.trim() } : readTyped(typed, { unit: entry.kind === 'charge' ? 'A' : 'V', units: ['V', 'mV', 'A'] });
    return { tone: 'typing', lab: { tone: 'now', shape: 'square', word: read.ok ? 'To take' : 'Typing' }, rest: read.ok ? '' : read.reason, value: letters || !read.ok ? typed.trim() : shown(read.value), text: letters || !read.ok, unit: letters || !read.ok ? '' : entry.kind === 'charge' ? 'A' : 'V' };
  }
  if (said?.kind === 'refused') return { tone: 'refused', lab: { tone: 'fail', shape: 'cross', word: 'Refused' }, rest: '', value: said.text, text: true, struck: true, sub: said.reason };
  const newest = lastDone(build);
  return workLast(said, now) ?? { tone: '', lab: { tone: 'plain', shape: newest ? 'tick' : 'open', word: newest ? 'Last' : 'Nothing done yet' }, rest: newest ? who(newest.done_by, newest.done_at) : '', value: newest?.words ?? '', text: true, words: true, sub: '' };
}
