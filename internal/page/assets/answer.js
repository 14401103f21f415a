// Step 6: the answer, live. Left the designs and figures, right the picture and the curves.

import { h } from './dom.js';
import * as engine from './engine.js';
import { S, set, changed, edit, hold } from './store.js';
import { at, sizeText, volume, typed, length } from './tree.js';
import { press } from './field.js';
import { scene } from './view3d.js';
import { curves } from './curves.js';
import { footprint } from './space.js';
import { worded } from './steps.js';
import { layout, exploded } from './workshop.js';

const letters = 'ABCDEFGH';
const because = { best: 'your wish', 'other kind': 'other kind', 'quiet port': 'quiet port', smallest: 'small box', lowest: 'lowest' };

let what = 'space'; // which picture: space, exploded, layout
let busy = '';

const titleOf = (d, i) => because[d.because] || (i === 0 ? 'your wish' : 'best ' + d.kind);

export function left() {
  const all = S.design?.designs || [];
  if (!all.length) {
    return [S.failed ? h('ul.settle', null, h('li.refused', null, h('div', null, h('b', null, '✕ '), worded(S.failed.text)))) : null,
      S.design ? h('ul.settle', null, S.design.outcomes.map((o) => h('li.refused', { key: o.kind }, h('div', null, h('b', null, `✕ ${o.kind}: ${o.status}. `), h('span.soft', null, worded(o.reason))))))
        : h('p.told', null, 'The answer stands here as soon as space, driver and board are known. Steps with a mark still want something.'),
      h('div.row.next', null, press('‹ Wish', () => { S.step = 5; changed(); }))];
  }
  const d = all[S.pick];
  return [
    h('p.told.whole', null, d.verdict_text),
    h('div.four', { role: 'group', 'aria-label': 'Designs on offer' }, all.map((x, i) => h('button.press.offer', { key: i, type: 'button', 'aria-pressed': String(S.pick === i), class: S.pick === i ? 'on' : '', disabled: !!x.old, onclick: () => { S.pick = S.wanted = i; changed(); } },
      h('b', null, letters[i]), h('span', null, titleOf(x, i))))),
    S.column ? picture(d) : null,
    tradeoff(d),
    h('p.told', null, d.tradeoff || upper(d.score_text) + '.'),
    table(all),
    S.column ? curves() : null,
    h('div.row', null, press('Hold ' + letters[S.pick] + ' to compare', () => hold('held'))),
    settings(d),
    h('h3', null, 'What was checked'),
    checkList(d.checks.filter((c) => c.status !== 'pass')),
    h('details', { key: 'passed' }, h('summary', null, d.checks.filter((c) => c.status === 'pass').length + ' checks pass'), checkList(d.checks.filter((c) => c.status === 'pass'))),
    [...new Set([...(S.design.warnings || []), ...(S.design.search_notes || []), ...(d.warnings || [])])].map((t) => h('p.told', { key: t }, '~ ', worded(t))),
    S.design.outcomes.filter((o) => o.reason).map((o) => h('p.told', { key: o.kind }, h('b', null, o.kind + ' '), worded(o.reason + '.'))),
    S.design.assumptions.length ? h('details', null, h('summary', null, 'Taken as usual, where the job is silent'), h('ul', null, S.design.assumptions.map((t) => h('li', { key: t }, worded(t))))) : null,
    h('details', null, h('summary', null, 'More figures'), h('table.facts', null, h('tbody', null, more(d).map(([k, v]) => h('tr', { key: k }, h('th', { scope: 'row' }, k), h('td', null, v)))))),
    h('h3', null, 'Take away'),
    h('div.row.take', null, S.documents.filter((k) => k !== 'pdf').map((k) => toSave(k)),
      press('The job, YAML', () => keep(S.name.replace(/^.*\//, ''), new Blob([S.text], { type: 'application/yaml' })))),
    S.job.faults.length ? h('p.soft', null, 'Documents are made of a job without faults.') : null,
    h('div.row.next', null, toSave('pdf', 'lead'), press('‹ Wish', () => { S.step = 5; changed(); })),
  ];
}

export const checkList = (list) => (list.length ? h('ul.checks', null, list.map((c) => h('li', { key: c.name, class: c.status.replace(' ', '-') },
  h('span.mark', { 'aria-hidden': 'true' }, { pass: '●', marginal: '◐', fail: '✕' }[c.status] || '○'), h('div', null, h('b', null, c.name + ': ' + c.status), h('br'), h('span.soft', null, worded(c.note || ''), c.setting ? ['. What helps: ', worded(c.setting), '.'] : null))))) : null);

const upper = (s) => s[0].toUpperCase() + s.slice(1);

const toSave = (k, cls) => h('button.press', { key: k, type: 'button', class: cls, 'data-document': k, disabled: busy === k || S.stale || S.job.faults.length > 0, onclick: () => save({ kind: k, name: S.name || 'job.yaml', text: S.text }) },
  busy === k ? 'Making it …' : wordsFor[k] || k.toUpperCase());

const wordsFor = { pdf: 'Save PDF', shop: 'PDF for the shop', json: 'JSON', curves: 'Curves, CSV', parts: 'Parts, CSV' };

// save makes a document of a question and gives it to be kept.
export async function save(question) {
  busy = question.kind || question.what;
  changed();
  try {
    const { name, blob } = await engine.documentOf(question);
    keep(name, blob);
  } catch (e) {
    S.trouble = e.message;
  }
  busy = '';
  changed();
}

// keep gives a file to the browser to be kept.
function keep(name, blob) {
  const a = document.createElement('a');
  a.href = URL.createObjectURL(blob);
  a.download = name;
  document.body.append(a);
  a.click();
  a.remove();
  setTimeout(() => URL.revokeObjectURL(a.href), 30000);
  S.told = name + ' saved.';
  changed();
}

function outside(d) {
  if (d.outside.finished_mm) return d.outside.finished_mm;
  const [l, r, f, b] = footprint(d);
  return [r - l, b - f];
}

const hz = (v) => (v > 0 ? v.toFixed(0) + ' Hz' : '–');

function table(all) {
  const held = S.held && S.held.text !== S.text ? S.held : null, shown = held ? [...all, held.design] : all;
  const rows = [
    ['Net air', (d) => volume(d.net_volume_m3, S.view)], ['Outside', (d) => volume(d.gross_volume_m3, S.view)], ['−3 dB at', (d) => hz(d.f3_hz)], ['−10 dB at', (d) => hz(d.f10_hz)],
    ['Plays at', (d) => (d.allowed_w > 0 ? d.allowed_w.toFixed(0) + ' W' : null)], ['In the shop', (d) => (d.minutes > 0 ? d.minutes.toFixed(0) + ' min' : null)], ['Panels', (d) => String(d.panels.length)], ['Weight', (d) => (S.view === 'in' ? (d.mass_kg / 0.45359237).toFixed(0) + ' lb' : d.mass_kg.toFixed(1) + ' kg')],
    ['Verdict', (d) => d.verdict],
  ].map(([k, f]) => [k, shown.map(f)]).filter(([, v]) => v.some((x) => x));
  return h('div.scroll', { tabindex: '0', role: 'region', 'aria-label': 'The designs side by side' }, h('table.compare', null, h('caption.unseen', null, 'The designs side by side'), h('thead', null, h('tr', null, h('td'), shown.map((_, i) => h('th', { key: i, scope: 'col', class: i === S.pick ? 'on' : '' }, all[i] ? letters[i] : held.name)))),
    h('tbody', null, rows.map(([k, v]) => h('tr', { key: k }, h('th', { scope: 'row' }, k), v.map((x, i) => h('td', { key: i, class: [i === S.pick ? 'on' : '', all[i]?.old ? 'old' : ''].join(' ') }, x || '–')))))));
}

function settings(d) {
  const list = d.settings || [];
  if (!list.length) return null;
  return [h('h3', null, 'Dial in'), h('table.facts', null, h('tbody', null, list.map((s) => h('tr', { key: s.what + s.text }, h('th', { scope: 'row' }, s.what), h('td', null, s.text.replace(s.what + ' ', ''))))))];
}

function more(d) {
  return [['Kind and shape', d.kind + ', ' + (d.shape || '')], d.fc_hz ? ['Resonance in the box', hz(d.fc_hz)] : null, d.tuning_hz ? ['Tuned to', hz(d.tuning_hz)] : null, d.qtc ? ['Qtc', d.qtc.toFixed(2)] : null, d.ql ? ['QL', d.ql.toFixed(0)] : null, ['Bump', d.peak_db?.toFixed(1) + ' dB'],
    d.port ? ['Port', d.port.diameter_m ? `${d.port.count} × ${length(d.port.diameter_m * 1000, S.view)} across, ${length(d.port.length_m * 1000, S.view)} long` : `slot ${sizeText([d.port.width_m * 1000, d.port.height_m * 1000], S.view)}, ${length(d.port.length_m * 1000, S.view)} long`] : null,
    d.radiator ? ['Passive radiator', `${d.radiator.count} × ${d.radiator.name}, with ${(d.radiator.mass_added_kg * 1000).toFixed(0)} g added`] : null,
    ...d.deductions.map((x) => ['less ' + x.name, volume(x.volume_m3, S.view)]), d.carry_in?.text ? ['Carrying in', d.carry_in.text] : null].filter(Boolean);
}

let free = {}; // the curve of size and the text that it is of, before a size was picked

// sizes is the curve of size of the job without the size that was picked on it, while nothing else has changed.
function sizes() {
  if (!at(S.job.tree, 'limits.net_volume')) {
    if (!S.waiting && !S.stale) free = { of: S.design.size_tradeoff, text: S.text };
  } else if (free.text === S.text.replace(/(, )?net_volume: [^,}\n]*/, '').replace(/^limits: \{\}\n/m, '')) return free.of;
  return S.design.size_tradeoff || {};
}

let reached = null; // the point that the knob is pulled to

// tradeoff is the curve of size against loudness: a point of it becomes the wish.
function tradeoff(d) {
  const all = sizes(), groups = Object.entries(all).filter(([, list]) => list?.length);
  if (!groups.length) return null;
  const W = (S.leftWidth || 500), H = 190, box = { l: 44, r: 16, t: 24, b: 30 };
  const pts = groups.flatMap(([, l]) => l);
  const xs = pts.map((p) => p.net_volume_m3 * 1000), ys = pts.map((p) => p.mean_level_db);
  const x0 = Math.min(...xs) * 0.9, x1 = Math.max(...xs) * 1.05, y0 = Math.floor(Math.min(...ys) - 0.5), y1 = Math.ceil(Math.max(...ys) + 0.5);
  const X = (v) => box.l + ((v - x0) / (x1 - x0)) * (W - box.l - box.r), Y = (v) => H - box.b - ((v - y0) / (y1 - y0)) * (H - box.t - box.b);
  const now = d.net_volume_m3 * 1000, mine = (all[d.kind] || []).slice().sort((a, b) => a.net_volume_m3 - b.net_volume_m3);
  const nearest = mine.reduce((best, p) => (Math.abs(p.net_volume_m3 * 1000 - now) < Math.abs((best?.net_volume_m3 ?? 1e9) * 1000 - now) ? p : best), null);
  const pickSize = (p) => edit([{ op: 'set', path: 'limits.net_volume', value: typed(p.net_volume_m3, S.view) }]);
  const by = (k) => {
    const i = mine.indexOf(nearest) + k;
    if (mine[i]) pickSize(mine[i]);
  };
  const near = (e) => {
    const r = e.currentTarget.getBoundingClientRect(), v = x0 + ((((e.clientX - r.left) * W) / r.width - box.l) / (W - box.l - box.r)) * (x1 - x0);
    return mine.reduce((best, p) => (Math.abs(p.net_volume_m3 * 1000 - v) < Math.abs(best.net_volume_m3 * 1000 - v) ? p : best), mine[0]);
  };
  const pull = mine.length ? {
    onpointerdown: (e) => { e.currentTarget.setPointerCapture(e.pointerId); reached = near(e); changed(); },
    onpointermove: (e) => { if (reached) { reached = near(e); changed(); } },
    onpointerup: (e) => { if (reached) pickSize(near(e)); reached = null; changed(); },
    onpointercancel: () => { reached = null; changed(); },
  } : {};
  const knob = reached || nearest, size = reached ? knob.net_volume_m3 : d.net_volume_m3;
  return [h('h3', null, h('b', null, 'How big? '), h('span.soft', null, volume(size, S.view) + '; pull the knob, or press where you want it')),
    h('svg.trade', { viewBox: `0 0 ${W} ${H}`, width: W, height: H, role: 'group', 'aria-label': 'Mean level against net air', ...pull },
      [y0, (y0 + y1) / 2, y1].map((v) => h('g', { key: 'y' + v }, h('path.grid', { d: `M${box.l} ${Y(v)}H${W - box.r}` }), h('text.small', { x: box.l - 6, y: Y(v) + 5, 'text-anchor': 'end' }, v.toFixed(0)))),
      h('text.small', { x: box.l, y: 14 }, 'dB'),
      [x0, (x0 + x1) / 2, x1].map((v, i) => h('text.small', { key: 'x' + i, x: X(v), y: H - 8, 'text-anchor': ['start', 'middle', 'end'][i] }, volume(v / 1000, S.view))),
      groups.map(([kind, list], g) => h('g', { key: kind, class: 'line' + g }, h('polyline', { points: list.slice().sort((a, b) => a.net_volume_m3 - b.net_volume_m3).map((p) => `${X(p.net_volume_m3 * 1000)},${Y(p.mean_level_db)}`).join(' ') }),
        h('text.small', { x: X(list[list.length - 1].net_volume_m3 * 1000), y: Y(list[list.length - 1].mean_level_db) - 10, 'text-anchor': 'end' }, kind),
        list.map((p, i) => h('circle.point', { key: i, cx: X(p.net_volume_m3 * 1000), cy: Y(p.mean_level_db), r: 5 })))),
      nearest ? h('g.knob', { tabindex: '0', role: 'slider', 'aria-label': 'Net air', 'aria-valuetext': volume(size, S.view), 'aria-valuemin': (mine[0].net_volume_m3 * 1000).toFixed(1), 'aria-valuemax': (mine[mine.length - 1].net_volume_m3 * 1000).toFixed(1), 'aria-valuenow': (size * 1000).toFixed(1), onkeydown: (e) => { if (e.key === 'ArrowRight') by(1); if (e.key === 'ArrowLeft') by(-1); } },
        h('rect', { x: X(size * 1000) - 13, y: Y(knob.mean_level_db) - 13, width: 26, height: 26 }), h('text', { x: X(size * 1000), y: Y(knob.mean_level_db) + 6, 'text-anchor': 'middle' }, letters[S.pick])) : null),
    at(S.job.tree, 'limits.net_volume') ? press('Let the search find the size', () => set('limits.net_volume', '')) : null];
}

// right is what is seen beside; in one column it stands among the rest.
export function right() {
  if (!S.design?.designs[S.pick]) return [h('h3', null, 'No box yet')];
  return S.column ? null : seen();
}

export const seen = () => [picture(S.design.designs[S.pick]), curves()];

function picture(d) {
  const views = [['space', 'In the space'], ['exploded', 'Taken apart'], ['layout', 'On the sheets']];
  return [
    h('h3', null, h('b', null, 'Design ' + letters[S.pick] + ' '), h('span.soft', null, sizeText(outside(d), S.view))),
    h('div.row.views', { role: 'group', 'aria-label': 'Picture' }, views.map(([k, words]) => h('button.press', { key: k, type: 'button', 'aria-pressed': String(what === k), class: what === k ? 'on' : '', onclick: () => { what = k; changed(); } }, words))),
    what === 'space' ? scene(d) : what === 'exploded' ? exploded(d) : layout(d),
    d.standing?.text ? h('p.told', null, d.standing.text) : d.carry_in?.text ? h('p.told', null, 'Carrying in: ' + d.carry_in.text + '.') : null,
  ];
}

export function summary() {
  const d = S.design?.designs[S.pick];
  if (!d) return S.design ? 'no box suits' : 'not yet';
  return `${d.kind} ${volume(d.net_volume_m3, S.view)}` + (S.design.designs.length > 1 ? `, ${S.design.designs.length - 1} other${S.design.designs.length > 2 ? 's' : ''}` : '');
}
