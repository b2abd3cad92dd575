// A stand's page without a browser, for tests: what it needs of one stands in here,
// with a tablet's disk that outlives a page and an office that can be away.
import { wheelAnswer } from './plans.js';

class Part {
  constructor() {
    Object.assign(this, { dataset: {}, value: '', textContent: '', children: [], className: '', style: { setProperty() {} }, listeners: {}, isConnected: true, scrollHeight: 0, clientHeight: 0 });
    this.classList = { toggle() {}, add() {}, remove() {}, contains: () => false };
  }

  addEventListener() {}
  setAttribute() {}
  removeAttribute() {}
  getAttribute() { return null; }
  append(...parts) { this.children.push(...parts); }
  replaceChildren(...parts) { this.children = parts; }
  querySelector() { return null; }
  querySelectorAll() { return []; }
  contains() { return false; }
  focus() {}
}

let parts = new Map();
const part = (id) => {
  if (!parts.has(id)) parts.set(id, new Part());
  return parts.get(id);
};

// --- the tablet ---

/** disk is what the tablet keeps, store by store; full refuses writes, closed is what a browser makes of an open one. */
export const disk = { stores: new Map(), full: false, closed: false, opened: 0 };

/** kept is what lies in a store of the disk. */
export const kept = (store) => [...disk.stores.get(store)?.values() ?? []];

let busy = 0; // what disk and office are asked and have not answered yet

const soon = (f) => { busy += 1; setImmediate(() => { busy -= 1; f(); }); };

function asked(give) {
  const request = {};
  soon(() => { request.result = give(); request.onsuccess?.(); });
  return request;
}

class Base {
  objectStoreNames = { contains: (name) => disk.stores.has(name) };
  createObjectStore(name) { disk.stores.set(name, new Map()); }
  close() {}

  transaction(store, mode) {
    if (disk.closed) throw new DOMException('closing', 'InvalidStateError');
    const rows = disk.stores.get(store);
    const t = {};
    let failed = null;
    t.objectStore = () => ({
      get: (id) => asked(() => structuredClone(rows.get(id))),
      getAll: () => asked(() => [...rows.values()].map((r) => structuredClone(r))),
      put: (row) => { if (disk.full) failed = new DOMException('full', 'QuotaExceededError'); else rows.set(row.id, structuredClone(row)); },
      delete: (id) => rows.delete(id),
    });
    if (mode) soon(() => { t.error = failed; (failed ? t.onabort : t.oncomplete)?.(); });
    return t;
  }
}

const timers = new Set(); // those of a page go with it
const real = { set: globalThis.setTimeout, every: globalThis.setInterval };

/** sleep waits for what goes on beside. */
export const sleep = (ms) => new Promise((r) => { real.set(r, ms); });

// --- the office ---

/** office answers as the server does, as far as these tests go. said is what it was asked, in order. */
export const office = {};

/** begin forgets tablet and office. */
export function begin() {
  disk.stores.clear();
  Object.assign(disk, { full: false, closed: false, opened: 0 });
  Object.assign(office, { away: false, drafts: new Map(), inspections: new Map(), said: [], person: 'ines', meets: null });
}

const drafts = (path, method, body) => {
  const [, id, act] = /^drafts\/([^/]+)(?:\/(.*))?$/.exec(path);
  const known = office.drafts.get(id);
  if (method === 'GET') return known ? [200, known] : [404, {}];
  if (act === 'set-aside') return known ? [200, Object.assign(known, { closed: true })] : [404, {}];
  if (act === 'take-over') return known ? [200, Object.assign(known, { version: known.version + 1, person_id: office.person })] : [404, {}];
  if (!known && body.version) return [404, {}];
  if (known?.closed || office.inspections.has(id) || (known && known.version !== body.version)) return [409, {}];
  const { content } = body;
  const draft = { id, version: body.version + 1, serial: content.serial, print: content.serial, kind: 'wheel', stage: content.stage, person_id: office.person, person: office.person, place: '', updated_at: new Date().toISOString(), closed: false, content };
  office.drafts.set(id, draft);
  return [200, draft];
};

