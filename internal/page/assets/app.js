// The page: head, verdict, steps at the left, the picture at the right.

import { h, render } from './dom.js';
import * as engine from './engine.js';
import { S, onChange, changed, openJob, edit, undo, redo, saveAs, saveNow, watch, takeDisk } from './store.js';
import { band } from './verdict.js';
import { at } from './tree.js';
import { press } from './field.js';
import * as space from './space.js';
import * as steps from './steps.js';
import * as answer from './answer.js';
import * as others from './others.js';

const parts = [
  null,
  { left: space.left, right: space.right, summary: space.summary },
  { left: steps.driverLeft, right: steps.driverRight, summary: steps.driverSummary },
  { left: steps.amplifierLeft, right: answerRight, summary: steps.amplifierSummary },
  { left: steps.woodLeft, right: answerRight, summary: steps.woodSummary },
  { left: steps.wishLeft, right: answerRight, summary: steps.wishSummary },
  { left: answer.left, right: answer.right, summary: answer.summary },
  { left: others.checkLeft, right: others.checkRight, summary: others.checkSummary },
  { left: others.measuredLeft, right: others.measuredRight, summary: others.measuredSummary },
  { left: others.rankLeft, right: others.rankRight, summary: others.rankSummary },
  { left: others.sheetsLeft, right: others.sheetsRight, summary: others.sheetsSummary },
];

// answerRight shows what a change does, where the step itself has no picture.
function answerRight() {
  return S.design?.designs.length ? answer.seen() : [h('h3', null, 'The box'), h('p.told', null, 'It is drawn here as soon as space, driver and board are known.')];
}

let listed = false; // on a phone, whether the shut steps are shown

let naming = null; // the name that is being typed, or null

function head() {
  const state = !S.name ? '' : S.conflict ? 'not saved' : S.text === S.saved && S.savedAt ? 'saved ' + S.savedAt.toTimeString().slice(0, 5) : S.fresh ? 'new' : S.text === S.saved ? 'as on disk' : 'saving …';
  return h('header', null,
    h('a.skip', { href: '#step' }, 'To the open step'),
    h('p.job', null, h('b', null, S.name || 'cubby'), ' ', h('span.soft', null, state)),
    h('div.tools', null,
      h('button.link', { type: 'button', onclick: undo, disabled: !S.undo.length }, 'Undo'),
      headTools(),
      h('div.units', { role: 'group', 'aria-label': 'Units shown' }, ['mm', 'in'].map((u) => h('button.press', { key: u, type: 'button', 'aria-pressed': String(S.view === u), class: S.view === u ? 'on' : '', onclick: () => setView(u) }, u)))));
}

// headTools are what a phone has under its list of steps.
const headTools = () => [
  h('button.link.wide', { key: 'redo', type: 'button', onclick: redo, disabled: !S.redo.length }, 'Redo'),
  h('button.link.wide', { key: 'as', type: 'button', onclick: () => { naming = naming === null ? S.name.replace(/\.ya?ml$/, '-2.yaml') : null; changed(); } }, 'Save as…'),
  h('button.link.wide', { key: 'jobs', type: 'button', onclick: () => choose() }, 'Jobs')];

// setView shows the other system. A job that has no size yet is also written in it from now on.
function setView(u) {
  S.view = u;
  const bare = S.job && !/\d/.test(S.text.replace(/^\s*(title|date).*$/gm, ''));
  if (bare && S.job.units !== u) edit([{ op: 'set', path: 'units', value: u }]);
  changed();
}

async function choose() {
  await saveNow();
  const s = await engine.start();
  S.files = s.files;
  S.name = '';
  S.job = null;
  S.design = null;
  changed();
}

