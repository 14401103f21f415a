// Beside the box that is to be built: ready-made boxes, the finished box by its sweep, many drivers, shared sheets.

import { h } from './dom.js';
import * as engine from './engine.js';
import { S, edit, drop, changed } from './store.js';
import { at, listAt, plain, volume } from './tree.js';
import { gauge, choice, press, goTo } from './field.js';
import { checkList, save } from './answer.js';
import { curves } from './curves.js';
import { radiatorFields, toSettle } from './steps.js';
import { layout } from './workshop.js';
import { fold, boxRows, portRows } from './keys.js';

const kinds = { 7: 'check', 8: 'measured', 9: 'rank', 10: 'sheets' };
for (const what of Object.values(kinds)) S.other[what] = { what, with: [], given: {}, pick: 0 };
const { check, measured, rank, sheets } = S.other;

const driverFile = (f) => /(^|\/)drivers\//.test(f) || /\.csv$/.test(f);
const jobFile = (f) => /\.ya?ml$/.test(f) && !driverFile(f);
const question = (o) => ({ name: S.name, text: S.text, what: o.what, with: o.with, given: o.given });

// ask asks again; the answer before stands, marked, until the new one is there.
async function ask(o) {
  o.asked = S.text + o.with.join();
  o.waiting = true;
  changed();
  try {
    const whole = await engine.ask(question(o), (part) => {
      Object.assign(o, part.part === 'other' ? { answer: part, failed: null } : { answer: null, failed: part });
    });
    if (whole) o.waiting = false;
  } catch (e) {
    Object.assign(o, { failed: { text: e.message, faults: [] }, waiting: false });
  }
  changed();
}

// follow keeps the answer of the step that is open abreast of the job, where that takes no time.
export function follow() {
  const o = S.other[kinds[S.step]];
  if (!o || !S.job || o.asked === S.text + o.with.join()) return;
  if ((o === check && at(S.job.tree, 'box')) || (o === measured && o.with.length)) ask(o);
}

// verdict is that of the question that is open, for the band; undefined where the design has its own.
export function verdict() {
  const o = S.other[kinds[S.step]], said = o?.answer?.said;
  if (!o) return undefined;
  const none = (sentence) => ({ phrase: 'Nothing asked yet', sentence, sign: 'none', other: true });
  if (o.failed) return { phrase: 'No verdict yet', sentence: wanting(o)[0].ask + ' ' + wanting(o)[0].why, sign: 'none', other: true };
  if (!said) return none({ check: 'Describe a box that somebody sells, as far as you know it.', measured: 'Give the sweep of the finished box.', rank: 'Choose the drivers that come into question.', pairs: 'Choose the drivers that come into question.', sheets: 'Choose the jobs that are cut together.' }[o.what]);
  if (o === check) {
    const b = said.boxes[o.pick] || said.boxes[0];
    return { phrase: upper(b.verdict), sentence: b.verdict_text, sign: b.verdict === 'does not suit' ? 'cross' : 'share', share: 1, cautions: /cautions/.test(b.verdict), stale: o.waiting, other: true };
  }
  if (o === measured) return { phrase: upper(said.verdict), sentence: said.verdict_text, sign: /^not/.test(said.verdict) ? 'cross' : 'share', share: 1, cautions: /nearly/.test(said.verdict), stale: o.waiting, other: true };
  if (said.pairs) {
    const p = said.pairs[0];
    return { phrase: `${p.driver} in ${p.box}`, sentence: p.verdict_text, sign: p.verdict === 'does not suit' ? 'cross' : 'share', share: 1, cautions: /cautions/.test(p.verdict), stale: o.waiting, other: true };
  }
  if (o === rank) {
    const first = said.drivers.find((d) => d.rank === 1);
    return { phrase: first ? first.name + ' comes first' : 'None suits', sentence: `${said.drivers.filter((d) => d.rank).length} of ${said.drivers_given} drivers suit this space.`, sign: first ? 'share' : 'cross', share: 1, stale: o.waiting, other: true };
  }
  return { phrase: count(said.sheets.length, 'sheet'), sentence: (said.sheets_proved ? 'Fewer cannot do.' : `Fewer than ${said.sheets_lower_bound} cannot do.`) + (said.unplaced.length ? ' ' + count(said.unplaced.length, 'part') + ' cannot be cut.' : ''), sign: said.unplaced.length ? 'cross' : 'share', share: 1, stale: o.waiting, other: true };
}

