/*
 * How does the deck page open without network? Holds the page's own files, whole, in the one version named here; a newer
 * version waits until the page says that nothing is unsent and no outline is open. Data and pictures are never held here.
 */
const VERSION = '{{ shell.version|escapejs }}';
const PREFIX = 'deck-shell-';
const CACHE = PREFIX + VERSION;
const ADDRESSES = [{% for address in shell.addresses %}'{{ address|escapejs }}'{% if not forloop.last %}, {% endif %}{% endfor %}];
const PAGE = ADDRESSES[0];

self.addEventListener('install', (event) => event.waitUntil(holdAll()));
self.addEventListener('activate', (event) => event.waitUntil(takeOver()));
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') void self.skipWaiting();
  if (event.data === 'version') event.source?.postMessage({ version: VERSION });
});
self.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== 'GET' || url.origin !== self.location.origin || url.pathname.startsWith('/api/')) return;
  event.respondWith(answer(event.request));
});

/* All or nothing: one file that fails leaves the version before in its place. The HTTP cache could hold an older file. */
async function holdAll() {
  const cache = await caches.open(CACHE);
  try {
    await cache.addAll(ADDRESSES.map((address) => new Request(address, { cache: 'reload' })));
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function takeOver() {
  for (const name of await caches.keys()) if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  await self.clients.claim();
}

async function answer(request) {
  const cache = await caches.open(CACHE);
  const own = request.mode === 'navigate' && new URL(request.url).pathname === PAGE ? PAGE : request;
  const held = await cache.match(own, { ignoreVary: true });
  return held ?? fetch(request);
}
