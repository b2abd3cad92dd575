// What this tablet keeps for itself (IndexedDB): plans of items opened here,
// drafts, finished inspections on their way to the office, turn lists, and what
// was ticked of them and has not reached the office. Nothing of a customer is among it: a plan is reduced to what
// the taking of readings needs.

const NAME = 'tracewright-floor';
const VERSION = 3; // 2: turns, 3: ticks
const STORES = ['plans', 'drafts', 'outgoing', 'turns', 'ticks'];
const PLANS = 300; // the oldest plans go first

const done = (request) => new Promise((resolve, reject) => {
  request.onsuccess = () => resolve(request.result);
  request.onerror = () => reject(request.error);
});

function openBase(factory) {
  const request = factory.open(NAME, VERSION);
  request.onupgradeneeded = () => {
    for (const name of STORES) if (!request.result.objectStoreNames.contains(name)) request.result.createObjectStore(name, { keyPath: 'id' });
  };
  return new Promise((resolve, reject) => {
    request.onblocked = () => reject(new Error('an older page holds what is kept')); // better to work without than to wait for it
    done(request).then((base) => {
      base.onversionchange = () => base.close();
      resolve(base);
    }, reject);
  });
}

/** Kept reads and writes by store and id. put is answered once it is on the disk. A browser may close what lies open: it is opened once more. */
export class Kept {
  constructor(base, reopen) {
    Object.assign(this, { base, reopen });
  }

  get(store, id) {
    return this.#opened(() => done(this.base.transaction(store).objectStore(store).get(id)));
  }

  all(store) {
    return this.#opened(() => done(this.base.transaction(store).objectStore(store).getAll()));
  }

  put(store, value) {
    return this.#write(store, (s) => s.put(value));
  }

  remove(store, id) {
    return this.#write(store, (s) => s.delete(id));
  }

  async #opened(act) {
    try {
      return await act();
    } catch (err) {
      if (err?.name !== 'InvalidStateError') throw err;
      this.base = await this.reopen();
      return act();
    }
  }

  #write(store, act) {
    return this.#opened(() => new Promise((resolve, reject) => {
      // Strict: a battery that is pulled out a moment later loses nothing.
      const t = this.base.transaction(store, 'readwrite', { durability: 'strict' });
      t.oncomplete = () => resolve();
      t.onabort = t.onerror = () => reject(t.error);
      act(t.objectStore(store));
    }));
  }
}

/** InMemory stands in where the browser keeps nothing: it lasts as long as the page. */
export class InMemory {
  constructor() {
    this.stores = Object.fromEntries(STORES.map((s) => [s, new Map()]));
    this.passing = true;
  }

  async get(store, id) { return this.stores[store].get(id); }
  async all(store) { return [...this.stores[store].values()].sort((a, b) => (a.id < b.id ? -1 : 1)); }
  async put(store, value) { this.stores[store].set(value.id, structuredClone(value)); }
  async remove(store, id) { this.stores[store].delete(id); }
}

/** openKept opens what this tablet keeps. */
export async function openKept(factory = globalThis.indexedDB) {
  if (!factory) return new InMemory();
  try {
    return new Kept(await openBase(factory), () => openBase(factory));
  } catch {
    return new InMemory(); // private windows refuse it
  }
}

/** slim is the office's answer without what the readings do not need: who reads, who else read, what is on order. */
export function slim(json) {
  const { serial, print, source, item, family, product, form, specification, stage, stages, instruments, products, holds, parts, build, standing } = json;
  return {
    serial, print, source, item: item ? { kind: item.kind, serial: item.serial, print: item.print, state: item.state } : null, family, product, form, specification, stage, stages, instruments, products,
    holds: (holds ?? []).map((h) => ({ code: h.code, name: h.name, reason: h.reason, message: h.message })), parts, build,
    standing: (standing ?? []).map(judgedBefore),
  };
}

/** judgedBefore is an earlier inspection without who made it. */
export const judgedBefore = ({ inspection_id, stage, verdict, measured_at }) => ({ inspection_id, stage, verdict, measured_at });

/** keepPlan keeps a plan under its serial and the choice of product and stage it was asked with. */
export async function keepPlan(kept, json, now) {
  if (!json?.serial || !json.specification?.characteristics?.length) return; // its product is not chosen yet
  await kept.put('plans', { id: json.serial, at: now, plan: slim(json) });
  const plans = await kept.all('plans');
  const old = plans.sort((a, b) => b.at - a.at).slice(PLANS);
  for (const p of old) await kept.remove('plans', p.id);
}

/** keptPlan finds a plan by its serial or the last five characters before which nothing else is kept. */
export async function keptPlan(kept, typed) {
  const wanted = plainSerial(typed);
  const plans = await kept.all('plans');
  const whole = plans.find((p) => p.id === wanted);
  if (whole) return whole.plan;
  const ends = wanted.length >= 5 ? plans.filter((p) => p.id.endsWith(wanted)) : [];
  return ends.length === 1 ? ends[0].plan : null;
}

/** plainSerial writes a serial as it is kept: no hyphens, capitals, no letters taken for digits. */
export const plainSerial = (typed) => typed.replace(/[-\u2010-\u2015\u2212\s]/g, '').toUpperCase().replace(/[IL]/g, '1').replace(/O/g, '0');

/** untouched is a list of building steps of which nothing is done. */
const untouched = (build) => build && { ...build, steps: build.steps.map(({ code, words }) => ({ code, words, done: false })), history: [], charge: undefined };

/**
 * likePlan makes the plan of a serial that this tablet has not seen from one of
 * the same product. What belongs to the other item alone is left out.
 */
export function likePlan(plan, serial, print) {
  return { ...plan, serial, print, source: 'unknown', item: null, holds: [], standing: [], build: untouched(plan.build), parts: (plan.parts ?? []).map((p) => ({ ...p, known: false, number: '', lot: '' })) };
}
