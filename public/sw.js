// Answers from the files of one version, all or none of them.
// The binder writes the version and the list in.
const VERSION = '__VERSION__';
const FILES = __FILES__;

// The folder is part of the name: sites on one host share their caches.
const SCOPE = new URL(self.registration.scope);
const OURS = `firstglow-${SCOPE.pathname}@`;
const CACHE = OURS + VERSION;

// The cache takes all files or none, and the version in use keeps its own.
async function fetchAll() {
  const cache = await caches.open(CACHE);
  await cache.addAll(FILES.map((file) => new Request(file, { cache: 'reload' })));
}

async function dropOlder() {
  const older = (await caches.keys()).filter((key) => key.startsWith(OURS) && key !== CACHE);
  await Promise.all(older.map((key) => caches.delete(key)));
  await self.clients.claim();
}

async function answer(request) {
  const { pathname } = new URL(request.url);
  const opensApp = request.mode === 'navigate'
    && (pathname === SCOPE.pathname || pathname === `${SCOPE.pathname}index.html`);
  const cache = await caches.open(CACHE);
  const kept = await cache.match(opensApp ? './' : request, { ignoreVary: true });
  return kept ?? fetch(request);
}

self.addEventListener('install', (event) => event.waitUntil(fetchAll()));
self.addEventListener('activate', (event) => event.waitUntil(dropOlder()));
self.addEventListener('message', (event) => {
  if (event.data === 'take-over') self.skipWaiting();
});
self.addEventListener('fetch', (event) => {
  const { method, url } = event.request;
  if (method === 'GET' && new URL(url).origin === SCOPE.origin) {
    event.respondWith(answer(event.request));
  }
});
