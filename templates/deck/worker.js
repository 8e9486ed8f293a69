/*
 * How does the deck page open without network? Holds the page's own files, whole, version by version, and gives out the one
 * version that the page has taken. A browser starts a newer worker by itself once all pages are closed; the files in use stay
 * those of the version taken, until the page says that nothing is unsent and no outline is open. Data is never held here.
 */
const VERSION = '{{ shell.version|escapejs }}';
const ADDRESSES = [{% for address in shell.addresses %}'{{ address|escapejs }}'{% if not forloop.last %}, {% endif %}{% endfor %}];
const PAGE = ADDRESSES[0];
const PREFIX = 'deck-shell-';
const POINTER_CACHE = 'deck-shell-taken';
const POINTER = '/deck/taken';

let taken = null;

self.addEventListener('install', (event) => event.waitUntil(holdAll()));
self.addEventListener('activate', (event) => event.waitUntil(begin()));
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') event.waitUntil(takeOver());
  if (event.data === 'versions') event.waitUntil(tellVersions(event.ports[0]));
});
self.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== 'GET' || url.origin !== self.location.origin || url.pathname.startsWith('/api/')) return;
  event.respondWith(answer(event.request));
});

/* All or nothing: one file that fails leaves the version before in its place. The HTTP cache could hold an older file. */
async function holdAll() {
  const cache = await caches.open(PREFIX + VERSION);
  try {
    await cache.addAll(ADDRESSES.map((address) => new Request(address, { cache: 'reload' })));
  } catch (error) {
    if (await versionNamed() !== VERSION) await caches.delete(PREFIX + VERSION);
    throw error;
  }
}

/* Older versions are removed, but for the one in use. */
async function begin() {
  const inUse = await versionTaken();
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && ![POINTER_CACHE, PREFIX + VERSION, PREFIX + inUse].includes(name)) await caches.delete(name);
  }
  await self.clients.claim();
}

/* The version that pages are given: the one that a page took, or this one when that was never said or is gone. */
async function versionTaken() {
  if (taken) return taken;
  const named = await versionNamed();
  taken = named && await caches.has(PREFIX + named) ? named : VERSION;
  if (taken !== named) await point(taken);
  return taken;
}

async function versionNamed() {
  const pointer = await (await caches.open(POINTER_CACHE)).match(POINTER);
  return pointer ? pointer.text() : null;
}

async function point(version) {
  taken = version;
  await (await caches.open(POINTER_CACHE)).put(POINTER, new Response(version));
}

async function takeOver() {
  await point(VERSION);
  await self.skipWaiting();
  await begin();
}

async function tellVersions(port) {
  port.postMessage({ taken: await versionTaken(), newest: VERSION });
}

async function answer(request) {
  const cache = await caches.open(PREFIX + await versionTaken());
  const own = request.mode === 'navigate' && new URL(request.url).pathname === PAGE ? PAGE : request;
  return await cache.match(own, { ignoreVary: true }) ?? fetch(request);
}
