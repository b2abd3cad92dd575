// One block as it comes in: its number, its voltage, its resistance, in this
// order; doubts on the way, and what is sent of it. Nothing here knows of pages.
//
// Windows of voltage are common practice, no source: a lead-acid cell between
// 1.5 and 2.7 V, a lithium cell between 1.5 and 4.4 V; of resistance from half
// the model's window to twice it. The sign of a voltage is the person's: a
// reversed block is taken with its minus and judged.
import * as decimal from './floor-decimal.js';
import { readTyped } from './floor-reading.js';
import { inUnit, symbol } from './floor-units.js';
import { scanned, noBlock, printed, serialOf } from './floor-serial.js';
import { shown } from './floor-format.js';

export const SECOND = 'second_reading';
export const UNITS = { voltage: ['V', 'mV'], resistance: ['mohm', 'ohm', 'uohm', 'S'] };
const MOST = 500; // blocks of one row
const COPIED = 3; // rows alike, one after the other

/** begin is a row with nothing in it yet. */
export const begin = (id) => ({ id, at: 'number', number: '', count: 0, voltage: null, resistance: null, asTyped: false, damaged: false, ask: null });

/** unitOf is the unit that the step in hand is read in. */
export const unitOf = (row, units) => units[row.at] ?? UNITS[row.at]?.[0] ?? '';

/** whole says whether nothing more is asked for. */
export const whole = (row) => row.at === 'done';

const refused = (row, text, reason) => ({ row, said: { kind: 'refused', at: row.at, text, reason } });

/**
 * take reads one entry. before are the rows before it, newest first. It gives
 * the row as it then is and what became of the entry: {kind: 'taken' | 'refused'
 * | 'ask' | 'nothing'}.
 */
export function take(row, typed, { settings, units, before = [] }) {
  if (row.at === 'number') return takeNumber(row, typed, before);
  if (row.at === 'count') return takeCount(row, typed);
  const text = typed.trim();
  if (!text) {
    if (row.at === 'resistance' && settings.stage === SECOND) return next({ ...row, at: 'done' }, { kind: 'taken', at: 'resistance', text: 'not read' }, before);
    return { row, said: { kind: 'nothing' } };
  }
  if (scanned(text) !== null) return refused(row, text, 'That is a scan; a reading is awaited');
  const read = readTyped(text, { unit: unitOf(row, units), units: UNITS[row.at] });
  if (!read.ok) return refused(row, text, read.reason);
  if (row.at === 'resistance' && decimal.sign(read.value) <= 0) return refused(row, text, `${shown(read.value)} is no resistance`);
  const doubt = doubtOf(read, row.at, settings.model);
  if (doubt) return { row: { ...row, ask: { ...doubt, read } }, said: { kind: 'ask', at: row.at, text, reason: doubt.text } };
  return keep(row, read, before);
}

/**
 * takeGauge reads a value that a gauge posted to this place: {value, unit,
 * instrument}. Only a reading takes one, by a gauge of its kind; gauges are those
 * that hold from now on. The rest is as take gives it.
 */
export function takeGauge(row, { value, unit = '', instrument = '' }, { settings, known, ...rest }) {
  const text = `${value} ${unit}`.trim().slice(0, 40);
  const { gauges } = settings;
  if (row.ask || !UNITS[row.at]) return { ...refused(row, text, 'No reading is awaited'), gauges };
  if (instrument && !known[row.at]?.some((g) => g.code === instrument)) return { ...refused(row, text, `${instrument} does not read this`), gauges };
  return { ...take(row, text, { settings, ...rest }), gauges: instrument ? { ...gauges, [row.at]: instrument } : gauges };
}

