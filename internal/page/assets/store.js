// What the page knows, and the ways in which it changes. The text of the job is the truth; all else follows from it.

import * as engine from './engine.js';
import { at, plain, shown } from './tree.js';

export const S = {
  name: '', text: '', mark: '', saved: '', fresh: true, // the file: name, text, mark of what is on disk, time of saving
  job: null, design: null, curves: [], failed: null, // parts of the answer
  held: null, // a design to compare with: that of the job as it was opened, or one that was held
  view: 'mm', step: 1, pick: 0, wanted: 0, more: false, // wanted: the design that was picked; more: alternatives are still to come
  station: 0, block: -1, // what is looked at
  undo: [], redo: [], kept: {}, keptNodes: {}, refused: {}, // texts before; last right values by path; edits that could not be made
  waiting: false, stale: false, conflict: '', trouble: '', told: '',
  files: [], documents: [], version: '', doubts: [], other: {}, // doubts by the engine; answers to other questions, by name
};

const listeners = [];

// onChange calls f after every change of what is known.
export function onChange(f) {
  listeners.push(f);
}

let frame = 0;

// changed shows what has changed, once for all changes of a moment.
export function changed() {
  if (frame) return;
  frame = requestAnimationFrame(() => {
    frame = 0;
    for (const f of listeners) f();
  });
}

let queue = Promise.resolve();

// edit makes edits in the text and asks for what follows. Each is {op, path, value}; they are made together, after those
// that were asked for before. first is done in their turn, before them: whatever else sets the text.
export function edit(edits, { undoable = true, first } = {}) {
  queue = queue.then(() => {
    if (first) first();
    return make(edits, undoable);
  }).catch((e) => {
    S.trouble = e.message;
    S.waiting = false;
    changed();
  });
  return queue;
}

// make asks the engine and returns once the text is known; the design comes later.
function make(edits, undoable) {
  const before = S.text;
  const was = new Map(edits.filter((e) => e.op === 'set').map((e) => [e.path, S.job && at(S.job.tree, e.path)]));
  S.waiting = true;
  changed();
  const asked = performance.now();
  return new Promise((resolve, reject) => {
    const kept = Object.entries(S.kept).map(([path, value]) => (value === null ? { op: 'delete', path } : { op: 'set', path, value }));
    for (const [path, node] of was) if (!(path in S.kept)) kept.push(node ? { op: 'set', path, value: plain(node) } : { op: 'delete', path });
    engine.ask({ name: S.name || 'job.yaml', text: before, edits, kept }, (part) => {
      S.trouble = '';
      if (part.part === 'job') {
        takeJob(part, edits, was);
        if (S.text !== before && undoable) {
          S.undo.push(before);
          if (S.undo.length > 200) S.undo.shift();
          S.redo = [];
        }
        resolve();
      } else take(part);
      if (part.part === 'design' && (part.more || !S.tookFirst)) S.tookFirst = performance.now() - asked;
      if (part.part === 'design') S.took = performance.now() - asked;
      changed();
    }).then((whole) => {
      if (whole) {
        S.waiting = false;
        if (S.job && S.job.faults.length && !S.keptUsed) S.stale = !!S.design;
      }
      changed();
      resolve();
    }, reject);
  });
}

// takeJob takes the text after the edits, and remembers the last right values of fields that are now at fault.
function takeJob(part, edits, was) {
  S.refused = {};
  if (part.refused) for (const e of edits) S.refused[e.path] = part.refused;
  S.job = part;
  S.text = part.text;
  S.failed = null;
  S.keptUsed = false;
  S.stale = !!S.design;
  const bad = (path) => part.faults.some((f) => touches(f.field, path));
  for (const path of Object.keys(S.kept)) if (!bad(path)) {
    delete S.kept[path];
    delete S.keptNodes[path];
  }
  for (const [path, node] of was) {
    if (!bad(path) || path in S.kept) continue;
    S.kept[path] = node ? plain(node) : null;
    if (node) S.keptNodes[path] = node;
  }
  scheduleSave();
}

function take(part) {
  if (part.part === 'design') {
    const before = S.design;
    Object.assign(S, { design: part.design, doubts: part.doubts, keptUsed: part.kept, stale: false, more: part.more });
    if (part.more && before) { // what is still to come stands as it was, marked
      S.design.designs.push(...before.designs.slice(1).map((d) => ({ ...d, old: true })));
      Object.assign(S.design, { size_tradeoff: before.size_tradeoff, outcomes: before.outcomes });
    }
    S.pick = Math.min(S.wanted, Math.max(0, S.design.designs.length - 1));
  } else if (part.part === 'curves') {
    S.curves = S.more ? [...part.curves, ...S.curves.slice(1)] : part.curves;
    if (!S.held && !S.more && S.design.designs.length) hold('before');
  }
  else if (part.part === 'failed') {
    S.failed = part;
    S.stale = !!S.design;
  }
}

