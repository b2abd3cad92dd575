// What the office says of turns, for the tests of the turn list: invented figures.

export const HOLES = 36;
export const wave = (size, by = 0) => Array.from({ length: HOLES }, (_, i) => size * Math.cos((2 * Math.PI * (i + by)) / HOLES));
export const condition = { lateral_tir: 0.12, radial_tir: 0.2, lateral_mean: 0, deviation_pct_a: 8, deviation_pct_b: 9, cv_pct_a: 3, cv_pct_b: 4, mean_a: 1000, mean_b: 650, highest: 1100, lowest: 560 };
export const turn = (n, spoke, turns, more = {}) => ({ n, spoke, side: spoke % 2 ? 'b' : 'a', lean: 'leading', turns, highest: 1000 + n, highest_at: 3, turned: false, turned_by: '', turned_at: null, ...more });
export const listOf = (turns) => ({ turns, nipples: turns.length, predicted: { lateral: wave(0.05), radial: wave(0.1), tension: tensions() }, after: condition, highest: 1213, highest_at: 34, highest_after: 1, halved: [], dropped: [], lift: 0 });
export const tensions = () => Array.from({ length: HOLES }, (_, i) => (i % 2 ? 650 : 1000));

/** ready is an answer of the office: invented figures. */
export const ready = (more = {}) => ({
  inspection: 'i1', serial: 'W26000KX7', print: 'W26-000KX-7', product: 'Quillet 26 rear', holes: HOLES, stage: 'after_relief', round: 1, state: 'ready',
  measured: { lateral: wave(0.2), radial: wave(0.15), tension: tensions() }, limits: { lateral_tir: 0.3, radial_tir: 0.5, dish_abs: 1, side_deviation_pct: 15, tension_min: 450, tension_max: 1250, gauge_uncertainty: 37, ceiling: 1213 },
  before: { ...condition, lateral_tir: 0.41 }, step: 0.0625, largest_turn: 0.5, learned: { rounds: 0, lateral: 1, radial: 1, tension: 1 }, begun: '', take_tension_out: false, worst_excess: 0, targets_lowered: false,
  short: listOf([turn(1, 8, -0.0625), turn(2, 31, -0.125), turn(3, 0, 0.5)]), all: listOf([turn(1, 8, -0.0625), turn(2, 31, -0.125), turn(3, 0, 0.5), turn(4, 20, 0.125)]),
  rim_not_builder: [], rim: { text: '' }, honest: 'Stiffness is assumed.', ...more,
});
export const keptOf = (answer, pending = []) => ({ id: answer.inspection, answer, pending, tiles: [], grade: '', marks: { a: 'cable side', b: 'disc side' } });

export const stop = () => ready({
  state: 'stop', round: 2, short: undefined, all: undefined, after: { of: 'i0', turned: 12, listed: 12, predicted: condition, observed: condition },
  stop: { cause: 'wrong_side', title: 'It looks as if sides A and B were swapped', text: 'Lateral was to fall. It rose.', predicted: { lateral: wave(0.2), radial: wave(0), tension: wave(90) }, observed: { lateral: wave(0.2, 18), radial: wave(0), tension: wave(90, 18) },
    ways: [{ cause: 'wrong_side', title: 'Turned on the wrong side', text: 'Keep the readings.', fit: { lateral: 0.99, tension: 0.98 }, best: true, predicted: { lateral: wave(0.2, 18), radial: wave(0), tension: wave(90, 18) } },
      { cause: 'as_listed', title: 'Turned as listed', text: 'Keep the readings.', fit: { lateral: -0.9, tension: 0.1 }, best: false, predicted: { lateral: wave(0.2), radial: wave(0), tension: wave(90) } },
      { cause: 'not_sure', title: 'Not sure', text: 'Read again.', best: false, read: [19, 31] }] },
});
export const without = (state, more) => ready({ state, short: undefined, all: undefined, ...more });
