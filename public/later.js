// Fetches the pieces of the app that come after its first. They share its
// memory and its table of functions. The binder writes the pieces in.
let connect_;
const first = new Promise((resolve) => { connect_ = resolve; });

// Takes what the first piece exports, once it is there.
export function connect(exports) {
  connect_(exports);
}

async function start(file, exports) {
  const imports = { __wasm_split: exports };
  const response = await fetch(new URL(file, import.meta.url));
  if (!response.ok) throw new Error(`${file}: ${response.status}`);
  // Some servers do not know the type of wasm.
  if (response.headers.get('content-type') === 'application/wasm') {
    return WebAssembly.instantiateStreaming(response, imports);
  }
  return WebAssembly.instantiate(await response.arrayBuffer(), imports);
}

// Tells the first piece whether another one came.
async function load(file, done, data) {
  const exports = await first;
  let came = true;
  try {
    await start(file, exports);
  } catch (error) {
    console.warn(String(error));
    came = false;
  }
  exports.__indirect_function_table.get(done)(data, came);
}

__PIECES__
