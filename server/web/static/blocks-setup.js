// What holds for every block of a sitting, asked in a dialogue: model and lot,
// rest, temperature, how resistance is measured, and with which gauges.
import { h } from './floor-dom.js';
import { readTyped } from './floor-reading.js';
import { scanned } from './floor-serial.js';
import { SECOND } from './blocks-row.js';

const field = (label, control, hint) => h('div', { class: 'set-field' }, h('label', { for: control.id }, label), control, hint ? h('p', { class: 'small' }, hint) : null);
const select = (id, value, options) => {
  const el = h('select', { id }, options.map(([v, text]) => h('option', { value: v }, text)));
  el.value = value ?? '';
  if (el.selectedIndex < 0) el.selectedIndex = 0;
  return el;
};
const text = (id, value, attributes = {}) => {
  const el = h('input', { id, autocomplete: 'off', ...attributes });
  el.value = value ?? '';
  return el;
};

/** settingsOf reads the answers; {settings} or {wrong: id of a field, why}. */
export function settingsOf(answers, given, before) {
  const model = given.models.find((m) => m.id === answers.model) ?? null;
  if (!model) return { wrong: 'in-model', why: 'Say which model they are' };
  if (answers.dateCode.trim() && model.date_code === '') return { wrong: 'in-date', why: `${model.name} does not say how its maker writes the date code: leave it empty here` };
  const rest = readTyped(answers.rest, { unit: 'h', units: ['h'] });
  if (!rest.ok || rest.value.n < 0n) return { wrong: 'in-rest', why: rest.reason || 'Say how long they rested' };
  const temperature = readTyped(answers.temperature, { unit: 'degC', units: ['degC'] });
  if (!temperature.ok) return { wrong: 'in-temperature', why: temperature.reason || 'Say how warm they are' };
  if (model.method && answers.method !== model.method) return { wrong: 'in-method', why: 'Its model is measured the other way; the two are never mixed' };
  const needed = [['voltage', 'in-voltmeter', 'voltmeter'], ['temperature', 'in-thermometer', 'thermometer'], ...(answers.stage === SECOND ? [] : [['resistance', 'in-ohmmeter', 'resistance meter']])];
  const none = needed.find(([kind]) => !answers.gauges[kind]);
  if (none) return { wrong: none[1], why: `Put a ${none[2]} into the register first: a reading is nothing without its gauge` };
  return { settings: { ...before, ...answers, model, lot: (scanned(answers.lot) ?? answers.lot).trim(), dateCode: answers.dateCode.trim(), rest: rest.text, temperature: temperature.text } };
}

/** askSetup shows the dialogue and gives the settings, or null where it was closed. */
export function askSetup(given, now) {
  const gauges = (kind) => {
    const list = (given.gauges[kind] ?? []).map((g) => [g.code, `${g.code}${g.overdue ? ', overdue' : ''}`]);
    return list.length ? list : [['', 'none in the register']];
  };
  const f = {
    model: select('in-model', now.model?.id, given.models.map((m) => [m.id, m.name])),
    stage: select('in-stage', now.stage, [['incoming', 'incoming'], ['second_reading', 'second reading']]),
    lot: text('in-lot', now.lot, { list: 'in-lots', class: 'mono', autocapitalize: 'characters' }),
    dateCode: text('in-date', now.dateCode, { class: 'mono' }),
    rest: text('in-rest', now.rest, { inputmode: 'decimal' }),
    temperature: text('in-temperature', now.temperature, { inputmode: 'decimal' }),
    method: select('in-method', now.method || now.model?.method, [['ac_1khz', '1 kHz a.c.'], ['dc_two_point', 'two currents']]),
    voltage: select('in-voltmeter', now.gauges.voltage, gauges('voltage')),
    resistance: select('in-ohmmeter', now.gauges.resistance, gauges('resistance')),
    thermometer: select('in-thermometer', now.gauges.temperature, gauges('temperature')),
  };
  const check = (id, label, on) => { const box = h('input', { type: 'checkbox', id }); box.checked = on; return [box, h('label', { class: 'set-check' }, box, label)]; };
  const [charger, chargerRow] = check('in-charger', 'On the charger now', now.onCharger);
  const [sound, soundRow] = check('in-sound', 'Cases and posts looked at, and sound', now.sound);
  f.model.addEventListener('change', () => { f.method.value = given.models.find((m) => m.id === f.model.value)?.method || f.method.value; });
  const wrong = h('p', { class: 'set-wrong', role: 'alert' });
  const form = h('form', { class: 'set-form', method: 'dialog' },
    h('h2', {}, 'What holds for all of them'), wrong,
    field('Model', f.model), field('Reading', f.stage), field('Lot', f.lot, 'empty: none'), field('Date code', f.dateCode, 'where it is not the lot’s'),
    field('Rested, h', f.rest, 'since they came off a charger, or in the box'), field('Temperature, °C', f.temperature), field('Resistance by', f.method), chargerRow,
    field('Voltmeter', f.voltage), field('Resistance meter', f.resistance), field('Thermometer', f.thermometer), soundRow,
    h('datalist', { id: 'in-lots' }, given.lots.map((l) => h('option', { value: l }))),
    h('p', { class: 'small set-caution' }, given.caution),
    h('div', { class: 'set-keys' }, h('button', { class: 'key go', value: 'set' }, 'Set'), h('button', { class: 'key', type: 'button', id: 'in-close' }, 'Close')));
  const dialog = h('dialog', { class: 'set-dialog', 'aria-label': 'What holds for all blocks of this sitting' }, form);
  document.body.append(dialog);
  return new Promise((resolve) => {
    let settings = null;
    form.addEventListener('submit', (event) => {
      const read = settingsOf({ model: f.model.value, stage: f.stage.value, lot: f.lot.value, dateCode: f.dateCode.value, rest: f.rest.value, temperature: f.temperature.value, method: f.method.value, onCharger: charger.checked, sound: sound.checked,
        gauges: { voltage: f.voltage.value, resistance: f.resistance.value, temperature: f.thermometer.value } }, given, now);
      if (!read.wrong) {
        settings = read.settings;
        return;
      }
      event.preventDefault();
      wrong.textContent = read.why;
      document.getElementById(read.wrong).focus();
    });
    dialog.querySelector('#in-close').addEventListener('click', () => dialog.close());
    dialog.addEventListener('close', () => { dialog.remove(); resolve(settings); });
    dialog.showModal();
    (now.model ? f.rest : f.model).focus();
  });
}