function chooser() {
  const jobs = S.files.filter((f) => /\.ya?ml$/.test(f) && !/(^|\/)drivers\//.test(f));
  const fresh = () => {
    let name = (document.getElementById('new-name').value.trim() || 'job').replace(/\.ya?ml$/, '') + '.yaml';
    for (let i = 2; S.files.includes(name); i++) name = name.replace(/(-\d+)?\.yaml$/, `-${i}.yaml`);
    go(name);
  };
  return h('main.choose', null,
    h('h1', null, 'Which job?'),
    h('div.row', null, h('div.gauge.wide', null, h('label', { for: 'new-name' }, 'A new one, called'), h('input', { id: 'new-name', value: 'job', onkeydown: (e) => e.key === 'Enter' && fresh() })), h('button.press.lead', { type: 'button', onclick: fresh, id: 'begin' }, 'Begin')),
    h('div.gauge.wide', null, h('label', { for: 'bring' }, 'or bring a job’s file'), h('input.file', { id: 'bring', type: 'file', accept: '.yaml,.yml', onchange: (e) => bring(e.target.files[0]) })),
    jobs.length ? h('h3', null, 'or one of this folder') : null,
    h('ul.jobs', null, jobs.map((f) => h('li', { key: f }, press(f, () => go(f))))),
    S.trouble ? h('p.why', { role: 'alert' }, S.trouble) : null);
}

// bring takes a file from elsewhere into the folder and opens it.
async function bring(file) {
  const kept = await engine.save(file.name, await file.text(), '').catch((e) => ({ changed: e.message }));
  if (!kept.changed) return go(file.name);
  S.trouble = kept.changed;
  changed();
}

async function go(name) {
  try {
    await openJob(name);
    if (!S.text.trim()) await edit([{ op: 'set', path: 'title', value: name.replace(/\.ya?ml$/, '') }, { op: 'set', path: 'units', value: S.view }], { undoable: false }); // a new job
    S.step = at(S.job?.tree, 'box') ? 7 : S.design || (S.job && !S.job.faults.length) ? 6 : 1;
  } catch (e) {
    S.trouble = e.message;
  }
  changed();
}

function notices() {
  return [
    S.conflict ? h('div.notice', { role: 'alert' }, h('b', null, '✕ ' + S.conflict), h('div.row', null, press('Show what is on disk', takeDisk, { id: 'take-disk' }), press('Keep mine under another name', () => { naming = S.name.replace(/\.ya?ml$/, '-2.yaml'); changed(); }))) : null,
    S.trouble ? h('div.notice', { role: 'alert' }, h('b', null, '✕ '), S.trouble, ' ', press('Well', () => { S.trouble = ''; changed(); })) : null,
    naming !== null ? h('div.notice', null, h('div.row', null, h('div.gauge.wide', null, h('label', { for: 'save-as' }, 'Go on under the name'), h('input', { id: 'save-as', value: naming, oninput: (e) => (naming = e.target.value) })), h('button.press.lead', { type: 'button', onclick: () => { const n = naming; naming = null; saveAs(n); } }, 'Save'), press('Leave it', () => { naming = null; changed(); }))) : null,
    S.told ? h('div.notice.quiet', { role: 'status' }, S.told, ' ', press('Well', () => { S.told = ''; changed(); })) : null,
  ];
}

function stepList() {
  const todo = steps.open();
  return h('div.steps', { class: listed ? 'all' : '' }, parts.map((p, i) => {
    if (!p) return null;
    const mine = todo.filter((x) => x.step === i && (x.kind === 'missing' || x.kind === 'refused'));
    const flag = mine.length ? (mine.some((x) => x.kind === 'refused') ? ' ✕' : ' ?') : '';
    const openNow = S.step === i;
    return [i === 7 ? h('h3.beside', { key: 'beside' }, 'Beside it') : null, h('section.step', { key: i, class: openNow ? 'open' : 'shut', id: openNow ? 'step' : undefined },
      h('h2', null, h('button.stepname', { type: 'button', 'aria-expanded': String(openNow), class: mine.length ? 'todo' : '', onclick: () => { listed = openNow && !listed; S.step = i; changed(); if (!openNow) window.scrollTo({ top: 0 }); } },
        h('span.no', null, i > 6 ? '+' : String(i)), h('span.name', null, steps.names[i] + flag), openNow ? null : h('span.soft.sum', null, p.summary()))),
      openNow ? h('div.body', null, p.left(), steps.more(i)) : null)];
  }), h('div.row.tucked', { key: 'tucked' }, headTools()));
}

function page() {
  if (!S.name || !S.job) return h('div.page', null, head(), chooser());
  const right = parts[S.step].right();
  return h('div.page', { class: 'at' + S.step }, head(), band(), notices(),
    h('main.two', null, h('div.left', null, stepList()), right ? h('div.right', { role: 'group', 'aria-label': 'The picture' }, right) : null));
}

const host = document.getElementById('app');

// onPaper draws everything anew for a sheet, in black on white, with the folds of an answer open; and back.
function onPaper(on) {
  document.documentElement.classList.toggle('paper', on);
  for (const d of document.querySelectorAll(on ? 'details:not([open])' : 'details.unfolded')) if (S.step > 5) [d.open, d.className] = [on, on ? 'unfolded' : ''];
  show();
  const view = document.querySelector('.stage canvas'), still = on && view && Object.assign(document.createElement('canvas'), { width: view.width, height: view.height, className: 'still' });
  document.querySelector('.still')?.remove();
  if (!still) return;
  still.getContext('2d', { willReadFrequently: true }).drawImage(view, 0, 0); // what the graphics card draws does not reach the sheet
  view.after(still);
}

// measure tells the drawings how wide they may be: they are drawn anew for their width, not scaled.
function measure() {
  const paper = document.documentElement.classList.contains('paper'), w = paper ? 680 : Math.max(320, document.documentElement.clientWidth), wide = w >= 1180, column = w - 32 - (w > 560 ? 48 : 0);
  if (!paper) S.column = !wide; // one column: what is to be seen stands among what is to be moved
  S.leftWidth = wide ? 500 : Math.min(700, column);
  S.rightWidth = wide ? w - 596 - 52 : column;
}

function show() {
  measure();
  render(host, page());
  document.title = (S.name ? S.name + ' · ' : '') + 'cubby';
}

onChange(show);
onChange(others.follow);
addEventListener('resize', changed);
addEventListener('beforeprint', () => onPaper(true));
addEventListener('afterprint', () => onPaper(false));
addEventListener('keydown', (e) => {
  if (!(e.ctrlKey || e.metaKey) || e.key.toLowerCase() !== 'z' || e.target.dirty) return;
  e.preventDefault();
  (e.shiftKey ? redo : undo)();
});
addEventListener('visibilitychange', watch);
addEventListener('focus', watch);
setInterval(watch, 2000);
matchMedia('(prefers-color-scheme: dark)').addEventListener('change', changed);

try {
  const s = await engine.start();
  Object.assign(S, { files: s.files, documents: s.documents, version: s.version });
  if (s.job) await go(s.job);
  changed();
} catch (e) {
  S.trouble = e.message;
  changed();
}
host.dataset.ready = 'yes';
globalThis.cubby = S; // for those who look behind the page
