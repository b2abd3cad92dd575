// Units a reading may be typed in, as people write them, and the exact factors
// between them: standard acceleration 9.80665 m/s2 (3rd CGPM, 1901) and the
// pound of 0.45359237 kg (yard and pound agreement, 1959).
import * as decimal from './floor-decimal.js';

const table = {
  mm: { quantity: 'length', factor: '1', symbol: 'mm', typed: ['MM', 'Mm'] },
  um: { quantity: 'length', factor: '0.001', symbol: 'µm', typed: ['µm', 'μm'] },
  in: { quantity: 'length', factor: '25.4', symbol: 'in', typed: ['inch', '"'] },
  N: { quantity: 'force', factor: '1', symbol: 'N', typed: ['n'] },
  kgf: { quantity: 'force', factor: '9.80665', symbol: 'kgf', typed: ['KGF', 'Kgf', 'kp'] },
  lbf: { quantity: 'force', factor: '4.4482216152605', symbol: 'lbf', typed: ['LBF', 'Lbf'] },
  V: { quantity: 'voltage', factor: '1', symbol: 'V', typed: ['v'] },
  mV: { quantity: 'voltage', factor: '0.001', symbol: 'mV', typed: ['mv'] },
  ohm: { quantity: 'resistance', factor: '1', symbol: 'Ω', typed: ['Ω', 'Ω', 'Ohm'] },
  mohm: { quantity: 'resistance', factor: '0.001', symbol: 'mΩ', typed: ['mΩ', 'mΩ', 'mOhm'] },
  uohm: { quantity: 'resistance', factor: '0.000001', symbol: 'µΩ', typed: ['µΩ', 'μΩ', 'uOhm'] },
  S: { quantity: 'conductance', factor: '1', symbol: 'S', typed: [] },
  degC: { quantity: 'temperature', factor: '1', symbol: '°C', typed: ['C', '°C', '°c', '℃'] },
  h: { quantity: 'time', factor: '1', symbol: 'h', typed: ['H'] },
  A: { quantity: 'current', factor: '1', symbol: 'A', typed: ['a'] },
  div: { quantity: 'scale', factor: '1', symbol: 'div', typed: ['divs', 'DIV', 'Div'] },
  '%': { quantity: 'ratio', factor: '0.01', symbol: '%', typed: [] },
};

/** symbol is the unit as people read it; an unknown one is shown by its code. */
export const symbol = (unit) => table[unit]?.symbol ?? unit ?? '';

/** unitOf finds the code of a unit as typed; null when there is none such. */
export function unitOf(typed) {
  for (const [code, u] of Object.entries(table)) {
    if (typed === code || typed === u.symbol || u.typed.includes(typed)) return code;
  }
  return null;
}

/**
 * inUnit gives a value of one unit in another, exactly where that is a
 * product, otherwise with 12 decimals (siemens to milliohm, newton to
 * kilogram-force). null when the two count different things.
 */
export function inUnit(value, from, to) {
  if (from === to) return value;
  const a = table[from];
  const b = table[to];
  if (!a || !b) return null;
  const base = decimal.mul(value, decimal.plain(a.factor));
  const per = decimal.plain(b.factor);
  if (a.quantity === b.quantity) {
    return b.factor === '1' ? base : decimal.divide(base, per, 12);
  }
  // A conductance is read as the resistance it stands for: R = 1/G.
  if (a.quantity === 'conductance' && b.quantity === 'resistance') {
    return decimal.divide(decimal.make(1), decimal.mul(base, per), 12);
  }
  return null;
}
