// How a person likes the floor pages, kept in this browser: hands and pedal
// for each person who works at it, tones for the device itself. Where nothing
// can be kept, the usual holds.

/** What a pedal may send: keys that type nothing and walk nowhere. */
export const PEDALS = ['F8', 'F7', 'F9', 'F10', 'PageDown', 'PageUp'];

export const USUAL = { hands: 'right', pedal: 'F8', volume: 50 };

const PERSONS = (person) => `tracewright-ways-${person}`;
const DEVICE = 'tracewright-tones';

function storeOf(store) {
  try {
    return store ?? globalThis.localStorage;
  } catch {
    return null; // a browser that keeps nothing refuses even to be asked
  }
}

function kept(store, key) {
  try {
    return JSON.parse(storeOf(store).getItem(key)) ?? {};
  } catch {
    return {};
  }
}

/**
 * waysOf is {hands, pedal, volume}: hands 'right' or 'left', pedal the key it
 * sends or '' for off, volume 0 (off) to 100.
 */
export function waysOf(person, store) {
  const { hands, pedal } = kept(store, PERSONS(person));
  const { volume } = kept(store, DEVICE);
  return {
    hands: hands === 'left' ? 'left' : USUAL.hands,
    pedal: pedal === '' || PEDALS.includes(pedal) ? pedal : USUAL.pedal,
    volume: Number.isFinite(volume) && volume >= 0 && volume <= 100 ? volume : USUAL.volume,
  };
}

/** keepWays keeps all three, and says whether the browser did. */
export function keepWays(person, { hands, pedal, volume }, store) {
  try {
    storeOf(store).setItem(PERSONS(person), JSON.stringify({ hands, pedal }));
    storeOf(store).setItem(DEVICE, JSON.stringify({ volume }));
    return true;
  } catch {
    return false;
  }
}
