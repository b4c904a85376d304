// Fetches the wasm of the app, each piece whole or not at all. The pieces that
// come after the first share its memory and its table of functions. The binder
// writes the pieces in.
let connect_;
const first = new Promise((resolve) => { connect_ = resolve; });

// Takes what the first piece exports, once it is there.
export function connect(exports) {
  connect_(exports);
}

// `kind` tells the page of a failed start what to say.
function failed(kind, file, detail) {
  return Object.assign(new Error(`${file}: ${detail}`), { kind, file });
}

async function bytesOf(file, integrity, cache) {
  // A page that was not served securely takes no digests; the browser does.
  const digests = globalThis.crypto?.subtle;
  let response;
  let bytes;
  try {
    response = await fetch(new URL(file, import.meta.url), digests ? { cache } : { cache, integrity });
    bytes = await response.arrayBuffer();
  } catch (error) {
    // Without digests the browser only says that it did not take it.
    const is = !digests && await fetch(new URL(file, import.meta.url)).then(({ ok }) => ok, () => false);
    throw failed(is ? 'damaged' : 'network', file, error);
  }
  if (response.headers.has('Firstglow-Damaged')) throw failed('damaged', file, 'it does not match');
  if (!response.ok) throw failed('missing', file, `the server answers ${response.status}`);
  if (digests) {
    const digest = new Uint8Array(await digests.digest('SHA-256', bytes));
    if (`sha256-${btoa(String.fromCharCode(...digest))}` !== integrity) {
      throw failed('damaged', file, `${bytes.byteLength} bytes that do not match`);
    }
  }
  return bytes;
}

// A file of wasm, compiled once its bytes are known to be those of the build.
// What does not match is asked for once more, past what the browser kept of it.
export async function whole(file, integrity) {
  let bytes;
  try {
    bytes = await bytesOf(file, integrity, 'default');
  } catch {
    bytes = await bytesOf(file, integrity, 'reload');
  }
  try {
    return await WebAssembly.compile(bytes);
  } catch (error) {
    throw failed('browser', file, error);
  }
}

// Tells the first piece whether another one came, and the page why not.
async function load(file, integrity, done, data) {
  const exports = await first;
  const page = document.documentElement;
  let came = true;
  try {
    await WebAssembly.instantiate(await whole(file, integrity), { __wasm_split: exports });
    delete page.dataset.late;
  } catch (error) {
    console.warn(String(error));
    page.dataset.late = error.kind ?? 'app';
    came = false;
  }
  exports.__indirect_function_table.get(done)(data, came);
}

__PIECES__