const upper = (s) => s[0].toUpperCase() + s.slice(1);
const boxCount = (n) => n + (n === 1 ? ' box' : ' boxes');
const count = (n, what) => n + ' ' + what + (n === 1 ? '' : 's');

// wanting is what an answer fails by, as the page asks for it.
const wanting = (o) => (o.failed.faults?.length ? o.failed.faults.map(toSettle) : o.failed.text.split('\n').map((ask) => ({ ask, why: '' })));

function failed(o) {
  return [o.waiting ? h('p.told', { role: 'status' }, 'Working on it …') : null,
    o.failed ? h('ul.settle', null, wanting(o).map((x) => h('li.refused', { key: x.ask + x.why }, h('div', null, h('b', null, '✕ ' + x.ask), ' ', x.why), x.step && x.step !== S.step ? press('Go there', () => goTo(x.path, x.step)) : null))) : null];
}

const report = (o) => (o.answer ? h('div.row', null, press('Save PDF', () => save(question(o)), { class: 'lead' })) : null);
const assumed = (said) => (said?.assumptions.length ? h('details', null, h('summary', null, 'Taken as usual, where nothing is said'), h('ul', null, said.assumptions.map((t) => h('li', { key: t }, t)))) : null);

// given takes files from outside the folder: dropped, or chosen.
function given(o, id, words, accept) {
  const take = async (files) => {
    for (const f of files) {
      if (o === measured) [o.with, o.given] = [[], {}];
      o.given[f.name] = await f.text();
      if (!o.with.includes(f.name)) o.with.push(f.name);
    }
    ask(o);
  };
  return h('label.drop', { for: id, ondragover: (e) => e.preventDefault(), ondrop: (e) => { e.preventDefault(); take(e.dataTransfer.files); } },
    words, h('input', { type: 'file', id, accept, multiple: o !== measured, onchange: (e) => take(e.target.files) }));
}

// ticks is a list of the folder's files to choose from.
function ticks(o, legend, files) {
  const all = [...new Set([...files, ...Object.keys(o.given)])];
  return h('fieldset.choice', null, h('legend', null, legend), h('div.ticks', null, all.map((f) => h('label.tick', { key: f },
    h('input', { type: 'checkbox', checked: o.with.includes(f), onchange: (e) => { o.with = e.target.checked ? [...o.with, f] : o.with.filter((x) => x !== f); changed(); } }), h('span', null, f)))));
}

// ---- ready-made boxes

const boxes = () => { const n = at(S.job.tree, 'box'); return !n ? [] : n.list ? listAt(S.job.tree, 'box').map((_, i) => `box[${i + 1}]`) : ['box']; };

