// Keeps the site for use without a network, and offers a newer version once
// all of it is here. Nothing changes under a page that is in use.
// The binder writes in where the page of a failed start is.
const failurePage = __FAILURE__;
const page = document.documentElement;
const workers = navigator.serviceWorker;
let accepted = false;

function button(text, action) {
  const made = document.createElement('button');
  made.type = 'button';
  made.textContent = text;
  made.addEventListener('click', action);
  return made;
}

// The version of a worker; nothing where its script did not arrive whole.
function versionOf(worker) {
  return new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => done(data);
    setTimeout(done, 10000, null);
    worker.postMessage('version', [port2]);
  });
}

function takeOver(worker) {
  accepted = true;
  // Another tab may have let it take over already.
  if (worker.state === 'installed') worker.postMessage('take-over');
  else location.reload();
}

// Over the steps of a power-up lies nothing.
function place(note) {
  note.hidden = location.hash.includes('/power-up');
}

function offer(worker) {
  document.querySelector('[data-update-offer]')?.remove();
  const note = document.createElement('div');
  note.className = 'update-offer';
  note.dataset.updateOffer = '';
  note.setAttribute('role', 'status');
  const text = document.createElement('p');
  text.textContent = 'A newer version of Firstglow is ready.';
  note.append(
    text,
    button('Use it now', () => takeOver(worker)),
    button('Later', () => note.remove()),
  );
  place(note);
  addEventListener('hashchange', () => place(note));
  document.body.append(note);
}

// A worker that has all of its version.
async function isReady(worker, registration) {
  if (!await versionOf(worker)) return;
  const { active } = registration;
  // In the place of one that cannot answer, or of an app that does not run,
  // there is nothing to ask for.
  if (page.dataset.boot === 'failed') takeOver(worker);
  else if (active && !await versionOf(active)) worker.postMessage('take-over');
  else offer(worker);
}

function watch(registration) {
  const worker = registration.installing;
  worker?.addEventListener('statechange', () => {
    // Without an active one it is the first version, not a newer one.
    if (worker.state === 'installed' && registration.active) isReady(worker, registration);
    if (worker.state === 'redundant' && !registration.active) page.dataset.offline = 'refused';
  });
}

async function tellWhenKept() {
  const { active } = await workers.ready;
  if (active && await versionOf(active)) page.dataset.offline = 'ready';
}

async function register() {
  const registration = await workers.register('sw.js', { updateViaCache: 'none' });
  if (registration.waiting && registration.active) isReady(registration.waiting, registration);
  watch(registration);
  registration.addEventListener('updatefound', () => watch(registration));
  await tellWhenKept();
}

// What starts the app says that it runs, unless it did not arrive whole.
addEventListener('load', async () => {
  if (page.dataset.boot) return;
  page.dataset.boot = 'failed';
  dispatchEvent(new Event('firstglow-start-failed'));
  const { show } = await failurePage();
  await show(Object.assign(new Error('What starts the app did not come.'), { kind: 'unloaded' }));
});

// Asked for by the app itself, where a later piece of it does not come.
addEventListener('firstglow-fetch-again', async () => {
  const { fetchAgain } = await failurePage();
  dispatchEvent(new CustomEvent('firstglow-not-fetched', { detail: await fetchAgain() }));
});

// Whether the start failed for want of whole files.
function filesFailed() {
  const cause = document.querySelector('[data-cause]')?.dataset.cause;
  return ['damaged', 'missing', 'network', 'whole-now'].includes(cause);
}

if (workers) {
  // A newer version that waits may be the one that starts.
  addEventListener('firstglow-start-failed', async () => {
    const waiting = (await workers.getRegistration())?.waiting;
    if (waiting && await versionOf(waiting)) takeOver(waiting);
  });
  workers.addEventListener('controllerchange', () => {
    if (accepted) location.reload();
    // Whole files are here now; a page that says why it failed is left a moment.
    else if (page.dataset.boot === 'failed') setTimeout(() => filesFailed() && location.reload(), 1000);
    else tellWhenKept();
  });
  // The app works without it: private windows may refuse service workers.
  register().catch(() => { page.dataset.offline = 'unavailable'; });
}
