// The one way to the engine: a server on this machine. A page that carries the engine with it has another module here.

const tab = Math.random().toString(36).slice(2, 12);
const newest = {}; // what is being asked, by kind of question

async function request(path, body, { method = 'POST', ...more } = {}) {
  const init = body === undefined ? {} : { method, body: JSON.stringify(body), headers: { 'Content-Type': 'application/json', 'X-Tab': tab + '-' + (body.what || '') + (body.kind || '') }, ...more };
  const response = await fetch(path, init);
  if (response.ok) return response;
  let why = response.statusText || 'no answer';
  try {
    why = (await response.json()).error || why;
  } catch {
    // no sentence came with it
  }
  throw Object.assign(new Error(why), { status: response.status });
}

const json = async (...what) => (await request(...what)).json();

// ask sends a question and calls part for each piece of the answer as it comes. A newer question of the same kind ends an
// older one. It gives false when it was ended.
export async function ask(question, part) {
  const kind = question.what || '';
  newest[kind]?.abort();
  const mine = (newest[kind] = new AbortController());
  try {
    const response = await request('api/ask', question, { signal: mine.signal });
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
export const start = () => json('api/start');

// load reads a job's file.
export const load = (name) => json('api/file?name=' + encodeURIComponent(name));

// markOf gives the mark of what a file holds now.
export const markOf = async (name) => (await json('api/file?mark&name=' + encodeURIComponent(name))).mark;

// save writes a job's file if it still has the mark; {mark} or {changed: sentence}.
export async function save(name, text, mark) {
  try {
    return await json('api/file', { name, text, mark }, { method: 'PUT' });
  } catch (e) {
    if (e.status === 409) return { changed: e.message };
    throw e;
  }
}

// documentOf makes a document of a question and gives it as {name, blob}.
export async function documentOf(question) {
  const response = await request('api/document', question);
  const match = /filename="?([^";]+)"?/.exec(response.headers.get('Content-Disposition') || '');
  return { name: match ? match[1] : question.name, blob: await response.blob() };
}

// paste reads a data sheet; {driver, remarks}.
export const paste = (text) => json('api/paste', { text });