export function checkLeft() {
  const all = boxes(), one = { name: 'box ' + (all.length + 1), kind: 'sealed' };
  check.pick = Math.min(check.pick, Math.max(0, all.length - 1));
  const p = all[check.pick];
  const add = () => {
    const node = at(S.job.tree, 'box');
    check.pick = all.length;
    edit([{ op: 'set', path: 'box', value: !node ? one : [...(node.list ? plain(node) : [plain(node)]), one] }]);
  };
  const kind = p && at(S.job.tree, p + '.kind')?.t, vented = kind === 'vented' || kind === 'bandpass';
  return [
    h('p.told', null, 'What the seller says of the box, and what you can measure of it. Driver, amplifier and space are those of steps 1 to 3.'),
    h('div.row', { role: 'group', 'aria-label': 'Boxes' }, all.map((x, i) => press(at(S.job.tree, x + '.name')?.t || 'box ' + (i + 1), () => { check.pick = i; changed(); }, { key: x, 'aria-pressed': String(i === check.pick), class: i === check.pick ? 'on' : '' })),
      press(all.length ? 'Another box' : 'Describe a box', add, { class: all.length ? '' : 'lead' })),
    p ? [
      h('div.fields', null, gauge({ path: p + '.name', label: 'name', kind: 'text', cls: 'wide' })),
      choice({ path: p + '.kind', label: 'Kind', options: [['sealed', 'sealed'], ['vented', 'with a port'], ['passive', 'with a passive radiator'], ['bandpass', 'driver inside, sealed behind']] }),
      h('div.fields', null, ['width', 'depth', 'height'].map((k) => gauge({ path: `${p}.outside.${k}`, label: 'outside ' + k })), gauge({ path: p + '.wall', label: 'wall' })),
      h('div.fields', null, gauge({ path: p + '.net_volume', label: 'net air, as claimed', kind: 'text', hint: 'l' }), gauge({ path: p + '.opening', label: 'driver opening' }), gauge({ path: p + '.depth', label: 'depth behind it' }), gauge({ path: p + '.price', label: 'price', kind: 'text' })),
      vented ? h('div.fields', null, gauge({ path: p + '.port.diameter', label: 'port, across' }), gauge({ path: p + '.port.length', label: 'port, length' }), gauge({ path: p + '.tuning', label: 'tuning, as claimed', kind: 'text', hint: 'Hz' })) : null,
      kind === 'bandpass' ? h('div.fields', null, gauge({ path: p + '.rear_volume', label: 'air behind the driver', kind: 'text', hint: 'l' })) : null,
      kind === 'passive' ? radiatorFields(p + '.passive') : null,
      fold('More of this box', 'What a data sheet or a tape says beyond that: its bolt circle, losses, and filling (sealed boxes).', [...(vented ? portRows : []), ...boxRows.filter(([k]) => kind === 'sealed' || !k.startsWith('filling'))], p + '.'),
      press('Take it out', () => edit([drop(p)])),
    ] : null,
    failed(check), report(check),
  ];
}

export function checkRight() {
  const said = check.answer?.said;
  if (!said) return [h('h3', null, 'Ready-made boxes'), h('p.told', null, 'They stand here side by side as soon as one is described.')];
  const all = said.boxes, hz = (v) => (v > 0 ? v.toFixed(0) + ' Hz' : null);
  const rows = [['Verdict', (b) => b.verdict], ['Net air', (b) => volume(b.net_volume_m3, S.view)], ['Tuned to', (b) => hz(b.tuning_hz)], ['Resonance', (b) => hz(b.fc_hz)], ['Qtc', (b) => b.qtc?.toFixed(2)],
    ['−3 dB at', (b) => hz(b.f3_hz)], ['Bump', (b) => b.peak_db?.toFixed(1) + ' dB'], ...(all[0].max_level || []).map((l, i) => [`Loudest at ${l.frequency_hz} Hz`, (b) => (b.max_level[i] ? b.max_level[i].level_db.toFixed(0) + ' dB' : null)])];
  const b = all[check.pick] || all[0];
  return [
    h('h3', null, h('b', null, boxCount(all.length) + ' '), h('span.soft', null, 'best first by rank')),
    side(rows, all.map((x) => `${x.name}` + (all.length > 1 ? ` (${x.rank})` : '')), all, all.indexOf(b)),
    h('h3', null, b.name), h('p.told', null, b.verdict_text),
    checkList(b.checks.filter((c) => c.status !== 'pass')),
    h('details', { key: 'passed' }, h('summary', null, b.checks.filter((c) => c.status === 'pass').length + ' checks pass'), checkList(b.checks.filter((c) => c.status === 'pass'))),
    said.look_for ? h('p.told', null, said.look_for) : null,
    check.answer.curves?.length ? curves(check.answer.curves, all.indexOf(b), all.map((x) => x.name)) : null, assumed(said),
  ];
}

