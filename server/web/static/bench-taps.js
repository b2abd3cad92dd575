// Taps of a string against the recorded order of its blocks, and what a series
// sum that does not agree may mean.
import * as decimal from './floor-decimal.js';

/**
 * REPEATABLE is how far two readings of one block may differ, V: 5 mV. Common
 * practice, no source; below it an order is no evidence.
 */
export const REPEATABLE = decimal.make(5, 3);

/** placesOf are the voltages of the places: differences of the taps, cumulative from pack minus. */
export const placesOf = (taps) => taps.map((t, i) => (i ? decimal.sub(t, taps[i - 1]) : t));

const apart = (places, blocks, order) => decimal.sum(places.map((v, i) => decimal.abs(decimal.sub(v, blocks[order[i]]))));

/**
 * tapOrder compares the taps of a string with the voltages of its blocks in
 * their recorded order: {places, order, swapped, sure}. order gives for each
 * place the index of the block that fits there best; swapped lists the places
 * (from 0) whose block is another one. The order with the least sum of
 * |place - block| pairs both lists in rising order, and the next best differs
 * from it by one exchange of neighbours (assignment on a line, textbook). Of
 * equally good orders the recorded one stands. sure: the next best is worse by
 * more than a reading repeats; otherwise the serials have to be scanned again.
 */
export function tapOrder(taps, blocks, tolerance = REPEATABLE) {
  const places = placesOf(taps);
  const recorded = places.map((_, i) => i);
  const rising = (values) => values.map((_, i) => i).sort((a, b) => decimal.cmp(values[a], values[b]) || a - b);
  const byPlace = rising(places);
  const byBlock = rising(blocks);
  const paired = (list) => {
    const order = [];
    byPlace.forEach((place, i) => { order[place] = list[i]; });
    return order;
  };
  let order = paired(byBlock);
  const best = apart(places, blocks, order);
  if (decimal.cmp(apart(places, blocks, recorded), best) === 0) order = recorded;
  let next = null;
  for (let i = 1; i < byBlock.length; i++) {
    const list = [...byBlock];
    [list[i - 1], list[i]] = [list[i], list[i - 1]];
    const sum = apart(places, blocks, paired(list));
    if (!next || decimal.cmp(sum, next) < 0) next = sum;
  }
  const off = places.some((v, i) => decimal.cmp(decimal.abs(decimal.sub(v, blocks[i])), tolerance) > 0);
  const swapped = off ? recorded.filter((i) => order[i] !== i) : [];
  return { places, order, swapped, off, sure: !next || decimal.cmp(decimal.sub(next, best), tolerance) > 0 };
}

/**
 * suspects says which places (from 0) may explain a pack that is apart from the
 * sum of its blocks by more than tolerance: {reversed, missing}. A reversed
 * block takes twice its voltage from the sum, one left out its voltage once.
 */
export function suspects(pack, blocks, tolerance) {
  const sum = decimal.sum(blocks);
  const explains = (times) => blocks.flatMap((v, i) => (decimal.cmp(decimal.abs(decimal.sub(decimal.sub(sum, decimal.mul(v, decimal.make(times))), pack)), tolerance) <= 0 ? [i] : []));
  if (decimal.cmp(decimal.abs(decimal.sub(pack, sum)), tolerance) <= 0) return { reversed: [], missing: [] };
  const reversed = explains(2);
  return { reversed, missing: reversed.length ? [] : explains(1) };
}

/** tapsNote is what goes with an inspection of taps that were read, so that they stay on record. */
export function tapsNote(job) {
  const texts = Object.entries(job.values).filter(([key]) => key.startsWith('taps/whole/')).map(([key, v]) => [Number(key.split('.')[1]), v.text]).sort((a, b) => a[0] - b[0]).map(([, text]) => text);
  return texts.length ? `Taps of string ${job.taps}, ${job.units.taps ?? 'V'}: ${texts.join('; ')}` : '';
}

/** readTapsNote reads it back into a job. */
export function readTapsNote(job, note) {
  const read = /^Taps of string (\d+), (V|mV): (.+)$/.exec(note ?? '');
  if (!read) return;
  job.taps = Number(read[1]);
  if (read[2] !== 'V') job.units.taps = read[2];
  read[3].split('; ').forEach((text, i) => { job.values[`taps/whole/${read[1]}.${i + 1}`] = { text, at: 0 }; });
}
