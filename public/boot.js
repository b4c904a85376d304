// Starts the app, and says so in plain words when it cannot start.
// The binder writes in how it starts, and where the page of a failed start is.
const start = __START__;
const failurePage = __FAILURE__;
const page = document.documentElement;
// As the browser got it: nothing of ours has touched it yet.
const received = page.outerHTML;
page.dataset.boot = 'starting';

// Whether something on the way changed the page. The binder writes the digest
// of the page in, without spaces; pages that were not served securely, and the
// single file, go without.
async function isAltered() {
  const { built } = page.dataset;
  const digests = globalThis.crypto?.subtle;
  if (!built || !digests) return false;
  const text = received.replace(` data-built="${built}"`, '').replace(/\s+/g, '').replaceAll('=""', '');
  const digest = new Uint8Array(await digests.digest('SHA-256', new TextEncoder().encode(text)));
  return `sha256-${btoa(String.fromCharCode(...digest))}` !== built;
}

// Something that the page names did not come, or not whole.
function unloaded(cause) {
  return Object.assign(new Error(String(cause)), { kind: 'unloaded', cause });
}

async function run() {
  if (await isAltered()) page.dataset.altered = '';
  if (typeof WebAssembly !== 'object') {
    throw Object.assign(new Error('There is no WebAssembly.'), { kind: 'browser' });
  }
  const style = document.querySelector('link[rel=stylesheet]');
  if (style && !style.sheet) throw unloaded(new Error('The style sheet did not come.'));
  await start();
}

// Should that page not come either.
function showLittle(error) {
  const main = document.createElement('main');
  main.className = 'boot-failure';
  for (const [tag, text] of [
    ['h1', 'Firstglow could not start'],
    ['p', 'Files of the app are missing or do not match their build. Saved work is untouched: it '
      + 'stays in this browser. Open the page again when the network and the server work.'],
    ['pre', String(error)],
  ]) main.appendChild(document.createElement(tag)).textContent = text;
  document.body.replaceChildren(main);
}

// The app says so when it has stopped later on.
addEventListener('firstglow-stopped', async () => (await failurePage()).addSecondCopy());

run().then(
  () => {
    page.dataset.boot = 'ready';
    document.getElementById('waiting')?.remove();
    try {
      sessionStorage.removeItem('firstglow/reloaded');
    } catch {
      // What is not kept need not be removed.
    }
  },
  async (error) => {
    console.warn(String(error));
    page.dataset.boot = 'failed';
    dispatchEvent(new Event('firstglow-start-failed'));
    try {
      await (await failurePage()).show(error);
    } catch {
      showLittle(error);
    }
  },
);