function takeNumber(row, typed, before) {
  const number = (scanned(typed) ?? typed).trim();
  if (!number) return { row, said: { kind: 'nothing' } };
  if (number.length > 80) return refused(row, number.slice(0, 24), 'That is no number of a block');
  if (noBlock(number)) return refused(row, number, noBlock(number));
  if (serialOf(number).error === 'check') return refused(row, number, 'A character was misread: the check character does not fit');
  if (before.some((b) => b.number.toLowerCase() === number.toLowerCase())) return refused(row, number, 'It was taken a moment ago');
  return { row: { ...row, number, count: 0, at: 'voltage' }, said: { kind: 'taken', at: 'number', text: number } };
}

/** labelAgainst says why a label of ours cannot come in with this model; '' where it can. plan is what the office knows of it. */
export function labelAgainst(plan, model, stage) {
  if (plan.product && plan.product.id !== model.id) return `${printed(plan.serial)} is a label of ${plan.product.name}`;
  if (plan.source === 'roll' && stage === SECOND) return `${printed(plan.serial)} is no block yet: take it in first`;
  return '';
}

function takeCount(row, typed) {
  const n = /^\d{1,3}$/.test(typed.trim()) ? Number(typed.trim()) : 0;
  if (n < 1 || n > MOST) return refused(row, typed.trim(), `How many: 1 to ${MOST}`);
  return { row: { ...row, count: n, at: 'done' }, said: { kind: 'taken', at: 'count', text: String(n) } };
}

function keep(row, read, before) {
  const value = { text: read.text, unit: read.unit, value: read.value };
  const after = row.at === 'voltage' ? 'resistance' : 'done';
  return next({ ...row, [row.at]: value, at: after, ask: null }, { kind: 'taken', at: row.at, text: shown(read.value), unit: symbol(read.unit) }, before);
}

/** next asks about a whole row that looks copied from the two before it. */
function next(row, said, before) {
  const same = (a, b) => a.voltage?.text === b.voltage?.text && a.resistance && a.resistance.text === b.resistance?.text;
  const last = before.filter((b) => b.voltage).slice(0, COPIED - 1);
  if (row.at !== 'done' || row.asTyped || last.length < COPIED - 1 || !last.every((b) => same(row, b))) return { row, said };
  const ask = { text: `${COPIED} blocks alike to the last digit: were they measured?`, options: [{ label: 'They were', does: 'stands' }, { label: 'Read again', does: 'again' }] };
  return { row: { ...row, at: 'resistance', ask }, said: { ...said, kind: 'ask', reason: ask.text } };
}

/** windowOf is what a block can plausibly show; null where its model does not say. */
export function windowOf(at, model) {
  if (at === 'voltage') {
    const lead = !['lifepo4', 'li_ion'].includes(model.chemistry);
    return { unit: 'V', low: decimal.make(15 * model.cells, 1), high: decimal.make((lead ? 27 : 44) * model.cells, 1) };
  }
  const low = decimal.plain(model.low);
  const high = decimal.plain(model.high);
  return low && high ? { unit: 'mohm', low: decimal.half(low), high: decimal.add(high, high) } : null;
}

const inside = (v, w) => v && decimal.cmp(decimal.abs(v), w.low) >= 0 && decimal.cmp(decimal.abs(v), w.high) <= 0;

/** doubtOf asks which unit was meant, where the number fits in another. Nothing is converted before a key is pressed. */
function doubtOf(read, at, model) {
  const window = windowOf(at, model);
  if (!window || inside(inUnit(read.value, read.unit, window.unit), window)) return null;
  const other = UNITS[at].find((u) => u !== read.unit && inside(inUnit(read.value, u, window.unit), window));
  if (!other) return null;
  const as = decimal.roundTo(inUnit(read.value, other, window.unit), 3);
  return {
    text: `${shown(read.value)}: ${symbol(other)}? It would be ${shown(as)} ${symbol(window.unit)}`,
    options: [{ label: `${shown(read.value)} ${symbol(other)}`, does: 'unit', unit: other }, { label: `${shown(read.value)} ${symbol(read.unit)}`, small: 'as typed', does: 'sure', unit: read.unit }],
  };
}

