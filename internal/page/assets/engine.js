// The one way to the engine. A page that carries the engine with it has another module in this place.

const tab = Math.random().toString(36).slice(2, 12);
let newest = null;

async function post(path, body, more = {}) {
  const { headers, ...rest } = more;
  return fetch(path, { method: 'POST', body: JSON.stringify(body), headers: { 'Content-Type': 'application/json', ...headers }, ...rest });
}

// said gives the sentence that an answer refuses with.
async function said(response) {
  try {
    return (await response.json()).error || response.statusText;
  } catch {
    return response.statusText || 'no answer';
  }
}

// ask sends a question and calls part for each piece of the answer as it comes. A newer question ends an older one.
// It gives false when it was ended.
export async function ask(question, part) {
  if (newest) newest.abort();
  const mine = (newest = new AbortController());
  try {
    const response = await post('/api/ask', question, { signal: mine.signal, headers: { 'X-Tab': tab } });
    if (!response.ok) throw new Error(await said(response));
    const reader = response.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = '';
    for (;;) {
      const { value, done } = await reader.read();
      if (done) break;
      rest += value;
      const lines = rest.split('\n');
      rest = lines.pop();
      for (const line of lines) if (line) part(JSON.parse(line));
    }
    return true;
  } catch (e) {
    if (e.name === 'AbortError') return false;
    throw e;
  }
}

// start says which jobs there are and what can be made.
export async function start() {
  const response = await fetch('/api/start');
  if (!response.ok) throw new Error(await said(response));
  return response.json();
}

// load reads a job's file.
export async function load(name) {
  const response = await fetch('/api/file?name=' + encodeURIComponent(name));
  if (!response.ok) throw new Error(await said(response));
  return response.json();
}

// markOf gives the mark of what a file holds now.
export async function markOf(name) {
  const response = await fetch('/api/file?mark&name=' + encodeURIComponent(name));
  if (!response.ok) throw new Error(await said(response));
  return (await response.json()).mark;
}

// save writes a job's file if it still has the mark; {mark} or {changed: sentence}.
export async function save(name, text, mark) {
  const response = await fetch('/api/file', {
    method: 'PUT', headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ name, text, mark }),
  });
  if (response.status === 409) return { changed: await said(response) };
  if (!response.ok) throw new Error(await said(response));
  return response.json();
}

// documentOf makes a document and gives it as {name, blob}.
export async function documentOf(kind, name, text) {
  const response = await post('/api/document', { kind, name, text }, { headers: { 'X-Tab': tab + '-' + kind } });
  if (!response.ok) throw new Error(await said(response));
  const disposition = response.headers.get('Content-Disposition') || '';
  const match = /filename="?([^";]+)"?/.exec(disposition);
  return { name: match ? match[1] : name, blob: await response.blob() };
}

// paste reads a data sheet; {driver, remarks}.
export async function paste(text) {
  const response = await post('/api/paste', { text });
  if (!response.ok) throw new Error(await said(response));
  return response.json();
}
