// The page of a failed start. It uses nothing of the app: it says what failed,
// offers the saved work as files and fetches the app again.
const KEY = 'firstglow/bench';
const DATABASE = 'firstglow-bench';
// What the service worker calls its caches.
const OURS = `firstglow-${new URL('./', location.href).pathname}@`;
const RELOADED = 'firstglow/reloaded';
const PATIENCE = 5000;
// The single file names nothing.
const isSite = named().length > 0;

function element(tag, text, more = {}) {
  return Object.assign(document.createElement(tag), { textContent: text }, more);
}

// Every file that the page names with what it must be.
function named() {
  return [...document.querySelectorAll('[integrity]')].map((one) => ({
    file: (one.src || one.href).split('/').pop(),
    address: one.src || one.href,
    integrity: one.integrity,
  }));
}

// How a file stands, past what the browser kept of it; nothing where it is whole.
async function lookAt({ file, address, integrity }) {
  let response;
  try {
    response = await fetch(address, { cache: 'reload' });
    const bytes = await response.arrayBuffer();
    if (response.headers.has('Firstglow-Damaged')) return { kind: 'damaged', file };
    if (!response.ok) return { kind: 'missing', file };
    if (!globalThis.crypto?.subtle) return null;
    const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
    const is = `sha256-${btoa(String.fromCharCode(...digest))}`;
    return is === integrity ? null : { kind: 'damaged', file };
  } catch {
    return { kind: 'network', file };
  }
}

// What failed: the error says so itself, or a look at the files does.
async function causeOf(error) {
  if (error?.kind === 'unloaded') {
    const found = (await Promise.all(named().map(lookAt))).find(Boolean);
    return found ?? { kind: error.cause instanceof SyntaxError ? 'browser' : 'whole-now' };
  }
  if (error?.kind) return error;
  const { CompileError, LinkError } = globalThis.WebAssembly ?? {};
  const is = (kind) => kind && error instanceof kind;
  return { kind: is(CompileError) || is(LinkError) ? 'browser' : 'app' };
}

function words({ kind, file }) {
  const name = file ? ` (${file})` : '';
  switch (kind) {
    case 'damaged':
      return `A file of the app does not match its build${name}, so it was not used. Its copy on `
        + 'the server may not be finished, or something on the way cut it off or changed it.';
    case 'missing':
      return `The server does not give out a file of the app${name}. A newer version may just be `
        + 'on its way there.';
    case 'network':
      return `A file of the app could not be fetched${name}: the network or the server did not `
        + 'answer, or broke off.';
    case 'browser':
      return 'The files of the app are whole, but this browser could not run them. It may be too '
        + 'old, or WebAssembly is switched off in it.';
    case 'whole-now':
      return 'A file of the app did not arrive whole at first. All of them are here now: try again.';
    default:
      return 'Something in the app itself went wrong at its start.';
  }
}

function within(time, promise) {
  return Promise.race([promise, new Promise((done) => { setTimeout(done, time, null); })]);
}

// The second copy, from the browser's database. One that is not there is not made.
function fromDatabase() {
  return new Promise((done) => {
    const asked = indexedDB.open(DATABASE);
    asked.onupgradeneeded = () => asked.transaction.abort();
    asked.onerror = () => done(null);
    asked.onsuccess = () => {
      try {
        const found = asked.result.transaction('bench').objectStore('bench').get('bench');
        found.onsuccess = () => done(found.result ?? null);
        found.onerror = () => done(null);
      } catch {
        done(null);
      }
    };
  });
}

// The copies of the saved work that there are, each once.
async function savedWork() {
  const copies = [];
  let mayRead = true;
  try {
    copies.push(localStorage.getItem(KEY));
  } catch {
    mayRead = false;
  }
  try {
    copies.push(await within(PATIENCE, fromDatabase()));
  } catch {
    mayRead = false;
  }
  const all = [...new Set(copies.filter((copy) => typeof copy === 'string' && copy))];
  return { all, mayRead };
}

