// The verdict: the one loud thing. A sign, a phrase in the words of the command, a sentence, and what to dial in.

import { h } from './dom.js';
import { S } from './store.js';
import { open, plainly } from './steps.js';
import * as others from './others.js';

// verdict says what is known now.
export function verdict() {
  const d = S.design?.designs[S.pick];
  const other = others.verdict();
  if (other) return other;
  if (S.conflict) return { phrase: 'The file has changed', sentence: 'Choose below what to keep.', sign: 'none' };
  if (d) {
    const words = d.verdict;
    const later = S.job.faults.length ? (S.keptUsed ? ' One value is refused; its last right one stands in.' : ' From before your last change.') : '';
    const share = d.allowed_w > 0 && d.available_w > 0 ? Math.min(1, d.allowed_w / d.available_w) : 1;
    const cross = (d.checks || []).some((c) => c.status === 'fail');
    const unchecked = open().some((x) => x.kind === 'asked' || x.kind === 'missing');
    return { phrase: words[0].toUpperCase() + words.slice(1), sentence: d.verdict_text + later, sign: cross ? 'cross' : 'share', share, dashed: unchecked, cautions: (d.checks || []).some((c) => c.status === 'marginal'), dials: dials(d) };
  }
  if (S.design) return { phrase: 'Does not suit', sentence: S.design.outcomes.map((o) => o.kind + ': ' + o.reason).join('; ') + '.', sign: 'cross' };
  const next = open().find((x) => x.kind === 'refused' || x.kind === 'missing');
  if (S.failed) return { phrase: 'No verdict yet', sentence: S.failed.text, sign: 'none' };
  return { phrase: 'No verdict yet', sentence: next ? next.ask + (/[?.]$/.test(next.ask) ? ' ' : ': ') + next.why : 'The answer comes as soon as space, driver and board are known.', sign: 'none' };
}

function dials(d) {
  const all = d.settings || [];
  return all.filter((s) => s.what !== 'low-pass' || all.length < 4).slice(0, 3).map((s) => [s.what === 'voltage' ? 'on the meter' : s.what, s.value !== undefined && s.value !== null ? `${Number(s.value).toFixed(Math.abs(s.value) < 10 ? 1 : 0)} ${s.unit || ''}` : s.text]);
}

// signOf draws the sign: the filled share is what it may play of what it has; a dashed ring means something is unchecked.
function signOf(v) {
  const r = 17, c = 26, a = 2 * Math.PI * (v.share ?? 0);
  const x = c - r * Math.sin(a), y = c - r * Math.cos(a);
  return h('svg.sign', { viewBox: '0 0 52 52', width: 52, height: 52, 'aria-hidden': 'true' },
    h('circle.ring', { cx: c, cy: c, r: 23, class: v.sign === 'none' || v.dashed ? 'dashed' : '' }),
    v.sign === 'share' ? (v.share >= 0.999 ? h('circle.fill', { cx: c, cy: c, r }) : h('path.fill', { d: `M${c} ${c}V${c - r}A${r} ${r} 0 ${v.share > 0.5 ? 1 : 0} 0 ${x.toFixed(2)} ${y.toFixed(2)}Z` })) : null,
    v.sign === 'share' && v.cautions ? h('path.bang', { d: 'M26 15v14M26 33v5' }) : null,
    v.sign === 'cross' ? h('path.cross', { d: 'M17 17L35 35M35 17L17 35' }) : null);
}

let said = '', timer = 0;

// speak tells the verdict to a screen reader once it has settled.
function speak(el, text) {
  if (text === said) return;
  said = text;
  clearTimeout(timer);
  timer = setTimeout(() => (el.textContent = text), 800);
}

export function band() {
  const v = verdict();
  v.sentence = plainly(v.sentence);
  return h('div.verdict', { class: v.other ? (v.stale ? 'waiting' : '') : S.stale ? 'stale' : S.waiting ? 'waiting' : '' },
    signOf(v),
    h('div.words', null, h('p.phrase', { id: 'phrase' }, v.phrase), h('p.sentence', { title: v.sentence }, v.sentence)),
    (v.dials || []).length ? h('dl.dials', null, v.dials.map(([k, t]) => h('div', { key: k }, h('dt', null, k), h('dd', null, t)))) : null,
    h('p.unseen', { 'aria-live': 'polite', hook: (el) => speak(el, v.phrase + '. ' + v.sentence) }));
}
