// What this tablet keeps of blocks that are on their way to the office, and of
// how a sitting was set up. Small texts in the browser's own store, which is
// written before anything is sent; where the browser keeps nothing they last as
// long as the page.
const ROW = 'tracewright-block-';
const SITTING = 'tracewright-blocks-in';
const HAND = 'tracewright-blocks-hand';

/** KeptRows is the queue's store of rows. */
export class KeptRows {
  constructor(store) {
    this.store = store;
    this.passing = store instanceof Passing;
  }

  async all() {
    return Object.keys(this.store).filter((k) => k.startsWith(ROW)).map((k) => parsed(this.store.getItem(k))).filter(Boolean);
  }

  async put(_, entry) {
    this.store.setItem(ROW + entry.id, JSON.stringify(entry));
  }

  async remove(_, id) {
    this.store.removeItem(ROW + id);
  }
}

function parsed(text, revive) {
  try {
    return JSON.parse(text, revive);
  } catch {
    return null;
  }
}

/** storeOf is the browser's store, or one that lasts as long as the page. */
export function storeOf() {
  try {
    globalThis.localStorage.setItem(SITTING + '-try', '1');
    globalThis.localStorage.removeItem(SITTING + '-try');
    return globalThis.localStorage;
  } catch {
    return new Passing();
  }
}

/** Passing stands in where the browser keeps nothing. */
export class Passing {
  getItem(key) { return Object.hasOwn(this, key) ? this[key] : null; }
  setItem(key, text) { this[key] = text; }
  removeItem(key) { delete this[key]; }
}

export const keptSitting = (store) => parsed(store.getItem(SITTING)) ?? {};

export function keepSitting(store, sitting) {
  try {
    store.setItem(SITTING, JSON.stringify(sitting));
  } catch { /* full: it is asked for again */ }
}

/** keptHand is the block that a person had half read here, under the id that it goes on with; of is whose and when: another's, or of another model or day, is none. */
export function keptHand(store, of, id) {
  const kept = parsed(store.getItem(HAND), (key, v) => (key === 'n' ? BigInt(v) : v)); // of an exact decimal
  return kept && JSON.stringify(kept.of) === JSON.stringify(of) ? { ...kept.row, id } : null;
}

/** keepHand keeps it; one that nothing is known of yet is none. */
export function keepHand(store, of, row) {
  try {
    if (row.number || row.count || row.voltage) store.setItem(HAND, JSON.stringify({ of, row }, (key, v) => (typeof v === 'bigint' ? String(v) : v)));
    else if (keptHand(store, of, row.id)) store.removeItem(HAND);
  } catch { /* full: it lasts as long as the page */ }
}
