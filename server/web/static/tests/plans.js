// Plans as the office sends them, for tests. The limits are the default
// specification of the grade "standard" and of grade B: common practice.
import { readPlan } from '../floor-plan.js';

const runOut = (code, high) => ({ code: `${code}_runout`, form: 'measured', unit: 'mm', units: ['mm'], methods: ['extremes', 'every_hole'], instrument: 'dial',
  results: [{ result: `${code}_tir`, unit: 'mm', decimals: 4, high, required: ['extremes', 'every_hole'] }] });

const tension = (side, sample, more) => ({ code: `tension_${side}`, form: 'measured', unit: 'N', units: ['N', 'kgf', 'lbf'], methods: ['sample', 'every_hole'], instrument: 'tension_gauge', sample,
  results: [...more, { result: `side_tension_dev_pct_${side}`, unit: '%', decimals: 3, high: '15' }, { result: `adjacent_diff_pct_${side}`, unit: '%', decimals: 3, high: '20' }] });

const tick = (code) => ({ code, form: 'ticked', methods: ['whole'], results: [{ result: code }] });

export const ticks = ['spokes_seated', 'nipples_flush', 'cable_sound', 'axle_thread', 'spins_freely', 'washer_seat'];

/** wheelAnswer is a wheel of 36 holes as the office sends it. */
export function wheelAnswer() {
  return {
    serial: 'W26000051', print: 'W26-00005-1', source: 'item', item: { kind: 'wheel' }, family: { kind: 'wheel', name: 'Rear' }, product: { id: 'p', name: 'Quillet' },
    form: { wheel: { holes: 36, crossing: 1, side_a: 'cable side', side_b: 'disc side', dish_target: '0', dish_reference: 'shoulders', expected_ratio: '1.52' } },
    specification: { grade: 'standard', revision: 1, rule: 'simple', characteristics: [
      runOut('lateral', '0.30'), runOut('radial', '0.50'),
      { code: 'dish', form: 'measured', unit: 'mm', units: ['mm'], methods: ['whole'], instrument: 'dish_gauge', results: [{ result: 'dish_abs', unit: 'mm', decimals: 4, high: '1.00' }] },
      tension('a', [0, 12, 24], [{ result: 'tension_mean_tight', unit: 'N', decimals: 2, low: '800', high: '1300' }, { result: 'tension_lowest', unit: 'N', decimals: 2, low: '450' }]),
      tension('b', [7, 19, 31], []), ...ticks.map(tick),
    ] },
    stage: 'after_relief', stages: ['before_relief', 'after_relief', 'recheck'],
    instruments: [
      { code: 'L-14', kind: 'dial', unit: 'mm', range_low: '-5', range_high: '5', resolution: '0.01' }, { code: 'L-15', kind: 'dial', unit: 'mm', range_low: '-5', range_high: '5', resolution: '0.01' },
      { code: 'T-03', kind: 'tension_gauge', unit: 'N', range_low: '0', range_high: '2500', resolution: '5' }, { code: 'D-02', kind: 'dish_gauge', unit: 'mm', range_low: '0', range_high: '150', resolution: '0.05' },
    ],
  };
}

/** wheelPlan is that wheel as the page reads it; change alters the answer before. */
export function wheelPlan(change = () => {}) {
  const json = wheelAnswer();
  change(json);
  return readPlan(json);
}

/** packPlan is a pack of lead-acid blocks of six cells. */
export function packPlan({ strings = 1, blocks = 4, parts = [], form = {} } = {}) {
  const every = ['every_block'];
  return readPlan({
    serial: 'P26000051', print: 'P26-00005-1', item: { kind: 'pack' }, family: { kind: 'pack', name: 'Packs' }, product: { id: 'q', name: 'Corbel' },
    form: { pack: { chemistry: 'agm', cells: 6, strings, blocks, resistance_method: 'ac_1khz', resistance_low: '4', resistance_high: '20', min_rest_hours: '24', ...form } },
    specification: { grade: 'B', revision: 1, rule: 'simple', characteristics: [
      { code: 'block_voltage', form: 'measured', unit: 'V', units: ['V', 'mV'], methods: every, results: [{ result: 'ocv_lowest', unit: 'V', decimals: 4, low: '12.70' }, { result: 'ocv_spread', unit: 'V', decimals: 4, high: '0.10' }] },
      { code: 'block_resistance', form: 'measured', unit: 'mohm', units: ['mohm', 'ohm', 'uohm', 'S'], methods: every, results: [{ result: 'resistance_spread_pct', unit: '%', decimals: 3, high: '20' }] },
      { code: 'block_temperature', form: 'measured', unit: 'degC', units: ['degC'], methods: ['whole', 'every_block'], results: [] },
      { code: 'pack_voltage', form: 'measured', unit: 'V', units: ['V', 'mV'], methods: ['whole'], results: [{ result: 'series_difference', unit: 'V', decimals: 4, high: '0.032' }, { result: 'string_difference', unit: 'V', decimals: 4, high: '0.20' }] },
      ...['polarity_checked', 'insulated'].map(tick),
    ] },
    stage: 'final', stages: ['final', 'recheck'], instruments: [], parts,
  });
}
