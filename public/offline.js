// Keeps the site for use without a network, and offers a newer version once
// all of it is here. Nothing changes under a page that is in use.
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

function takeOver(worker) {
  accepted = true;
  // Another tab may have let it take over already.
  if (worker.state === 'installed') worker.postMessage('take-over');
  else location.reload();
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
  document.body.append(note);
}

function watch(worker) {
  worker.addEventListener('statechange', () => {
    // Without a controller it is the first version, not a newer one.
    if (worker.state === 'installed' && workers.controller) offer(worker);
  });
}

async function register() {
  const registration = await workers.register('sw.js', { updateViaCache: 'none' });
  if (registration.waiting && workers.controller) offer(registration.waiting);
  if (registration.installing) watch(registration.installing);
  registration.addEventListener('updatefound', () => watch(registration.installing));
  await workers.ready;
  page.dataset.offline = 'ready';
}

if (workers) {
  workers.addEventListener('controllerchange', () => {
    if (accepted) location.reload();
  });
  // The app works without it: private windows may refuse service workers.
  register().catch(() => { page.dataset.offline = 'unavailable'; });
}