// side is a table of things side by side.
function side(rows, names, all, pick) {
  const kept = rows.map(([k, f]) => [k, all.map(f)]).filter(([, v]) => v.some((x) => x));
  return h('table.compare', null, h('thead', null, h('tr', null, h('td'), names.map((n, i) => h('th', { key: i, scope: 'col', class: i === pick ? 'on' : '' }, n)))),
    h('tbody', null, kept.map(([k, v]) => h('tr', { key: k }, h('th', { scope: 'row' }, k), v.map((x, i) => h('td', { key: i, class: i === pick ? 'on' : '' }, x || '–'))))));
}

export const checkSummary = () => (boxes().length ? boxCount(boxes().length) : 'one that somebody sells');

// ---- the finished box

export function measuredLeft() {
  const said = measured.answer?.said;
  const name = { Hz: (v) => v.toFixed(1) + ' Hz', m3: (v) => volume(v, S.view), m: (v) => (S.view === 'in' ? (v / 0.0254).toFixed(2) + ' in' : (v * 1000).toFixed(0) + ' mm'), ohm: (v) => v.toFixed(2) + ' Ω' };
  const show = (v, unit) => (v === null || v === undefined ? '–' : (v < 0 ? '−' : '') + (name[unit] || ((x) => x.toFixed(2) + (unit ? ' ' + unit : '')))(Math.abs(v)));
  return [
    h('p.told', null, 'When the box comes back: measure its impedance and drop the file here, as your meter wrote it. It is compared with the design of this job, or with the box that the job describes.'),
    given(measured, 'sweep', measured.with[0] ? measured.with[0] + ' is shown; drop another, or ' : 'Drop a sweep here, or ', '.csv,.txt,.zma,.frd,.s1p'),
    failed(measured),
    said ? [
      said.changes.map((c) => h('div.change', { key: c.text }, h('p', null, h('b', null, c.text)), c.to_do ? h('p.told', null, 'To do: ' + c.to_do) : null)),
      h('table.compare.narrow', null, h('thead', null, h('tr', null, h('td'), ['designed', 'measured', 'difference'].map((t) => h('th', { key: t, scope: 'col' }, t)))),
        h('tbody', null, said.compared.map((r) => h('tr', { key: r.name }, h('th', { scope: 'row' }, ({ pass: '● ', marginal: '◐ ', fail: '✕ ' }[r.status] || '') + r.name), [r.designed, r.measured, r.difference].map((v, i) => h('td', { key: i }, show(v, r.unit))))))),
      assumed(said), report(measured)] : null,
  ];
}

export function measuredRight() {
  const lines = measured.answer?.lines;
  if (!lines) return [h('h3', null, 'The finished box'), h('p.told', null, 'Its sweep is drawn here on the curve that it should have.')];
  const names = ['measured', 'designed', 'fitted'], xs = [...new Set(names.flatMap((n) => lines[n].map((p) => p[0])))].sort((a, b) => a - b);
  measured.curves ??= {};
  if (measured.curves.of !== lines) measured.curves = { of: lines, list: names.map((n) => ({ columns: { frequency_hz: xs, impedance_ohm: along(lines[n], xs) }, limited_by: [] })) };
  return [curves(measured.curves.list, 0, names, [xs[0], xs[xs.length - 1]]), h('p.soft', null, 'Thick: as measured. The fit is the box that this sweep speaks of; between its points each curve is drawn straight.')];
}

// along gives a curve's values at other frequencies, straight between its points.
function along(points, xs) {
  let i = 0;
  return xs.map((x) => {
    while (i < points.length - 2 && points[i + 1][0] < x) i++;
    const [a, b] = [points[i], points[i + 1] || points[i]];
    if (x < points[0][0] || x > points[points.length - 1][0]) return null;
    return b[0] === a[0] ? a[1] : a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
  });
}

