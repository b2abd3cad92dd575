// Readings that a gauge posts to this stand, as they come (server-sent events).
// Each is told to the page as the event 'gauge-reading' on document, with
// detail {value, unit, instrument, id}; how many were lost on the way, should
// the line have been down for long, as 'gauge-missed' with detail {count}.

const QUIET = 45000; // ms without a sign of life: the server beats every 15 s
const SOONEST = 2000;
const LATEST = 30000;
const REMEMBERED = 256; // readings whose ids are known, as many as the server keeps

/** addressOf is the stream of a stand, from where the page has got to. */
export const addressOf = (place, after = '') => `/api/v1/stands/${encodeURIComponent(place)}/events${after ? `?after=${encodeURIComponent(after)}` : ''}`;

/**
 * subscribe listens to a stand until the returned function is called. open
 * makes an EventSource for an address; hear takes a reading, missed a count. A
 * stream that breaks off comes back by itself and names the last event it had;
 * one that was refused, or has gone silent, is opened anew from there.
 */
export function subscribe({ place, open, hear, missed = () => {}, later = setTimeout, never = clearTimeout }) {
  const known = new Set();
  let after = '';
  let wait = SOONEST;
  let source = null;
  let timer = null;
  let ended = false;

  const alive = () => {
    never(timer);
    timer = later(start, QUIET);
  };
  const seen = (event) => {
    if (event.lastEventId) after = event.lastEventId;
    wait = SOONEST;
    alive();
  };
  const read = (event) => {
    try {
      return JSON.parse(event.data);
    } catch {
      return null;
    }
  };

  function start() {
    source?.close();
    if (ended) return;
    source = open(addressOf(place, after));
    source.addEventListener('ready', seen);
    source.addEventListener('beat', seen);
    source.addEventListener('missed', (event) => {
      seen(event);
      const count = read(event)?.count;
      if (count > 0) missed(count);
    });
    source.addEventListener('reading', (event) => {
      seen(event);
      const r = read(event);
      if (!r?.id || known.has(r.id)) return;
      known.add(r.id);
      if (known.size > REMEMBERED) known.delete(known.values().next().value);
      hear({ value: r.value, unit: r.unit, instrument: r.instrument ?? '', id: r.id });
    });
    source.addEventListener('error', () => {
      if (source.readyState !== 2) return; // it comes back by itself
      never(timer);
      timer = later(start, wait);
      wait = Math.min(wait * 2, LATEST);
    });
    alive();
  }

  start();
  return () => {
    ended = true;
    never(timer);
    source?.close();
  };
}

/** tell makes of what arrives events of the document. */
function tell(name, detail) {
  document.dispatchEvent(new CustomEvent(name, { detail }));
}

const place = globalThis.document?.getElementById('floor')?.dataset.place;
if (place && globalThis.EventSource) {
  const listen = () => subscribe({ place, open: (address) => new EventSource(address), hear: (r) => tell('gauge-reading', r), missed: (count) => tell('gauge-missed', { count }) });
  let leave = listen();
  // A page that the browser put aside must not keep a line; one that it brings back needs it again.
  addEventListener('pagehide', () => leave());
  addEventListener('pageshow', (event) => {
    if (event.persisted) leave = listen();
  });
}
