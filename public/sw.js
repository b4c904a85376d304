// Answers from the files of one version, all or none of them, each of them as
// it was built. The binder writes the version, the page and the hashes in. All
// of it stands in one block: a copy that was cut off anywhere is no script.
{
const VERSION = '__VERSION__';
// The page itself comes along, so that a host that rewrites it changes nothing.
const PAGE = __PAGE__;
// SHA-256 in base64, by file.
const HASHES = __HASHES__;

// The folder is part of the name: sites on one host share their caches.
const SCOPE = new URL(self.registration.scope);
const OURS = `firstglow-${SCOPE.pathname}@`;
const CACHE = OURS + VERSION;

const TYPES = {
  css: 'text/css; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  svg: 'image/svg+xml',
  wasm: 'application/wasm',
  webmanifest: 'application/manifest+json',
};

const digest = async (bytes) => new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
const ending = (file) => file.slice(file.lastIndexOf('.') + 1);

// The bytes of a response where they are those of the build, or nothing.
async function whole(file, response) {
  if (!response?.ok) return null;
  const bytes = await response.arrayBuffer();
  const found = btoa(String.fromCharCode(...await digest(bytes)));
  return found === HASHES[file] ? bytes : null;
}

function answerWith(file, bytes) {
  return new Response(bytes, { headers: { 'Content-Type': TYPES[ending(file)] } });
}

// A file from the network, past all other caches, or nothing where it does not
// match. It is kept before it is used.
async function fetched(cache, file) {
  const bytes = await whole(file, await fetch(new Request(file, { cache: 'reload' })));
  if (bytes) await cache.put(file, answerWith(file, bytes));
  return bytes;
}

// Caches may be damaged too: what lies there is checked like what comes in.
async function kept(cache, file) {
  const found = await cache.match(file, { ignoreVary: true });
  return found ? whole(file, found) : null;
}

// The version in use keeps its own cache; this one counts when all is in it.
async function fetchAll() {
  const cache = await caches.open(CACHE);
  const older = (await olderCaches()).map((key) => caches.open(key));
  const places = [cache, ...await Promise.all(older)];
  await Promise.all(Object.keys(HASHES).map(async (file) => {
    for (const place of places) {
      const bytes = await kept(place, file);
      if (bytes) {
        if (place !== cache) await cache.put(file, answerWith(file, bytes));
        return;
      }
    }
    if (!await fetched(cache, file)) throw new Error(`${file} does not match the build`);
  }));
}

async function olderCaches() {
  return (await caches.keys()).filter((key) => key.startsWith(OURS) && key !== CACHE);
}

// Whether a version before this one kept a file that is not as it was built.
// Names told the content of files before there were hashes: the first eight
// bytes of the digest of length and content.
async function keptDamage() {
  for (const key of await olderCaches()) {
    const cache = await caches.open(key);
    for (const request of await cache.keys()) {
      const [, name] = /-([0-9a-f]{16})\.\w+$/.exec(new URL(request.url).pathname) ?? [];
      if (!name) continue;
      const content = new Uint8Array(await (await cache.match(request)).arrayBuffer());
      const named = new Uint8Array(8 + content.length);
      new DataView(named.buffer).setBigUint64(0, BigInt(content.length), true);
      named.set(content, 8);
      const start = (await digest(named)).subarray(0, 8);
      if ([...start].map((byte) => byte.toString(16).padStart(2, '0')).join('') !== name) return true;
    }
  }
  return false;
}

async function install() {
  await fetchAll();
  // A version that cannot start is not waited for.
  if (await keptDamage()) self.skipWaiting();
}

async function activate() {
  await Promise.all((await olderCaches()).map((key) => caches.delete(key)));
  await self.clients.claim();
}

async function answer(request) {
  const { pathname } = new URL(request.url);
  const file = pathname.startsWith(SCOPE.pathname) ? pathname.slice(SCOPE.pathname.length) : null;
  if (request.mode === 'navigate' && (file === '' || file === 'index.html')) {
    return new Response(PAGE, { headers: { 'Content-Type': 'text/html; charset=utf-8' } });
  }
  if (file === null || !Object.hasOwn(HASHES, file)) return fetch(request);
  const cache = await caches.open(CACHE);
  const bytes = await kept(cache, file) ?? await fetched(cache, file);
  if (bytes) return answerWith(file, bytes);
  return new Response(null, { status: 502, headers: { 'Firstglow-Damaged': file } });
}

self.addEventListener('install', (event) => event.waitUntil(install()));
self.addEventListener('activate', (event) => event.waitUntil(activate()));
self.addEventListener('message', ({ data, ports: [port] }) => {
  if (data === 'take-over') self.skipWaiting();
  // A copy of this file that is empty is a worker too, but it does not answer.
  if (data === 'version') port.postMessage(VERSION);
});
self.addEventListener('fetch', (event) => {
  const { method, url } = event.request;
  if (method === 'GET' && new URL(url).origin === SCOPE.origin) {
    event.respondWith(answer(event.request));
  }
});
}