export const measuredSummary = () => measured.answer?.said.verdict || 'by a sweep of its impedance';

// ---- many drivers

let sorted = ['rank', 1];

export function rankLeft() {
  return [
    h('p.told', null, 'The same space for many drivers: driver files, and lists as CSV with a row each.'),
    ticks(rank, 'Which come into question?', S.files.filter(driverFile)),
    given(rank, 'drivers', 'Drop driver files or lists here, or ', '.yaml,.yml,.csv'),
    boxes().length ? h('div.row', { role: 'group', 'aria-label': 'In which boxes' }, [['rank', 'in boxes that are to be built'], ['pairs', 'in the ready-made boxes of this job']].map(([what, words]) => press(words, () => { Object.assign(rank, { what, answer: null }); changed(); }, { key: what, 'aria-pressed': String(rank.what === what), class: rank.what === what ? 'on' : '' }))) : null,
    h('div.row', null, press('Rank them', () => ask(rank), { class: 'lead', disabled: !rank.with.length || rank.waiting })),
    failed(rank), report(rank),
  ];
}

// pairs is the table of drivers in ready-made boxes, best first.
function pairs(said) {
  const columns = [['', (p) => p.rank], ['Driver', (p) => p.driver], ['Box', (p) => p.box], ['Verdict', (p) => p.verdict], ['Plays at', (p) => (p.allowed_w > 0 ? p.allowed_w.toFixed(0) + ' W' : '–')], ['−3 dB', (p) => (p.f3_hz > 0 ? p.f3_hz.toFixed(0) + ' Hz' : '–')]];
  return [h('h3', null, h('b', null, count(said.pairs.length, 'pair') + ' '), h('span.soft', null, `${count(said.drivers.length, 'driver')} in ${boxCount(said.boxes.length)}, best first`)),
    h('div.scroll', { tabindex: '0', role: 'region', 'aria-label': 'The pairs, best first' }, h('table.compare.narrow', null, h('thead', null, h('tr', null, columns.map(([k]) => h('th', { key: k, scope: 'col' }, k || 'Rank')))),
      h('tbody', null, said.pairs.map((p) => h('tr', { key: p.source + p.box, title: p.verdict_text }, columns.map(([k, f], i) => h(i === 1 ? 'th' : 'td', { key: k, scope: i === 1 ? 'row' : undefined }, f(p)))))))),
    h('details', null, h('summary', null, 'The verdicts in a sentence'), h('ul', null, said.pairs.map((p) => h('li', { key: p.source + p.box }, h('b', null, p.driver + ', ' + p.box + ': '), p.verdict_text)))), refusals(said), assumed(said)];
}

const refusals = (said) => (said.refused.length ? h('ul.settle', null, said.refused.map((r) => h('li.refused', { key: r.source + r.reason }, h('div', null, h('b', null, '✕ ' + (r.source || '')), ' ' + r.reason)))) : null);

