import test from 'node:test';
import assert from 'node:assert/strict';
import * as rows from '../blocks-row.js';
import { settingsOf } from '../blocks-setup.js';
import { KeptRows, Passing, keepHand, keepSitting, keptHand, keptSitting } from '../blocks-kept.js';

// A 12 V block of 12 Ah: window 6 to 30 milliohm, doubted below 3 and above 60.
const model = { id: 'm1', name: 'Halden 12-12', chemistry: 'agm', cells: 6, low: '6', high: '30', method: 'ac_1khz' };
const incoming = { model, stage: 'incoming', lot: 'BL-1', dateCode: '', rest: '72', onCharger: false, temperature: '23', method: 'ac_1khz', sound: true, gauges: { voltage: 'V-1', resistance: 'R-1', temperature: 'H-1' } };

/** typed takes entries one after the other. */
function typed(entries, { settings = incoming, before = [], units = {}, row = rows.begin('r1') } = {}) {
  let said = null;
  for (const e of entries) ({ row, said } = rows.take(row, e, { settings, units, before }));
  return { row, said };
}

test('a gauge of its kind posts a reading, and only while one is awaited', () => {
  const known = { voltage: [{ code: 'V-1' }, { code: 'V-2' }], resistance: [{ code: 'R-1' }] };
  const post = (row, reading) => rows.takeGauge(row, reading, { settings: incoming, units: {}, known });
  const named = { ...rows.begin('i'), number: 'H12-1', at: 'voltage' };
  const taken = post(named, { value: '12,871', unit: 'V', instrument: 'V-2' });
  assert.deepEqual([taken.said.kind, taken.row.voltage.text, taken.row.at, taken.gauges.voltage, taken.gauges.resistance], ['taken', '12,871', 'resistance', 'V-2', 'R-1']);
  assert.equal(post(named, { value: '12871', unit: 'mV' }).row.voltage.unit, 'mV');
  assert.equal(post(named, { value: '12.87', unit: 'V' }).gauges.voltage, 'V-1');
  for (const [row, reading, reason] of [
    [rows.begin('i'), { value: '12.87', unit: 'V' }, 'No reading is awaited'],
    [named, { value: '12.87', unit: 'V', instrument: 'R-1' }, 'R-1 does not read this'],
    [{ ...named, ask: { text: '?', options: [] } }, { value: '12.87', unit: 'V' }, 'No reading is awaited'],
  ]) {
    const got = post(row, reading);
    assert.deepEqual([got.said.kind, got.said.reason, got.row, got.gauges], ['refused', reason, row, incoming.gauges]);
  }
  assert.equal(post(named, { value: '23.4', unit: 'degC' }).said.kind, 'refused');
});

test('a block is its number, its voltage, its resistance', () => {
  const { row } = typed(['H12-1', '12,880', '14.2']);
  assert.ok(rows.whole(row));
  assert.deepEqual(rows.request(row, incoming, 0), {
    model: 'm1', stage: 'incoming', lot: 'BL-1', measured_at: '1970-01-01T00:00:00.000Z', rest_hours: '72', on_charger: false, temperature_c: '23', voltage_unit: 'V', case_sound: 'yes', method: 'ac_1khz',
    gauges: { voltage: 'V-1', resistance: 'R-1', temperature: 'H-1' },
    rows: [{ id: 'r1', number: 'H12-1', voltage: '12,880', resistance: '14.2', resistance_unit: 'mohm' }],
  });
});

test('a scan loses its prefix where a number is asked for, and is refused as a reading', () => {
  const { row } = typed([']C0H12-1']);
  assert.equal(row.number, 'H12-1');
  assert.equal(typed(['H12-1', ']C0H12-2']).said.kind, 'refused');
});

test('a negative voltage is taken with its sign', () => {
  const { row, said } = typed(['H12-1', '-12.88']);
  assert.equal(said.kind, 'taken');
  assert.equal(row.voltage.text, '-12.88');
});

