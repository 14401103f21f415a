// Fields. A gauge stands where the tape was held; its state shows by border and sign before colour.

import { h } from './dom.js';
import { S, faultAt, set, setLength, changed } from './store.js';
import { at, shown } from './tree.js';

// stateOf tells the state of the field at a path: '', missing, refused, doubtful or waiting.
export function stateOf(path, { wanted = false } = {}) {
  const node = at(S.job?.tree, path);
  const fault = faultAt(path);
  const empty = !node || node.t === '' || node.t === '?';
  if (fault && fault.value !== '?' && (!empty || fault.value)) return 'refused';
  if (node && node.t === '?') return 'missing';
  if (empty && (wanted || fault)) return 'missing';
  if (doubtAt(path)) return 'doubtful';
  return '';
}

// doubtAt finds what is doubtful about a field's own value: a height's doubt is of the mark that it stands in.
const doubtAt = (path) => S.doubts.find((d) => path === d.path || path === d.path + '[2]');

const sign = { missing: ' ?', refused: ' ✕', doubtful: ' ~' };

// about is the sentence under a field that is not right: what is wrong, and what is used meanwhile.
export function about(path) {
  const fault = faultAt(path);
  if (!fault) return null;
  let kept = S.kept[path];
  kept = typeof kept === 'string' ? ` Kept: ${kept}.` : kept === null ? ' Left out meanwhile.' : '';
  return (fault.value ? fault.value + ': ' : '') + fault.want + '.' + kept;
}

// fields are the paths that have a field, with what it is called.
export const fields = new Map();

// listed is a list of texts as one line.
const listed = (node) => (node?.list ? (node.l || []).map((n) => n.t).join(', ') : node?.t || '');

// inInches are the units that stand behind a field where sizes are in inches.
const inInches = { l: 'cu ft', 'cm²': 'sq in', m: 'ft', kg: 'lb' };

// gauge is a field for one value. what: path, label, kind (length, text, list: several with commas between, pair: one or two), wanted, hint (unit behind it), style, small.
export function gauge({ path, label, kind = 'length', wanted, hint, style, cls, list, hideLabel, enter }) {
  fields.set(path, label);
  if (S.view === 'in') hint = inInches[hint] || hint;
  const node = at(S.job?.tree, path);
  const state = stateOf(path, { wanted });
  const value = kind === 'length' ? shown(node, S.view) : listed(node);
  const id = 'f-' + path;
  const text = state === 'missing' ? null : about(path), more = text || state === 'doubtful';
  const commit = (e) => {
    const el = e.target;
    if (!el.dirty) return;
    el.dirty = false;
    const v = el.value.trim();
    if (v === value && state !== 'refused') return;
    if (kind === 'length') setLength(path, withUnit(v, hint));
    else if (v && (kind === 'list' || (kind === 'pair' && v.includes(',')))) set(path, v.split(',').map((x) => withUnit(x.trim(), hint)).filter(Boolean));
    else set(path, withUnit(v, hint));
  };
  return h('div.gauge', { key: path, style, class: [cls, state].filter(Boolean).join(' ') },
    h('label', { for: id, class: hideLabel ? 'unseen' : '' }, label + (sign[state] || '')),
    h('input', {
      id, value: state === 'missing' && !value ? '' : value, placeholder: state === 'missing' ? '?' : '', autocomplete: 'off', spellcheck: 'false', list,
      inputmode: kind === 'length' && S.view === 'mm' ? 'decimal' : 'text', 'data-path': path,
      'aria-invalid': state === 'refused' ? 'true' : undefined, 'aria-describedby': more ? id + '-why' : undefined,
      oninput: (e) => (e.target.dirty = true), onchange: commit, onblur: commit,
      onfocus: (e) => {
        if (node?.t !== undefined && value.startsWith('≈')) e.target.value = node.t;
        e.target.select();
      },
      onkeydown: (e) => {
        if (e.key !== 'Enter') return;
        commit(e);
        const all = [...document.querySelectorAll('.open .gauge input')].filter((x) => x.checkVisibility());
        const next = all.find((x, i) => i > all.indexOf(e.target) && x.closest('.missing')) || all[all.indexOf(e.target) + 1];
        if (enter !== false && next) next.focus();
      },
    }),
    hint ? h('span.hint', { 'aria-hidden': 'true' }, node?.t && /[a-zA-Z%"]/.test(node.t) ? '' : hint) : null,
    text ? h('p.why', { id: id + '-why' }, h('b', null, '✕ Refused. '), text) : null,
    state === 'doubtful' ? doubted(path, node, id) : null);
}

// doubted says what is doubtful; a height that was measured twice stands.
function doubted(path, node, id) {
  const mark = /^(cavity\.stations.*\])\[2\]$/.exec(path);
  return h('div.why.doubt', { id: id + '-why' }, '~ ' + doubtAt(path).text + '. ',
    mark ? press('Keep ' + node.t, () => set(mark[1], [...at(S.job.tree, mark[1]).l.slice(0, 2).map((n) => n.t), 'sure'])) : null);
}

// withUnit adds the unit that a field is about to a bare number where the job wants one written.
function withUnit(v, hint) {
  return hint && /^[\d./ -]*\d$/.test(v) ? v + ' ' + hint.replace('²', '2').replace('Ω', 'ohm') : v;
}

// choice is one of a few, as buttons with words.
export function choice({ path, label, options, fallback, wanted }) {
  fields.set(path, label);
  const now = at(S.job?.tree, path)?.t ?? fallback;
  const state = stateOf(path, { wanted });
  return h('fieldset.choice', { key: path, class: state },
    h('legend', null, label + (sign[state] || '')),
    h('div.row', null, options.map(([value, words, picture]) =>
      h('button.press', {
        key: value, type: 'button', 'aria-pressed': String(now === value), class: now === value ? 'on' : '', 'data-path': path, 'data-value': value,
        onclick: () => set(path, now === value && fallback === undefined ? '' : value),
      }, picture || null, h('span', null, words)))),
    about(path) ? h('p.why', null, about(path)) : null);
}

// press is a button with words.
export function press(words, onclick, props = {}) {
  return h('button.press', { type: 'button', onclick, ...props }, words);
}

// inside tells whether a path is another one, or within it.
export const inside = (path, outer) => path.startsWith(outer) && /^$|^[.[]/.test(path.slice(outer.length));

// goTo leads to the field at a path, in the step that holds it.
export function goTo(path, step) {
  S.step = step;
  const [, kind, no] = /^cavity\.(stations|blocks)\[(\d+)\]/.exec(path) || [];
  if (kind) S[kind.slice(0, -1)] = no - 1;
  changed();
  const find = (tries) => setTimeout(() => {
    const all = [...document.querySelectorAll('[data-path]')].filter((x) => inside(x.dataset.path, path));
    const el = all.find((x) => x.dataset.path === path) || all.find((x) => x.closest('.missing, .refused')) || all[0];
    if (!el) return tries && find(tries - 1); // not drawn yet
    for (let d = el.closest('details'); d; d = d.parentElement.closest('details')) d.open = true;
    el.focus();
    el.scrollIntoView({ block: 'center' });
  }, 60);
  find(50);
}