export function rankRight() {
  const said = rank.answer?.said;
  if (!said) return [h('h3', null, 'Many drivers'), h('p.told', null, 'The table stands here, best first.')];
  if (said.pairs) return pairs(said);
  const level = (i) => (d) => d.max_level?.[i]?.cabin_level_db ?? d.max_level?.[i]?.level_db;
  const columns = [['rank', '', (d) => d.rank || 1e9], ['name', 'Driver', (d) => d.name], ['kind', 'Box', (d) => d.kind || ''], ['net', 'Net air', (d) => d.net_volume_m3 ?? 1e9], ['f3', '−3 dB', (d) => d.f3_hz ?? 1e9],
    ...(said.drivers.find((d) => d.max_level)?.max_level || []).map((m, i) => ['l' + i, `dB at ${m.frequency_hz} Hz`, (d) => -(level(i)(d) ?? -1e9)])];
  const by = columns.find((c) => c[0] === sorted[0])?.[2] || columns[0][2];
  const rows = said.drivers.slice().sort((a, b) => sorted[1] * (by(a) < by(b) ? -1 : by(a) > by(b) ? 1 : 0));
  const open = async (d) => {
    try {
      let value = d.source;
      if (!S.files.includes(value) || S.name.includes('/')) await engine.ask({ ...question(rank), what: 'driver', with: [d.source] }, (part) => { if (part.part !== 'other') throw new Error(part.text); value = part.said; });
      await edit([{ op: 'set', path: 'driver', value }]);
      S.step = 6;
    } catch (e) {
      S.trouble = e.message;
    }
    changed();
  };
  const cell = { rank: (d) => (d.rank || '✕') + (d.estimated ? ' ~' : ''), name: (d) => d.name, kind: (d) => d.kind || '', net: (d) => (d.kind ? volume(d.net_volume_m3, S.view) : ''), f3: (d) => (d.f3_hz > 0 ? d.f3_hz.toFixed(0) + ' Hz' : '') };
  return [
    h('h3', null, h('b', null, count(said.drivers.length, 'driver') + ' '), h('span.soft', null, 'press a heading to sort, a driver to take it into the job')),
    h('div.scroll', { tabindex: '0', role: 'region', 'aria-label': 'The drivers, ranked' }, h('table.compare.ranked', null, h('thead', null, h('tr', null, columns.map(([k, words]) => h('th', { key: k, scope: 'col', 'aria-sort': sorted[0] === k ? (sorted[1] > 0 ? 'ascending' : 'descending') : undefined },
      h('button.link', { type: 'button', onclick: () => { sorted = [k, sorted[0] === k ? -sorted[1] : 1]; changed(); } }, (words || 'Rank') + (sorted[0] === k ? (sorted[1] > 0 ? ' ↓' : ' ↑') : '')))))),
    h('tbody', null, rows.map((d) => h('tr', { key: d.source, class: d.rank ? '' : 'soft' }, columns.map(([k]) => h(k === 'name' ? 'th' : 'td', { key: k, scope: k === 'name' ? 'row' : undefined },
      k === 'name' ? h('button.link', { type: 'button', onclick: () => open(d), 'aria-label': 'Take ' + d.name + ' into the job' }, d.name) : cell[k] ? cell[k](d) : level(+k.slice(1))(d)?.toFixed(0) ?? ''))))))),
    rows.some((d) => d.reason) ? h('details', null, h('summary', null, 'Why some do not suit'), h('ul', null, rows.filter((d) => d.reason).map((d) => h('li', { key: d.source }, h('b', null, d.name + ': '), d.reason)))) : null,
    refusals(said), assumed(said),
  ];
}

export const rankSummary = () => (rank.answer ? count(rank.answer.said.drivers.length, 'driver') + ' ranked' : 'which serves this space best?');

// ---- shared sheets

export function sheetsLeft() {
  return [
    h('p.told', null, 'Panels of several jobs, and parts lists as CSV, cut together. Stock and saw are those of the first job that is ticked.'),
    ticks(sheets, 'What is cut together?', S.files.filter(jobFile)),
    given(sheets, 'lists', 'Drop parts lists here, or ', '.csv'),
    h('div.row', null, press('Lay them out', () => ask(sheets), { class: 'lead', disabled: !sheets.with.length || sheets.waiting })),
    failed(sheets), report(sheets),
  ];
}

export function sheetsRight() {
  const said = sheets.answer?.said;
  if (!said) return [h('h3', null, 'Shared sheets'), h('p.told', null, 'The layout is drawn here.')];
  return [h('h3', null, said.title), layout(said),
    said.unplaced.map((u) => h('p.told', { key: u.part }, h('b', null, '✕ ' + u.part + ': '), u.why)), assumed(said)];
}

export const sheetsSummary = () => (sheets.answer ? count(sheets.answer.said.sheets.length, 'sheet') : 'several jobs on shared sheets');