async function offerSavedWork(main) {
  const { all, mayRead } = await savedWork();
  if (!all.length) {
    main.append(element('p', mayRead
      ? 'Saved work is untouched: there is none in this browser yet.'
      : 'This browser does not let the page look for saved work.'));
    return;
  }
  main.append(element('p', 'Saved work is untouched: it stays in this browser. Here it is as a '
    + 'file, which Firstglow opens on any device. Photos are not in the file; they stay in this '
    + 'browser too.'));
  const list = element('p', '', { className: 'boot-failure__buttons' });
  all.forEach((copy, at) => {
    list.append(at
      ? fileOf(copy, 'Download its second copy', 'firstglow-saved-second-copy.json')
      : fileOf(copy, 'Download the saved work', 'firstglow-saved.json'));
  });
  main.append(list);
}

function fileOf(text, name, download) {
  const href = URL.createObjectURL(new Blob([text], { type: 'application/json' }));
  return element('a', name, { className: 'button', href, download });
}

// The page of an app that has stopped offers what lies in the storage. What the
// database holds besides may be later.
async function addSecondCopy() {
  const main = document.querySelector('[data-screen=failure]');
  const stored = localStorage.getItem(KEY);
  const [other] = (await savedWork()).all.filter((copy) => copy !== stored);
  if (other) main.append(fileOf(other, 'Download its second copy', 'firstglow-saved-second-copy.json'));
}

// Drops what is kept of the app and fetches all of it from the server. Saved
// work lies elsewhere. Without a network what is kept is all there is: then
// nothing is dropped. Says what stands in the way, if something does.
async function fetchAgain() {
  try {
    const { ok } = await within(PATIENCE, fetch('sw.js', { cache: 'reload' })) ?? {};
    if (!ok) throw new Error();
  } catch {
    return 'The network or the server does not answer. Nothing was dropped. Try again later.';
  }
  try {
    const registration = await navigator.serviceWorker?.getRegistration();
    await registration?.unregister();
    const keys = globalThis.caches ? await caches.keys() : [];
    await Promise.all(keys.filter((key) => key.startsWith(OURS)).map((key) => caches.delete(key)));
  } catch {
    // Where the browser keeps nothing there is nothing to drop.
  }
  const addresses = [location.href.split('#')[0], ...named().map(({ address }) => address)];
  await Promise.allSettled(addresses.map((address) => fetch(address, { cache: 'reload' })));
  location.reload();
  return '';
}

function buttons() {
  const said = element('p', '');
  said.setAttribute('role', 'status');
  const list = element('p', '', { className: 'boot-failure__buttons' });
  const add = (text, action) => {
    list.append(element('button', text, { type: 'button', className: 'button', onclick: action }));
  };
  add('Try again', () => location.reload());
  if (isSite) {
    add('Fetch the app again', async () => {
      said.textContent = 'Fetching…';
      said.textContent = await fetchAgain();
    });
  }
  return [list, said];
}

// Once, and not for ever: a copy that the browser kept was damaged, and is no more.
function reloadOnce() {
  try {
    if (sessionStorage.getItem(RELOADED)) return false;
    sessionStorage.setItem(RELOADED, '1');
  } catch {
    return false;
  }
  location.reload();
  return true;
}

async function show(error) {
  const cause = await causeOf(error);
  if (cause.kind === 'whole-now' && reloadOnce()) return;
  // What the app said before it went down.
  const told = document.querySelector('[data-screen=failure] pre')?.textContent;
  const main = element('main', '', { className: 'boot-failure' });
  main.dataset.screen = 'failure';
  main.dataset.cause = cause.kind;
  const note = element('div', '');
  note.setAttribute('role', 'alert');
  note.append(element('h1', 'Firstglow could not start'), element('p', words(cause)));
  main.append(note);
  if ('altered' in document.documentElement.dataset) {
    main.append(element('p', 'The page itself was altered on its way here: by the server, the '
      + 'network or an add-on of this browser.'));
  }
  await offerSavedWork(main);
  main.append(...buttons(), element('pre', told ?? String(error)));
  document.body.replaceChildren(main);
}

__EXPORT__
