// The one way to the engine: this page carries it along, in a worker. The jobs of the folder are kept by this browser.

const key = 'cubby:'; // before the name of each file that is kept
const pending = []; // calls, the first of which the worker has
let module = null, worker = null, kinds = [], version = '', number = 0;

// begin sets up a worker with the engine in it.
function begin() {
  return new Promise((resolve, reject) => {
    worker = new Worker(new URL('worker.js', import.meta.url));
    worker.onerror = (e) => reject(new Error(e.message || 'the engine does not start'));
    worker.onmessage = ({ data }) => {
      if (data.ready) {
        [kinds, version] = [JSON.parse(data.ready), data.version];
        resolve();
        return;
      }
      const call = pending[0];
      if (!call || data.no !== call.no) return;
      if (data.part) call.part(JSON.parse(data.part));
      else if (data.file) call.part(data.file);
      else {
        pending.shift();
        if (data.error) call.reject(new Error(data.error));
        else call.resolve(true);
        next();
      }
    };
    worker.postMessage(module);
  });
}

// next gives the worker the call that is due.
function next() {
  const call = pending[0];
  if (!call || call.no) return;
  call.no = ++number;
  worker.postMessage({ no: call.no, to: call.to, body: call.body });
}

// call puts a call to the engine. A newer question of the same kind ends an older one: at once, with its worker, when it is
// being worked on.
function call(to, body, part) {
  const kind = to + (body.what || '') + (body.kind || '');
  return new Promise((resolve, reject) => {
    const old = to === 'ask' ? pending.findIndex((c) => c.kind === kind) : -1;
    const ended = old < 0 ? null : pending.splice(old, 1)[0];
    pending.push({ to, kind, part, resolve, reject, body: JSON.stringify({ ...body, files: folder() }) });
    if (!ended) next();
    else {
      ended.resolve(false);
      if (!ended.no) return;
      worker.terminate();
      begin().then(next, reject);
    }
  });
}

const folder = () => Object.fromEntries(names().map((n) => [n, localStorage.getItem(key + n)]));
const names = () => Object.keys(localStorage).filter((k) => k.startsWith(key)).map((k) => k.slice(key.length)).sort();

// ask sends a question and calls part for each piece of the answer as it comes. It gives false when it was ended.
export const ask = (question, part) => call('ask', question, part);

// start loads the engine, for this time and for when there is no network, and says which jobs there are and what can be made.
export async function start() {
  if (!module) await fetchAll();
  return { job: '', files: names(), documents: kinds, version };
}

async function fetchAll() {
  const began = performance.now();
  document.getElementById('app').textContent = 'The engine is being fetched, once: some 8 MB.';
  if (navigator.serviceWorker) await navigator.serviceWorker.register('sw.js').then(() => navigator.serviceWorker.ready, () => null);
  const get = async (name) => {
    const response = await fetch(name);
    if (!response.ok) throw new Error(`${name}: ${response.status}`);
    return response;
  };
  const packed = await get(new URL('engine.bin', import.meta.url));
  module = await WebAssembly.compile(await new Response(packed.body.pipeThrough(new DecompressionStream('gzip'))).arrayBuffer());
  await begin();
  if (!names().length) {
    const list = (await (await get('jobs/list.txt')).text()).trim().split('\n');
    await Promise.all(list.map(async (n) => localStorage.setItem(key + n, await (await get('jobs/' + n)).text())));
  }
  globalThis.engineReady = performance.now() - began;
}

// load reads a job's file; its mark is the text itself.
export async function load(name) {
  const text = localStorage.getItem(key + name);
  return text === null ? { text: '', mark: '', new: true } : { text, mark: text };
}

// markOf gives the mark of what a file holds now.
export const markOf = async (name) => localStorage.getItem(key + name) ?? '';

// save writes a job's file if it still has the mark; {mark} or {changed: sentence}.
export async function save(name, text, mark) {
  if ((await markOf(name)) !== mark) return { changed: name + ' has been changed in another tab; nothing was overwritten' };
  localStorage.setItem(key + name, text);
  return { mark: text };
}

// documentOf makes a document of a question and gives it as {name, blob}.
export async function documentOf(question) {
  let made = null;
  await call('document', question, (f) => (made = f));
  return { name: made.name, blob: new Blob([made.data], { type: made.type }) };
}

// paste reads a data sheet; {driver, remarks}.
export async function paste(text) {
  let read = null;
  await call('paste', { text }, (p) => (read = p));
  return read;
}
