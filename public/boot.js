// Starts the app, and says so in plain words when it cannot start.
// The binder writes the start function in.
const start = __START__;

function element(tag, text) {
  const made = document.createElement(tag);
  made.textContent = text;
  return made;
}

function showFailure(error) {
  const note = element('div', '');
  note.setAttribute('role', 'alert');
  note.append(
    element('h1', 'Firstglow could not start'),
    element('p', 'It needs a browser that runs WebAssembly. Update this browser or switch WebAssembly on, then open the page again.'),
    element('p', 'Saved work is untouched. It stays on this device.'),
    element('pre', String(error)),
  );
  const main = element('main', '');
  main.className = 'boot-failure';
  main.append(note);
  document.body.append(main);
}

start().then(
  () => { document.documentElement.dataset.boot = 'ready'; },
  (error) => {
    document.documentElement.dataset.boot = 'failed';
    showFailure(error);
  },
);