function answer(path, method, body) {
  if (path.startsWith('plans/')) {
    const serial = path.slice(6).split('?')[0];
    const draft = [...office.drafts.values()].find((d) => !d.closed && d.serial === serial);
    return [200, { ...wheelAnswer(), serial, print: serial, ...(draft ? { open_draft: draft } : {}) }];
  }
  if (path === 'drafts') return [200, { drafts: [...office.drafts.values()].filter((d) => !d.closed).map((d) => ({ ...d, content: undefined })) }];
  if (path.startsWith('drafts/')) return drafts(path, method, body);
  if (path === 'unplaced') return [200, { unplaced: [] }];
  if (path.startsWith('inspections/')) {
    const sent = office.inspections.get(path.slice(12));
    return sent ? [200, { inspection: { id: sent.id, stage: sent.stage, started_at: sent.started_at, conditions: sent.conditions }, item: { serial: sent.serial }, sets: sent.sets }] : [404, {}];
  }
  if (path !== 'inspections') return [404, {}];
  office.inspections.set(body.id, body);
  if (office.drafts.has(body.id)) office.drafts.get(body.id).closed = true;
  return [201, { placed: true, created: true, item: { serial: body.serial }, inspection: { id: body.id, verdict: 'pass' }, results: [] }];
}

/** meets, where a test gives one, is asked first: an answer, nothing, or 'lost' for one that does not arrive. */
async function fetched(url, { method = 'GET', body, headers } = {}) {
  const path = url.replace('/api/v1/', '');
  const met = await office.meets?.(path, method);
  if (met && met !== 'lost') return met;
  if (office.away) throw new TypeError('no line');
  const [status, json] = answer(path, method, body && JSON.parse(body));
  office.said.push({ path, method, status, headers });
  await new Promise((r) => { soon(r); });
  if (met === 'lost') throw new TypeError('the answer was lost');
  return new Response(JSON.stringify(json), { status, headers: { Date: new Date().toUTCString() } });
}

// --- the page ---

globalThis.navigator ??= {};
Object.assign(globalThis, {
  document: { getElementById: (id) => (id === 'turns' ? null : part(id)), createElement: () => new Part(), createElementNS: () => new Part(), body: new Part(), documentElement: new Part(), addEventListener() {}, visibilityState: 'visible', title: '' },
  matchMedia: () => ({ matches: false, addEventListener() {} }),
  addEventListener() {},
  requestAnimationFrame: () => 0,
  location: { search: '', pathname: '/stand', assign() {} },
  history: { replaceState(state, title, url) { location.search = url.includes('?') ? url.slice(url.indexOf('?')) : ''; } },
  indexedDB: {
    open() {
      const request = { result: new Base() };
      disk.opened += 1;
      disk.closed = false;
      soon(() => { request.onupgradeneeded?.(); soon(() => request.onsuccess?.()); });
      return request;
    },
  },
  setTimeout: (f, ms, ...more) => { const t = real.set(f, ms, ...more); timers.add(t); return t; },
  setInterval: (f, ms) => { const t = real.every(f, ms); timers.add(t); return t; },
  fetch: fetched,
});

/** settle waits until nothing is asked of disk and office for a while; whom a test lets wait is not waited for. */
export async function settle() {
  for (let quiet = 0; quiet < 4; quiet = busy ? 0 : quiet + 1) await sleep(4);
}

/** leave ends a page: as a reload does, and at the end of a test. */
export function leave() {
  for (const t of timers) { clearTimeout(t); clearInterval(t); }
  timers.clear();
}

/** page opens the stand as one person, after a page that may have been there. at is its address; none: where it was. scans is a serial that comes before it has begun. */
export async function page({ person = 'ines', at, scans } = {}) {
  leave();
  if (at !== undefined) location.search = at;
  parts = new Map();
  Object.assign(part('floor').dataset, { zone: 'UTC', person, personId: person, place: 'stand 1', device: '' });
  office.person = person;
  const { start } = await import('../floor-page.js');
  const { stand } = await import('../stand-screen.js');
  const p = start(stand);
  if (scans) p.open(scans);
  await settle();
  return p;
}

/** opens scans a serial. */
export async function opens(p, serial) {
  await p.open(serial);
  await settle();
}

/** types takes each line, and gives what goes on beside time to end; the draft is saved, or tried to be. */
export async function types(p, ...lines) {
  for (const line of lines) {
    p.input.value = line;
    p.take();
  }
  await p.saver.flush();
  await settle();
}

/** readings are what stands on the page: the typed texts in their order. */
export const readings = (p) => Object.values(p.job?.values ?? {}).map((v) => v.text);

/** choose answers the question on the page by the words of an option. */
export async function choose(p, label) {
  const { options } = p.choice;
  p.pick(options.findIndex((o) => o.label === label));
  await settle();
}