/** resolve answers the question in hand by its option; units are then those that hold from now on. */
export function resolve(row, option, { units, before = [] }) {
  const { ask } = row;
  if (option.does === 'again') return { row: { ...row, ask: null, resistance: null, voltage: null, at: 'voltage' }, said: { kind: 'refused', at: 'voltage', text: '', reason: 'Read it again' }, units };
  if (option.does === 'stands') return { row: { ...row, ask: null, asTyped: true, at: 'done' }, said: { kind: 'taken', at: 'resistance', text: row.resistance ? shown(row.resistance.value) : '' }, units };
  const kept = keep({ ...row, ask: null, asTyped: row.asTyped || option.does === 'sure' }, { ...ask.read, unit: option.unit }, before);
  return { ...kept, units: { ...units, [row.at]: option.unit } };
}

/** back takes the last entry of a row back; null where there is none. */
export function back(row) {
  if (row.ask) return { ...row, ask: null };
  if (row.at === 'count') return { ...row, at: 'number' };
  if (row.at === 'resistance') return { ...row, at: 'voltage', voltage: null, asTyped: false };
  if (row.at === 'voltage') return { ...row, at: 'number', number: '', count: 0, damaged: false };
  return null;
}

/** request is what is sent of a whole row: a list of one. */
export function request(row, settings, now) {
  const sent = { id: row.id };
  if (row.number) sent.number = row.number;
  else sent.count = row.count;
  if (row.voltage) sent.voltage = row.voltage.text;
  if (row.resistance) Object.assign(sent, { resistance: row.resistance.text, resistance_unit: row.resistance.unit });
  if (row.damaged) sent.case_sound = 'no';
  if (row.asTyped) sent.as_typed = true;
  const body = { model: settings.model.id, stage: settings.stage, rows: [sent] };
  if (settings.lot) body.lot = settings.lot;
  if (settings.dateCode) body.date_code = settings.dateCode;
  if (!row.voltage) return body;
  Object.assign(body, { measured_at: new Date(now).toISOString(), rest_hours: settings.rest, on_charger: settings.onCharger, temperature_c: settings.temperature, voltage_unit: row.voltage.unit, gauges: settings.gauges });
  if (row.resistance) body.method = settings.method;
  if (settings.sound) body.case_sound = 'yes';
  return body;
}

/** rowOf is the row that was sent so: of one that an earlier page left here. */
export function rowOf(body) {
  const [sent] = body.rows;
  const value = (text, unit) => (text ? { text, unit, value: decimal.plain(text) } : null);
  return { ...begin(sent.id), at: 'done', number: sent.number ?? '', count: sent.count ?? 0, voltage: value(sent.voltage, body.voltage_unit), resistance: value(sent.resistance, sent.resistance_unit), asTyped: Boolean(sent.as_typed), damaged: sent.case_sound === 'no' };
}

/** missing lists what the settings do not say yet, in words. */
export function missing(settings) {
  const out = [];
  if (!settings.model) out.push('which model they are');
  if (!settings.rest) out.push('how long they rested');
  if (!settings.temperature) out.push('the temperature');
  if (!settings.method && settings.stage !== SECOND) out.push('how resistance is measured');
  return out;
}

/** canStand says whether every problem of a refused row is one that a person may overrule. */
export function canStand(errors) {
  const doubtful = ['resistance_outside_window', 'resistance_unit_offered', 'rows_alike'];
  return errors.length > 0 && errors.every((e) => doubtful.includes(e.code));
}

/** toRead takes a refused row up again at the first entry that a problem names. */
export function toRead(row, errors) {
  const fields = errors.map((e) => /^rows\[0\]\.(\w+)/.exec(e.field ?? '')?.[1] ?? '');
  if (fields.includes('number') || fields.includes('count') || !row.voltage) return { ...row, at: 'number', number: '', voltage: null, resistance: null, asTyped: false, ask: null };
  if (fields.includes('voltage')) return { ...row, at: 'voltage', voltage: null, resistance: null, asTyped: false, ask: null };
  return { ...row, at: 'resistance', resistance: null, asTyped: false, ask: null };
}
