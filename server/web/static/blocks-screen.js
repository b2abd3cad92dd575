// What is to be seen while blocks come in, as a plain description that
// floor-view.js paints: above the entry in hand, the last value, the last block;
// left what holds for all of them.
import { symbol } from './floor-units.js';
import { shown, list } from './floor-format.js';
import { readTyped } from './floor-reading.js';
import { SECOND, UNITS, unitOf, missing } from './blocks-row.js';

const lead = { number: 'Block', voltage: 'Voltage of', resistance: 'Resistance of', count: 'How many' };
export const verdicts = {
  pass: { tone: 'pass', shape: 'tick', word: 'Passes' }, fail: { tone: 'fail', shape: 'cross', word: 'Fails' },
  provisional: { tone: 'care', shape: 'triangle', word: 'Provisional' }, incomplete: { tone: 'care', shape: 'triangle', word: 'Kept' },
};

/** screenOf describes the page. said is what became of the last entry, typed what stands in the field. */
export function screenOf({ settings, row, units, said, typed, last, counts }) {
  const open = missing(settings);
  const unit = unitOf(row, units);
  const reads = row.at === 'voltage' || row.at === 'resistance';
  const named = row.number || 'a block without a number';
  const ask = open.length ? { lab: 'Before the first', lead: 'Say', big: 'what they are', long: true }
    : row.at === 'number' ? { lab: 'Scan or type', lead: 'Block’s', big: 'number' }
      : row.at === 'count' ? { lab: 'Without numbers', lead: 'How many', big: 'blocks?', long: true }
        : { lab: lead[row.at], lead: named, big: { voltage: 'volts', resistance: 'mΩ' }[row.at] ?? '', how: row.at === 'resistance' ? methodWords(settings.method) : '' };
  return {
    start: false, quick: true, ask, last: lastOf(row, said, typed, unit, reads), third: thirdOf(last, counts),
    sets: setsOf(settings), tools: toolsOf(row), choice: row.ask,
    field: row.at === 'number' ? { says: 'Scan or type', hint: 'or its serial', letters: true }
      : { says: 'By hand or gauge', hint: reads ? 'point or comma' : '', unit, symbol: symbol(unit), units: reads ? UNITS[row.at] : [] },
    go: open.length ? { label: 'Set up', words: true } : { label: 'Take', small: row.at === 'resistance' && settings.stage === SECOND ? 'empty: not read' : '' },
  };
}

const methodWords = (m) => ({ ac_1khz: '1 kHz a.c., four wires', dc_two_point: 'two currents, d.c.' })[m] ?? '';

function lastOf(row, said, typed, unit, reads) {
  if (typed.trim()) {
    const read = reads ? readTyped(typed, { unit, units: UNITS[row.at] }) : null;
    const lab = { tone: 'now', shape: 'square', word: reads && !read.ok ? 'Typing' : 'To take' };
    return { tone: 'typing', lab, rest: reads && !read.ok ? read.reason : '', value: read?.ok ? shown(read.value) : typed.trim(), unit: read?.ok ? symbol(read.unit) : '', text: !read?.ok };
  }
  switch (said?.kind) {
    case 'taken': return { tone: 'taken', lab: { tone: 'pass', shape: 'tick', word: 'Taken' }, rest: { number: 'number', count: 'blocks' }[said.at] ?? said.at, value: said.text, unit: said.unit ?? '', text: !said.unit };
    case 'refused': return { tone: 'refused', lab: { tone: 'fail', shape: 'cross', word: 'Refused' }, rest: '', value: said.text, text: true, struck: true, sub: said.reason };
    case 'ask': return { tone: 'doubt', lab: { tone: 'care', shape: 'triangle', word: 'Which one?' }, rest: '', value: said.text, text: true, sub: 'nothing is taken yet' };
    case 'undone': return { tone: 'undone', lab: { tone: 'plain', shape: 'open', word: 'Undone' }, rest: '', value: said.text, text: true };
    default: return { tone: '', lab: { tone: 'plain', shape: 'open', word: 'Nothing taken yet' }, value: '', sub: '' };
  }
}

function thirdOf(last, counts) {
  const lines = [counts.taken ? `${counts.taken} taken in this sitting` : 'None taken in this sitting yet'];
  if (counts.failing) lines.push(`${counts.failing} outside a limit`);
  if (!last) return { lab: 'The block before', lines };
  const v = last.state === 'taken' ? verdicts[last.verdict] ?? { tone: 'plain', shape: 'tick', word: 'Taken in' } : last.state === 'waiting' ? { tone: 'plain', shape: 'lines', word: 'Waits for the office' } : { tone: 'fail', shape: 'cross', word: 'Not taken in' };
  return { lab: `${last.name}`, v, lines, note: last.says.join(' ') };
}

function setsOf(settings) {
  const row = (key, name, value, sub) => ({ key, name, value: '', sub, phone: { name: value || name, value: '' }, v: value ? { tone: 'plain', shape: 'tick', word: value } : { tone: 'care', shape: 'triangle', word: 'to say' } });
  return [
    row('model', settings.stage === SECOND ? 'Second reading' : 'Incoming', settings.model ? (settings.lot || 'no lot') : '', settings.model?.name ?? ''),
    row('rest', 'Rested', settings.rest ? `${settings.rest} h` : '', settings.onCharger ? 'on the charger' : 'off the charger'),
    row('temperature', 'Temperature', settings.temperature ? `${settings.temperature} °C` : '', 'of all of them'),
    row('method', 'Resistance', settings.method ? { ac_1khz: '1 kHz a.c.', dc_two_point: 'two-point d.c.' }[settings.method] : '', list(Object.values(settings.gauges).filter(Boolean))),
  ];
}

function toolsOf(row) {
  const undo = { does: 'undo', label: 'Undo', small: row.at === 'number' ? 'the block before' : 'the last entry' };
  if (row.at === 'number') return [undo, { does: 'unnumbered', label: 'No number', small: 'it gets a serial' }, { does: 'count', label: 'Only count', small: 'without readings' }, { does: 'camera', label: 'Camera', small: 'for scanning' }]; // what holds for all is set up by its rows beside
  return [undo, { does: 'damaged', label: row.damaged ? 'Damaged' : 'Case sound', small: row.damaged ? 'press: sound' : 'press: damaged' }, { does: 'setup', label: 'Set up', small: 'model, lot, rest' }];
}