for (const [name, entry, at, unit] of [
  ['an ohm', '0.0142', 'resistance', 'ohm'], ['micro-ohm', '14200', 'resistance', 'uohm'], ['siemens', '70', 'resistance', 'S'], ['a millivolt', '12842', 'voltage', 'mV'],
]) {
  test(`${name} is offered and not converted`, () => {
    const { row, said } = typed(at === 'voltage' ? ['H12-1', entry] : ['H12-1', '12.88', entry]);
    assert.equal(said.kind, 'ask');
    assert.equal(row[at], null);
    assert.deepEqual(row.ask.options.map((o) => o.unit), [unit, at === 'voltage' ? 'V' : 'mohm']);
    const other = rows.resolve(row, row.ask.options[0], { units: {} });
    assert.deepEqual([other.row[at].text, other.row[at].unit, other.units[at]], [entry, unit, unit]);
    const stands = rows.resolve(row, row.ask.options[1], { units: {} });
    assert.ok(stands.row.asTyped);
  });
}

for (const [name, entries, reason] of [
  ['no number', ['H12-1', 'abc'], /not a number/], ['no resistance', ['H12-1', '12.8', '-14'], /no resistance/], ['a unit of another kind', ['H12-1', '12.8 A'], /does not fit/], ['the block before once more', ['H12-0'], /moment ago/], ['and typed small', ['h12-0'], /moment ago/],
]) {
  test(`refused: ${name}`, () => {
    const { said } = typed(entries, { before: [{ number: 'H12-0' }] });
    assert.equal(said.kind, 'refused');
    assert.match(said.reason, reason);
  });
}

test('three blocks alike are asked about', () => {
  const before = [1, 2].map((n) => typed([`H${n}`, '12.88', '14.2']).row);
  const { row, said } = typed(['H3', '12.88', '14.2'], { before });
  assert.equal(said.kind, 'ask');
  const stands = rows.resolve(row, row.ask.options[0], { units: {}, before });
  assert.ok(rows.whole(stands.row) && stands.row.asTyped);
  const again = rows.resolve(row, row.ask.options[1], { units: {}, before });
  assert.equal(again.row.at, 'voltage');
  assert.equal(typed(['H3', '12.88', '14.3'], { before }).said.kind, 'taken');
});

test('the second reading may be of the voltage alone', () => {
  const settings = { ...incoming, stage: rows.SECOND };
  const { row } = typed(['H12-1', '12.87', ''], { settings });
  assert.ok(rows.whole(row));
  const body = rows.request(row, settings, 0);
  assert.equal(body.method, undefined);
  assert.equal(body.rows[0].resistance, undefined);
  assert.equal(typed(['H12-1', '12.87', '']).said.kind, 'nothing');
});

test('blocks without a number are counted', () => {
  const count = { ...rows.begin('r1'), at: 'count' };
  assert.equal(typed(['0'], { row: count }).said.kind, 'refused');
  assert.equal(typed(['501'], { row: count }).said.kind, 'refused');
  const { row } = typed(['24'], { row: count });
  assert.deepEqual(rows.request(row, incoming, 0), { model: 'm1', stage: 'incoming', lot: 'BL-1', rows: [{ id: 'r1', count: 24 }] });
});

test('undo goes back entry by entry', () => {
  let { row } = typed(['H12-1', '12.88']);
  row = rows.back(row);
  assert.deepEqual([row.at, row.voltage], ['voltage', null]);
  row = rows.back(row);
  assert.deepEqual([row.at, row.number], ['number', '']);
  assert.equal(rows.back(row), null);
});

test('a refused block is taken up where it is wrong, and may stand where only doubted', () => {
  const { row } = typed(['H12-1', '12.88', '14.2']);
  assert.equal(rows.toRead(row, [{ field: 'rows[0].number', code: 'block_here_already' }]).at, 'number');
  assert.equal(rows.toRead(row, [{ field: 'rows[0].voltage', code: 'x' }]).at, 'voltage');
  assert.equal(rows.toRead(row, [{ field: 'rows[0].resistance', code: 'resistance_unit_offered' }]).at, 'resistance');
  assert.ok(rows.canStand([{ code: 'resistance_outside_window' }]));
  assert.ok(!rows.canStand([{ code: 'resistance_outside_window' }, { code: 'number_twice' }]));
  assert.ok(!rows.canStand([]));
});

