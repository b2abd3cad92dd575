// The worker of the floor pages: it answers with what it keeps while the
// server is away. The server puts VERSION and FILES before this text; another
// version is another worker with a store of its own, so that a page and its
// modules always belong together. It keeps the page, styles, modules and fonts
// and nothing that was read: what the API answers never passes here.
/* global VERSION, FILES, self, caches, fetch, Response, URL, AbortSignal */
const STORE = `floor-${VERSION}`;
const PAGES = ['/stand', '/bench', '/blocks/in'];
const PATIENCE = 4000; // ms until a page is taken from the store instead

/** keepPage keeps a page only with the modules it was made for. */
async function keepPage(path, answer) {
  if (!answer.ok || answer.redirected) return;
  const text = await answer.text();
  if (!text.includes(`/static/${VERSION}/`)) return;
  const store = await caches.open(STORE);
  await store.put(path, new Response(text, { headers: answer.headers }));
}

async function install() {
  const store = await caches.open(STORE);
  await store.addAll(FILES.map((name) => `/static/${VERSION}/${name}`));
  for (const path of PAGES) {
    // A page that cannot be had now is kept when it is next opened.
    await fetch(path, { credentials: 'same-origin' }).then((a) => keepPage(path, a)).catch(() => {});
  }
  await self.skipWaiting();
}

async function activate() {
  for (const name of await caches.keys()) {
    if (name.startsWith('floor-') && name !== STORE) await caches.delete(name);
  }
  await self.clients.claim();
}

async function page(request, path) {
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(PATIENCE) });
    if (answer.ok) await keepPage(path, answer.clone());
    if (answer.status < 502) return answer;
  } catch { /* the server is away */ }
  const kept = await (await caches.open(STORE)).match(path);
  return kept ?? Response.error();
}

async function file(request) {
  const kept = await (await caches.open(STORE)).match(request.url);
  return kept ?? fetch(request);
}

self.addEventListener('install', (event) => event.waitUntil(install()));
self.addEventListener('activate', (event) => event.waitUntil(activate()));
self.addEventListener('fetch', (event) => {
  const { request } = event;
  const at = new URL(request.url);
  if (request.method !== 'GET' || at.origin !== self.location.origin) return;
  if (request.mode === 'navigate' && PAGES.includes(at.pathname)) event.respondWith(page(request, at.pathname));
  else if (at.pathname.startsWith(`/static/${VERSION}/`)) event.respondWith(file(request));
});
