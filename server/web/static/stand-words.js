// The words of the stand: what is asked for, and what a figure means.
import { shown, signed, atDecimals } from './floor-format.js';
import { symbol } from './floor-units.js';
import { LATERAL, RADIAL, DISH, TENSION_A, TENSION_B, sideOf } from './stand-shape.js';

const setNames = { [LATERAL]: 'Lateral', [RADIAL]: 'Radial', [DISH]: 'Dish', [TENSION_A]: 'Tension', [TENSION_B]: 'Tension' };

/** setName is a characteristic in one word. */
export const setName = (code) => setNames[code] ?? tickShort(code);

const ticks = {
  spokes_seated: ['Spokes seated, none missing', 'spokes seated'],
  nipples_flush: ['Nipple ends flush', 'nipples flush'],
  cable_sound: ['Cable jacket and connector sound', 'cable, connector'],
  axle_thread: ['Axle thread sound', 'axle thread'],
  spins_freely: ['Spins freely', 'spins freely'],
  washer_seat: ['Torque washer seat clean', 'washer seat'],
  polarity_checked: ['Polarity checked at the connector', 'polarity'],
  insulated: ['Insulation whole, no bare metal', 'insulation'],
  terminals_covered: ['Terminals covered', 'terminals'],
  labelled: ['Labelled', 'label'],
};

export const plainWords = (code) => code.replaceAll('_', ' ');

/** tickLong is a ticked point as it stands in the list. */
export const tickLong = (code) => ticks[code]?.[0] ?? plainWords(code);
export const tickShort = (code) => ticks[code]?.[1] ?? plainWords(code);

/** answerWord is yes, no or N.A. as they are shown. */
export const answerWord = (a) => ({ yes: 'Yes', no: 'No', na: 'N.A.' })[a] ?? a;

/** howTo says in one line what the hands do for an entry. */
export function howTo(entry, plan) {
  if (!entry) return '';
  if (entry.kind === 'extreme') return `turn once, stop at its ${entry.slot} place`;
  if (entry.characteristic === DISH) {
    if (plan.form.dish_reference === 'face') return 'rim to hub face';
    if (plan.form.dish_reference === 'frame_gauge') return 'as shown, + toward side A';
    return 'rim to axle shoulder';
  }
  if (entry.slot === 'reread') return 'the first spoke once more: nothing may have moved';
  return '';
}

/** meaning says which way a reading points. */
export function meaning(entry, value) {
  const s = value.n > 0n ? 1 : value.n < 0n ? -1 : 0;
  if (entry.characteristic === LATERAL) return s > 0 ? 'toward side A' : s < 0 ? 'toward side B' : 'in the middle';
  if (entry.characteristic === RADIAL) return s > 0 ? 'outward' : s < 0 ? 'inward' : 'on the line';
  return '';
}

/** written is a reading as its set shows it: run-out carries its sign. */
export function written(entry, value) {
  return entry.characteristic === LATERAL || entry.characteristic === RADIAL ? signed(value) : shown(value);
}

/** entryName names an entry for undo and for the line above the last value. */
export function entryName(entry) {
  if (entry.kind === 'tick') return tickShort(entry.characteristic);
  if (entry.kind === 'extreme') return `${setName(entry.characteristic).toLowerCase()} ${entry.slot}`;
  if (entry.characteristic === DISH) return `dish ${sideOf(entry.position)}`;
  if (entry.slot === 'reread') return 'spoke 1 again';
  return `spoke ${entry.position + 1}`;
}

const resultNames = {
  lateral_tir: 'Lateral', radial_tir: 'Radial', dish_abs: 'Dish', tension_lowest: 'Lowest tension',
  tension_mean_tight: 'Mean of the tighter side', side_tension_dev_pct_a: 'Largest deviation, side A', side_tension_dev_pct_b: 'Largest deviation, side B',
  adjacent_diff_pct_a: 'Neighbours, side A', adjacent_diff_pct_b: 'Neighbours, side B',
};

/** fault says what is over, in a sentence: "Lateral 0.31 mm, over 0.30". */
export function fault(result) {
  const unit = result.limit?.unit === '1' ? '' : result.limit?.unit ?? '';
  const decimals = Math.max(0, (result.limit?.decimals ?? 4) - 2);
  const bound = result.missed === 'high' ? `over ${atDecimals(result.bound, decimals)}` : `under ${atDecimals(result.bound, decimals)}`;
  const side = result.code === 'tension_mean_tight' && result.side ? `, ${result.side}:` : '';
  const at = result.at !== undefined ? ` at spoke ${result.at + 1}` : '';
  return `${resultNames[result.code] ?? plainWords(result.code)}${side} ${atDecimals(result.value, decimals)} ${symbol(unit)}${at}, ${bound}`;
}

const instrumentNames = {
  dial: 'Dial gauge', tension_gauge: 'Tension gauge', dish_gauge: 'Dish gauge', voltmeter: 'Voltmeter',
  resistance_meter: 'Resistance meter', thermometer: 'Thermometer',
};

/** gaugeName is an instrument as the page names it. */
export function gaugeName(i) {
  const name = i.name || instrumentNames[i.kind] || plainWords(i.kind);
  return name.includes(i.code) ? name : `${name} ${i.code}`;
}
export const gaugeKind = (kind) => instrumentNames[kind] ?? plainWords(kind);

const stages = {
  before_relief: 'Before relief', after_relief: 'After relief', recheck: 'Recheck',
  incoming: 'Incoming', second_reading: 'Second reading', final: 'Final readings',
};
export const stageName = (stage) => stages[stage] ?? plainWords(stage);