test('what waits outlives the page and is shown as it was read', async () => {
  const store = new Passing();
  const sent = { ...rows.request(typed(['H12-1', '-12,88', '14.2']).row, incoming, 0), id: 'r1' };
  await new KeptRows(store).put('outgoing', { id: 'r1', order: 1, sent });
  const [kept] = await new KeptRows(store).all('outgoing');
  const row = rows.rowOf(kept.sent);
  assert.deepEqual([row.number, row.voltage.text, row.resistance.unit], ['H12-1', '-12,88', 'mohm']);
  await new KeptRows(store).remove('outgoing', 'r1');
  assert.deepEqual(await new KeptRows(store).all('outgoing'), []);
  keepSitting(store, { rest: '72' });
  assert.equal(keptSitting(store).rest, '72');
});

test('what holds for all of them is asked for before the first', () => {
  assert.deepEqual(rows.missing({ stage: 'incoming' }).length, 4);
  assert.deepEqual(rows.missing(incoming), []);
  const given = { models: [model] };
  const answers = { model: 'm1', stage: 'incoming', lot: ' BL-1 ', dateCode: '', rest: '72', temperature: '23', method: 'ac_1khz', onCharger: false, sound: true, gauges: { voltage: 'V-1', resistance: 'R-1', temperature: 'H-1' } };
  assert.equal(settingsOf(answers, given, {}).settings.lot, 'BL-1');
  for (const [change, field] of [[{ model: '' }, 'in-model'], [{ rest: '' }, 'in-rest'], [{ rest: '-1' }, 'in-rest'], [{ temperature: '77 F' }, 'in-temperature'], [{ method: 'dc_two_point' }, 'in-method'], [{ gauges: { voltage: 'V-1', resistance: '', temperature: 'H-1' } }, 'in-ohmmeter']]) {
    assert.equal(settingsOf({ ...answers, ...change }, given, {}).wrong, field, JSON.stringify(change));
  }
});

test('a serial of ours with a character misread is refused at the scan', () => {
  const { row, said } = rows.take(rows.begin('r'), ']d1B26-00001-X', { settings: incoming, units: {}, before: [] });
  assert.equal(row.at, 'number');
  assert.match(said.reason, /misread/);
});

test('a label of ours that cannot come in is known by what the office says of it', () => {
  const plan = { serial: 'B26000011', source: 'roll', product: { id: 'm1', name: 'Halden 12-12' } };
  assert.equal(rows.labelAgainst(plan, model, 'incoming'), '');
  assert.equal(rows.labelAgainst({ ...plan, source: 'item' }, model, rows.SECOND), '');
  assert.match(rows.labelAgainst(plan, model, rows.SECOND), /take it in first/);
  assert.match(rows.labelAgainst({ ...plan, product: { id: 'm2', name: 'Orrin S4' } }, model, 'incoming'), /Orrin S4/);
});

test('a date code that the model cannot read is said at once', () => {
  const given = { models: [{ ...model, date_code: '' }, { ...model, id: 'm2', date_code: 'yyww' }] };
  const answers = { model: 'm1', stage: 'incoming', lot: '', dateCode: '2609', rest: '72', temperature: '23', method: 'ac_1khz', gauges: incoming.gauges };
  assert.equal(settingsOf(answers, given, {}).wrong, 'in-date');
  assert.ok(settingsOf({ ...answers, dateCode: '' }, given, {}).settings);
  assert.ok(settingsOf({ ...answers, model: 'm2' }, given, {}).settings);
});

test('a block half read is there after a reload, for its person, model and day', () => {
  const store = new Passing();
  const { row } = typed(['H12-1', '12,880']);
  const ines = { person: 'ines', model: 'm1', day: 'Mon' };
  keepHand(store, ines, row);
  assert.deepEqual(keptHand(store, ines, 'r2'), { ...row, id: 'r2' }, 'under an id of its own: another page may have gone on with it');
  for (const other of [{ person: 'thandi' }, { model: 'm2' }, { day: 'Tue' }]) assert.equal(keptHand(store, { ...ines, ...other }, 'r2'), null);
  keepHand(store, { ...ines, person: 'thandi' }, rows.begin('r3'));
  assert.ok(keptHand(store, ines, 'r2'), 'another who has nothing in hand leaves it');
  keepHand(store, ines, rows.begin('r3'));
  assert.equal(keptHand(store, ines, 'r2'), null);
});