// hold keeps the design that is looked at, to compare later ones with it.
export function hold(name) {
  S.held = { name, text: S.text, design: S.design.designs[S.pick], curves: S.curves[S.pick] };
  changed();
}

// touches reports whether a fault at a field is one of the value at a path.
export function touches(field, path) {
  return field === path || field.startsWith(path + '.') || field.startsWith(path + '[');
}

// faultAt finds the fault of a field's own value.
export function faultAt(path) {
  if (S.refused[path]) return { field: path, want: S.refused[path], value: '' };
  const all = [...(S.job?.faults || []), ...(S.other.check.failed?.faults || [])];
  return all.find((f) => (f.file === S.name || f.file === 'job.yaml' || !f.file) && touches(f.field, path));
}

// set writes a value at a path; an empty text takes it out.
export function set(path, value) {
  if (value === '' || value === null) return edit([drop(path)]);
  return edit([{ op: 'set', path, value }]);
}

// drop is the edit that takes out what stands at a path, and what would be left empty about it.
export function drop(path) {
  for (let up; (up = path.replace(/(^|\.)[^.[\]]+$|\[\d+\]$/, '')); path = up) {
    const n = at(S.job.tree, up);
    if ((n?.k || n?.l || []).length !== 1) break;
  }
  return { op: 'delete', path };
}

// setLength writes a length as it was typed; one without a unit is in the system shown.
export function setLength(path, text) {
  text = text.trim();
  const node = at(S.job.tree, path);
  if (node && shown(node, S.view) === text) return Promise.resolve();
  if (text && text !== '?' && S.view !== S.job.units && /[\d)]$/.test(text)) text += ' ' + S.view;
  return set(path, text);
}

// undo and redo go through the texts.
export function undo() {
  swap(S.undo, S.redo);
}
export function redo() {
  swap(S.redo, S.undo);
}
function swap(from, to) {
  edit([], {
    undoable: false,
    first: () => {
      if (!from.length) return;
      to.push(S.text);
      Object.assign(S, { text: from.pop(), kept: {}, keptNodes: {} });
    },
  });
}

let saving = 0;

function scheduleSave() {
  clearTimeout(saving);
  saving = setTimeout(saveNow, 250);
}

let inFlight = null;

// saveNow puts the text into its file, unless that has changed meanwhile.
export async function saveNow() {
  while (inFlight) await inFlight; // several may wait for one
  if (!S.name || S.conflict || S.text === S.saved) return;
  const text = S.text;
  inFlight = (async () => {
    try {
      const answer = await engine.save(S.name, text, S.mark);
      if (answer.changed) S.conflict = answer.changed;
      else {
        S.mark = answer.mark;
        S.saved = text;
        S.savedAt = new Date();
        S.fresh = false;
      }
    } catch (e) {
      S.trouble = 'Not saved: ' + e.message;
    }
  })();
  await inFlight;
  inFlight = null;
  changed();
  if (S.text !== S.saved && !S.conflict && !S.trouble) scheduleSave();
}

// watch notices a file that another program or another tab has changed.
export async function watch() {
  if (!S.name || S.conflict || inFlight || document.hidden || S.fresh) return;
  try {
    const mark = S.mark, now = await engine.markOf(S.name);
    if (now !== S.mark && mark === S.mark && !inFlight) {
      S.conflict = S.name + ' has been changed by another program or in another tab. Nothing here has been overwritten, nor there.';
      changed();
    }
  } catch {
    S.trouble = 'The program behind this page has ended. What was saved is saved; start cubby page again.';
    changed();
  }
}

// openJob shows a job's file.
export async function openJob(name) {
  const file = await engine.load(name);
  const first = () => Object.assign(S, {
    name, text: file.text, mark: file.mark, saved: file.text, fresh: !!file.new, undo: [], redo: [], kept: {}, keptNodes: {}, refused: {},
    design: null, curves: [], failed: null, conflict: '', trouble: '', pick: 0, wanted: 0, station: 0, block: -1, doubts: [], held: null,
  });
  for (const o of Object.values(S.other)) Object.assign(o, { with: [], given: {}, pick: 0, answer: null, failed: null, asked: '', waiting: false });
  await edit([], { undoable: false, first });
  if (S.job && S.text) S.view = S.job.units;
  changed();
}

// takeDisk shows what is on disk instead; what was here can be had back by undo.
export async function takeDisk() {
  const file = await engine.load(S.name);
  await edit([], {
    undoable: false,
    first: () => {
      S.undo.push(S.text);
      Object.assign(S, { text: file.text, mark: file.mark, saved: file.text, conflict: '', kept: {}, keptNodes: {} });
    },
  });
}

// saveAs goes on under another name.
export async function saveAs(name) {
  if (!/\.ya?ml$/.test(name)) name += '.yaml';
  const file = await engine.load(name);
  if (!file.new) {
    S.trouble = name + ' exists already; choose another name.';
    changed();
    return;
  }
  Object.assign(S, { name, mark: '', saved: '', conflict: '', trouble: '' });
  await saveNow();
  await edit([], { undoable: false });
}
