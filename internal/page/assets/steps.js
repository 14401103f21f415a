// Steps 2 to 5, and what all steps share: the list to settle and the way on.

import { h } from './dom.js';
import * as engine from './engine.js';
import { S, edit, changed, set, drop } from './store.js';
import { at, textAt, listAt, plain, typed, length } from './tree.js';
import { gauge, choice, press, goTo, inside, stateOf, fields } from './field.js';
import * as space from './space.js';
import { fold, rows, further, driverRows, radiatorRows, sides } from './keys.js';

export const names = ['', 'Space', 'Driver', 'Amplifier', 'Wood and saw', 'Wish', 'Answer', 'A ready-made box', 'The finished box', 'Many drivers', 'Several jobs'];
const stepOf = { cavity: 1, vehicle: 1, driver: 2, mount: 2, amplifier: 3, wood: 4, stock: 4, saw: 4, corners: 4, terminal: 4, fixings: 4, prices: 4, passive: 2, air: 3, aim: 5, consider: 5, limits: 5, port: 5, placing: 5, box: 7, title: 6, date: 6, contact: 6, author: 6, revision: 6, drawing: 6 };
const stepNo = { space: 1, driver: 2, amplifier: 3, wood: 4, wish: 5 };

// toSettle is a fault as the page asks for what would right it.
export function toSettle(f) {
  const own = !f.file || f.file === S.name || f.file === 'job.yaml';
  const field = own ? f.field : 'driver';
  const there = at(S.job.tree, field);
  const missing = f.value === '?' || (!f.value && (!there || there.t === '' || there.k || marks(there, '').length > 0));
  return { path: field, step: stepOf[(field || '').split(/[.[]/)[0]] || 4, kind: missing ? 'missing' : 'refused',
    ask: nice(field) + (f.value === '?' ? ' is not measured.' : f.value ? ': ' + f.value : ''), why: (own ? '' : f.file + ' line ' + f.line + ', ' + f.field + ': ') + f.want + '.', ...(f.value === '?' && { why: 'Without it there is no verdict.' }), ...(missing && firstly[field]) };
}

// open lists all that is still to be settled: what is missing or refused, then the questions that change the verdict.
export function open() {
  if (!S.job) return [];
  const copied = (f) => at(S.job.tree, /^cavity\.stations\[\d+\]/.exec(f.field)?.[0] + '.like'); // said of the station that it is like
  const list = S.job.faults.filter((f) => !copied(f)).map(toSettle);
  for (const path of marks(S.job.tree, '')) {
    if (!list.some((x) => inside(path, x.path))) list.push({ path, step: stepOf[path.split(/[.[]/)[0]] || 1, kind: 'missing', ask: nice(path) + ' is not measured.', why: 'Held straight between its neighbours until you type it.' });
  }
  for (const q of S.job.settle) {
    if (!list.some((x) => inside(q.path, x.path))) list.push({ path: q.path, step: stepNo[q.step], kind: 'asked', ask: q.ask, why: q.why });
  }
  (S.design?.stick_tests || []).forEach((t, i) => list.push({ path: 'cavity.stick', step: 1, kind: 'stick', ask: 'Stick test ' + 'ABCDEF'[i], test: t }));
  for (const d of S.doubts) list.push({ path: d.path, step: stepOf[d.path.split('.')[0]] || 1, kind: 'doubtful', ask: nice(d.path) + '?', why: d.text + (/\.$/.test(d.text) ? '' : '.') });
  return list.filter((x, i) => list.findIndex((y) => y.path === x.path && y.ask === x.ask) === i).sort((a, b) => a.step - b.step);
}

// firstly is how the page asks for what every job begins with.
const firstly = {
  cavity: { ask: 'How large is the space?', why: 'Choose how it looks, then type what the tape says.' },
  driver: { ask: 'Which driver?', why: 'Choose its file, paste its data sheet, or type its figures.' },
  wood: { ask: 'Which board?', why: 'What it is called, and its thickness as measured.' },
};

// marks finds the places where ? stands for what is not measured yet.
function marks(node, path) {
  if (!node) return [];
  if (node.t === '?') return [path];
  return [...(node.k || []).flatMap((k, i) => marks(node.n[i], path ? path + '.' + k : k)), ...(node.l || []).flatMap((n, i) => marks(n, `${path}[${i + 1}]`))];
}

// nice says a path in words.
function nice(path) {
  if (!path) return 'The file';
  if (path === 'cavity') return 'The space';
  const mark = /^cavity\.stations\[(\d+)\]\.(roof|floor)\[(\d+)\](?:\[(\d)\])?$/.exec(path);
  if (mark) return `Station ${mark[1]}, ${mark[2]} ${mark[3]}` + (mark[4] === '1' ? ', depth' : '');
  const corner = /^cavity\.profile\[(\d+)\](?:\[(\d)\])?$/.exec(path);
  if (corner) return `Corner ${corner[1]}` + ['', ', depth', ', height'][corner[2] || 0];
  const block = textAt(S.job.tree, /^cavity\.blocks\[\d+\]/.exec(path)?.[0] + '.name');
  return upper((block ? block + ', ' : '') + (labelOf(path) || path.replace(/cavity\./, '').replace(/\[(\d+)\]/g, ' $1').replace(/[._]/g, ' ')));
}

const upper = (words) => words[0].toUpperCase() + words.slice(1);

let learnt = null; // the job by which the labels of all steps were last looked up

// labelOf is what the field at a path is called.
function labelOf(path) {
  if (!fields.has(path) && learnt !== S.job) {
    learnt = S.job;
    [space.left, driverLeft, amplifierLeft, woodLeft, wishLeft].forEach((left, i) => [left(), more(i + 1)]);
  }
  return fields.get(path);
}

// named is a key that the words of a command name: the path of its field, or of the first within it, and what that is called.
function named(key) {
  const path = [key, 'driver.' + key, key + '.width'].find(labelOf);
  return path && { path, label: labelOf(path) };
}

const keys = /\b((?:[a-z]+\.)+[a-z_]+)\b/g;

// worded are the words of a command with each key that they name as the page calls its field, which a press leads to.
export function worded(text) {
  return text.split(keys).map((part, i) => {
    const to = i % 2 && named(part);
    return to ? h('button.link.inline', { type: 'button', onclick: () => goTo(to.path, stepOf[to.path.split('.')[0]]) }, to.label) : part;
  });
}

// plainly are the same words where nothing can be pressed.
export const plainly = (text) => text.replaceAll(keys, (key) => (named(key) ? `“${named(key).label}”` : key));

const sizeOf = (mm) => length(mm, S.view) + ' ' + S.view;

const glyph = { missing: '? ', refused: '✕ ', asked: '', stick: '⊕ ', doubtful: '~ ' };

// settleList is the list of one step, which leads to the fields.
export function settleList(step) {
  const list = open().filter((x) => x.step === stepNo[step]);
  if (!list.length) return null;
  return [h('h3', null, 'To settle: ' + list.length), h('ul.settle', null, list.map((x) => h('li', { key: x.path + x.ask, class: x.kind },
    h('div', null, h('b', null, glyph[x.kind] + x.ask), h('br'), h('span.soft', null, x.test ? stickText(x.test) : plainly(x.why))),
    x.test ? stickField(x.test) : press('Go there', () => goTo(x.path, x.step)))))];
}

// stickText says where to hold a stick and what it must find.
const stickText = (t) => `${sizeOf(t.across_mm)} from the left, ${sizeOf(t.depth_mm)} deep: ` + (t.surface === 'floor' ? `the floor must lie no higher than ${sizeOf(t.height_mm)}` : `it must reach up to ${sizeOf(t.height_mm)}`) + ' over the board.';

// stickField takes the height that a stick has found, which bends the surface there.
function stickField(t) {
  const n = listAt(S.job.tree, 'cavity.stick').length + 1, id = `stick-${t.across_mm}-${t.depth_mm}`;
  const found = (e) => {
    const text = e.target.value.trim();
    if (!text) return;
    const unit = S.view === S.job.units ? '' : ' ' + S.view;
    const mm = (v) => (S.job.units === 'in' ? (v / 25.4).toFixed(3) : v.toFixed(1));
    edit([{ op: 'set', path: `cavity.stick[${n}]`, value: { from_left: mm(t.across_mm), depth: mm(t.depth_mm), [t.surface === 'floor' ? 'floor' : 'roof']: text + (/\d$/.test(text) ? unit : '') } }]);
  };
  return h('div.gauge', { key: id }, h('label', { for: id }, 'height found'), h('input', { id, value: '', inputmode: S.view === 'mm' ? 'decimal' : 'text', onchange: found }));
}

// nextButtons is the row at a step's end: the next thing missing, and the next step.
export function nextButtons(step) {
  const next = open().find((x) => x.kind !== 'stick' && x.step >= step) || open().find((x) => x.kind !== 'stick');
  return h('div.row.next', null,
    next ? h('button.press.lead', { type: 'button', onclick: () => goTo(next.path, next.step) }, 'Next to settle: ' + short(next)) : null,
    step > 1 ? press('‹ ' + names[step - 1], () => { S.step = step - 1; changed(); }, { class: 'back' }) : null,
    h('button.press', { type: 'button', class: next ? '' : 'lead', onclick: () => { S.step = step + 1; changed(); } }, names[step + 1] + ' ›'));
}

// more is what stands at a step's end, behind folds.
export const more = (step) => further(step, Object.keys(stepOf).filter((k) => stepOf[k] === step));

const short = (x) => nice(x.path).toLowerCase();

// ---- driver

const parameters = [
  ['fs', 'resonance fs', 'Hz'], ['qms', 'Qms'], ['qes', 'Qes'], ['vas', 'Vas', 'l'], ['sd', 'cone area Sd', 'cm²'], ['re', 'coil Re', 'Ω'], ['le', 'Le', 'mH'],
  ['xmax', 'travel one way', ''], ['power', 'power', 'W'], ['impedance', 'impedance', 'Ω'],
];
const sizes = [['frame', 'across the flange'], ['cutout', 'cut-out'], ['depth', 'depth behind flange'], ['magnet', 'across the magnet'], ['displacement', 'air it takes up', 'l']];

let pasted = { text: '', trouble: '', open: false, remarks: [] };

// beside are the files that the job can name: those that stand beside it and below.
export function beside(ending) {
  const dir = S.name.slice(0, S.name.lastIndexOf('/') + 1);
  return S.files.filter((f) => ending.test(f) && f !== S.name && f.startsWith(dir)).map((f) => f.slice(dir.length));
}

const radiatorFile = (f) => /(^|\/)radiators\/|passive/.test(f);

// fileOf lets a file of the folder be chosen as the value of a key.
export function fileOf(path, words, files, now, edits = (v) => [{ op: 'set', path, value: v }]) {
  fields.set(path, '');
  return [h('label.unseen', { for: 'file-' + path }, words),
    h('select', { id: 'file-' + path, 'data-path': path, onchange: (e) => e.target.value && edit(edits(e.target.value)) },
      h('option', { value: '', selected: !now }, 'choose a file …'), files.map((f) => h('option', { key: f, value: f, selected: now === f }, f)))];
}

// radiatorFields describe the passive radiator at a path: a file of the folder, or its figures; how many, and where.
export function radiatorFields(path) {
  const p = at(S.job.tree, path), file = p?.t ?? at(p, 'file')?.t;
  const figures = [['sd', 'cone area Sd', 'cm²'], ['fs', 'resonance fs', 'Hz'], ['vas', 'Vas', 'l'], ['qms', 'Qms'], ['xmax', 'travel one way'], ['mass_added', 'mass to be added, most', 'g'], ['displacement', 'air it takes up', 'l']];
  const lengths = [['frame', 'across the flange'], ['cutout', 'cut-out'], ['depth', 'depth behind flange'], ['magnet', 'across what stands behind'], ['bolts.circle', 'bolt circle'], ['bolts.hole', 'bolt hole']];
  const said = { vas: ['vas', 'cms', 'mms'], sd: ['sd', 'diameter'], fs: ['fs'], qms: ['qms', 'rms'], xmax: ['xmax', 'xmax_pp'] };
  return [
    h('div.row', null, fileOf(p?.k && file ? path + '.file' : path, 'A radiator file of this folder', beside(/\.ya?ml$/).sort((a, b) => radiatorFile(b) - radiatorFile(a)), file),
      p ? null : press('Type its figures', () => set(path, { name: 'my radiator' }))),
    file && S.job.radiator && path === 'passive' ? readOnly(S.job.radiator) : null,
    p?.k && !file ? h('div.fields', null, gauge({ path: path + '.name', label: 'name', kind: 'text', cls: 'wide' }),
      figures.map(([k, label, hint]) => gauge({ path: `${path}.${k}`, label, hint, kind: k === 'xmax' ? 'length' : 'text', wanted: said[k] && !said[k].some((x) => at(p, x)) })),
      lengths.map(([k, label]) => gauge({ path: `${path}.${k}`, label })), gauge({ path: path + '.bolts.count', label: 'bolts', kind: 'text' })) : null,
    p?.k && !file ? fold('Figures of it that few data sheets have', '', radiatorRows, path + '.') : null,
    p?.t ? h('div.row', null, press('More than one, or on another side', () => set(path, { file, count: '1' }))) : null,
    p?.k ? [h('div.fields', null, gauge({ path: path + '.count', label: 'how many', kind: 'text' })), choice({ path: path + '.face', label: 'It sits on the side', options: sides.map((f) => [f, f, faceIcon(f)]) })] : null,
  ];
}

// without are the edits that take a kind out of those to be considered.
function without(kind) {
  const kinds = listAt(S.job.tree, 'consider').map((n) => n.t);
  if (!kinds.includes(kind)) return [];
  const rest = kinds.filter((k) => k !== kind);
  return [rest.length ? { op: 'set', path: 'consider', value: rest } : drop('consider')];
}

export function driverLeft() {
  const d = at(S.job.tree, 'driver');
  const inline = !!d?.k;
  fields.set('driver', '');
  const files = beside(/\.ya?ml$/).filter((f) => !radiatorFile(f));
  return [
    h('h3', null, 'Which driver?'),
    h('div.row', null,
      h('label', { for: 'driver-file', class: 'unseen' }, 'A driver file of this folder'),
      h('select', { id: 'driver-file', 'data-path': 'driver.file', onchange: (e) => e.target.value && set('driver', e.target.value) },
        h('option', { value: '' , selected: !d || inline }, inline ? 'written in the job' : 'choose a file …'),
        files.map((f) => h('option', { key: f, value: f, selected: d?.t === f }, f))),
      press('Paste a data sheet', () => { pasted.open = !pasted.open; changed(); }, { 'aria-expanded': String(pasted.open) }),
      inline ? null : press('Type it', () => edit([{ op: 'set', path: 'driver', value: S.job.driver ? plain(S.job.driver) : { name: 'my driver' } }]))),
    pasted.open ? pasteBox() : null,
    pasted.remarks.length ? h('div.told', null, 'Not taken:', h('ul.plain', null, pasted.remarks.map((r) => h('li', { key: r }, r)))) : null,
    inline ? [
      h('div.fields', null, gauge({ path: 'driver.name', label: 'name', kind: 'text', wanted: true, cls: 'wide' })),
      h('div.fields', null, parameters.map(([k, label, hint]) => gauge({ path: 'driver.' + k, label, kind: k === 'xmax' || k === 'vas' ? 'length' : 'text', hint, wanted: ['fs', 'qms', 'qes', 'vas', 'sd', 're'].includes(k) && !['mms', 'diameter', ...(k === 're' ? ['coils.re'] : [])].some((x) => at(d, x)) }))),
      h('div.fields', null, sizes.map(([k, label, hint]) => gauge({ path: 'driver.' + k, label, hint, kind: k === 'displacement' ? 'text' : 'length' }))),
      h('div.fields', null, gauge({ path: 'driver.bolts.circle', label: 'bolt circle' }), gauge({ path: 'driver.bolts.count', label: 'bolts', kind: 'text' }), gauge({ path: 'driver.bolts.hole', label: 'bolt hole' })),
      choice({ path: 'driver.vent', label: 'A hole through the pole?', options: [['true', 'yes, it needs air behind'], ['false', 'no']] }),
      fold('Figures that few data sheets have', '', driverRows, 'driver.'),
    ] : S.job.driver ? readOnly(S.job.driver) : null,
    coils(d),
    h('h3', null, 'How is it mounted?'),
    choice({ path: 'mount.face', label: 'On the side', fallback: 'front', options: sides.map((f) => [f, f, faceIcon(f)]) }),
    h('div.fields', null, gauge({ path: 'mount.air_in_front', label: 'clear air before it' }), gauge({ path: 'mount.count', label: 'how many', kind: 'text' }), gauge({ path: 'mount.recess', label: 'flange sunk by' })),
    h('h3', null, 'Passive radiator on hand? ', h('span.soft', null, 'a cone without a motor, in the place of a port')),
    radiatorFields('passive'),
    at(S.job.tree, 'passive') ? press('None', () => edit([{ op: 'delete', path: 'passive' }, ...without('passive')])) : null,
    settleList('driver'), nextButtons(2),
  ];
}

function pasteBox() {
  const take = async () => {
    try {
      const got = await engine.paste(pasted.text);
      pasted = { text: '', trouble: '', open: false, remarks: got.remarks || [] };
      set('driver', got.driver);
    } catch (e) {
      pasted.trouble = e.message;
      changed();
    }
  };
  return h('div.paste', null, h('label', { for: 'sheet' }, 'The maker’s figures, as text: one a line, such as fs: 31 Hz'),
    h('textarea', { id: 'sheet', rows: 8, value: pasted.text, oninput: (e) => (pasted.text = e.target.value) }),
    pasted.trouble ? h('p.why', { role: 'alert' }, h('b', null, '✕ Refused. '), pasted.trouble) : null, h('div.row', null, h('button.press.lead', { type: 'button', onclick: take }, 'Take these figures')));
}

function readOnly(d) {
  const rows = (d.k || []).map((k, i) => [k.replace(/_/g, ' '), d.n[i].t ?? (d.n[i].k || []).map((x, j) => x + ' ' + d.n[i].n[j].t).join(', ')]);
  const half = Math.ceil(rows.length / 2);
  return h('div.half', null, [rows.slice(0, half), rows.slice(half)].map((part) => h('table.facts', null, h('tbody', null, part.map(([k, v]) => h('tr', { key: k }, h('th', { scope: 'row' }, k), h('td', null, v)))))));
}

// coils shows the ways to join the coils as pictures.
function coils(d) {
  const src = d?.k ? d : S.job.driver;
  const count = Number(textAt(src, 'coils.count')) || 1, cones = Number(textAt(S.job.tree, 'mount.count')) || 1;
  const wire = (series) => h('svg', { viewBox: '0 0 64 36', width: 64, height: 36, 'aria-hidden': 'true' }, h('path.wire', { d: series ? 'M2 6h10v8M12 22v0a4 4 0 0 1 0-8M12 22v8h40v-8M52 14a4 4 0 0 1 0 8M52 14V6h10' : 'M2 6h50v8M12 6v8M12 14a4 4 0 0 1 0 8v8M52 14a4 4 0 0 1 0 8v8M2 30h50' }));
  const joined = [['series', 'in series', wire(true)], ['parallel', 'in parallel', wire(false)]];
  return [
    d?.k ? h('div.fields', null, gauge({ path: 'driver.coils.count', label: 'voice coils', kind: 'text' }), count > 1 ? [gauge({ path: 'driver.coils.impedance', label: 'each coil', kind: 'text', hint: 'Ω' }), gauge({ path: 'driver.coils.re', label: 'each coil, Re', kind: 'text', hint: 'Ω' })] : null) : null,
    d?.k && count > 1 ? choice({ path: 'driver.coils.data_for', label: 'How were the coils joined for the sheet’s figures?', wanted: !(at(d, 'coils.re') && at(d, 're')), options: joined }) : null,
    count > 1 && cones > 1 ? both(joined) : count > 1 || cones > 1 ? choice({ path: 'mount.wiring', label: count > 1 ? 'How are the coils joined?' : 'How are the drivers joined?', options: joined }) : null,
  ];
}

// both asks how the coils of each driver are joined, and how the drivers are.
function both(joined) {
  const one = textAt(S.job.tree, 'mount.wiring');
  if (one) return press('Say how coils and drivers are joined', () => set('mount.wiring', { coils: one, drivers: one }));
  return [['coils', 'How are the coils of each joined?'], ['drivers', 'How are the drivers joined?']].map(([k, label]) => choice({ path: 'mount.wiring.' + k, label, options: joined }));
}

function faceIcon(f) {
  const shape = { front: 'M4 12h24v16H4z', back: 'M12 4h24v16H12z', top: 'M4 12L12 4h24L28 12z', bottom: 'M4 28l8-8h24l-8 8z', left: 'M4 12l8-8v16l-8 8z', right: 'M28 12l8-8v16l-8 8z' }[f];
  return h('svg', { viewBox: '0 0 40 32', width: 40, height: 32, 'aria-hidden': 'true' }, h('path.iconface', { d: shape }), h('path.iconbox', { d: 'M4 12h24v16H4zM4 12l8-8h24l-8 8M36 4v16l-8 8' }));
}

export function driverRight() {
  const d = S.design?.driver_single || S.design?.driver;
  const src = at(S.job.tree, 'driver')?.k ? at(S.job.tree, 'driver') : S.job.driver;
  const mm = (k, or) => at(src, k)?.mm ?? or;
  const frame = mm('frame', 0), cut = mm('cutout', frame * 0.88), depth = mm('depth', 0), magnet = mm('magnet', frame * 0.55);
  const pic = [];
  if (frame && depth) {
    const W = Math.min(660, S.rightWidth || 660), s = Math.min((W - 190) / (frame * 1.05), 200 / depth), cx = W / 2 - 30, y = 50, H = y + depth * s + 24, n = (v) => (v * s) / 2;
    pic.push(h('svg.section', { viewBox: `0 0 ${W} ${H}`, width: W, height: H, role: 'img', 'aria-label': 'The driver from the side, as typed' },
      h('rect.plyboard', { x: cx - n(frame) - 30, y, width: n(frame) + 30 - n(cut), height: 22 }), h('rect.plyboard', { x: cx + n(cut), y, width: n(frame) + 30 - n(cut), height: 22 }),
      h('path.cone', { d: `M${cx - n(frame)} ${y - 8}H${cx + n(frame)}V${y}H${cx - n(frame)}Z` }),
      h('path.cone', { d: `M${cx - n(cut) + 3} ${y}L${cx - n(magnet)} ${y + depth * s * 0.55}V${y + depth * s}H${cx + n(magnet)}V${y + depth * s * 0.55}L${cx + n(cut) - 3} ${y}` }),
      h('path.dim', { d: `M${cx - n(frame)} ${y - 20}H${cx + n(frame)}M${cx - n(frame)} ${y - 26}v12M${cx + n(frame)} ${y - 26}v12` }), h('text.halo', { x: cx, y: y - 15, 'text-anchor': 'middle' }, textAt(src, 'frame')),
      h('path.dim', { d: `M${cx + n(frame) + 56} ${y}V${y + depth * s}m-6 0h12M${cx + n(frame) + 50} ${y}h12` }), h('text.halo', { x: cx + n(frame) + 60, y: y + (depth * s) / 2, 'text-anchor': 'middle' }, textAt(src, 'depth'))));
  }
  return [h('h3', null, h('b', null, textAt(src, 'name') || 'The driver'), h('span.soft', null, ' as the job says it')), pic,
    d && !S.stale ? h('table.facts', null, h('tbody', null, [['resonance', d.fs_hz?.toFixed(1) + ' Hz'], ['Qts', d.qts?.toFixed(2)], ['moving mass', (d.mms_kg * 1000).toFixed(0) + ' g'], ['force factor', d.bl_t_m?.toFixed(1) + ' T m'], ['efficiency', d.efficiency ? (d.efficiency * 100).toFixed(2) + ' %' : null]].filter((r) => r[1]).map(([k, v]) => h('tr', { key: k }, h('th', { scope: 'row' }, k), h('td', null, v))))) : h('p.told', null, 'What follows from the figures stands here once they suffice: resonance, losses and air (fs, Qms, Qes, Vas), the cone’s area and the coil’s resistance.')];
}

export function driverSummary() {
  const d = at(S.job.tree, 'driver');
  if (!d) return 'not chosen yet';
  const src = d.k ? d : S.job.driver;
  const n = S.design?.driver;
  return [textAt(src, 'name') || d.t, textAt(src, 'power'), n?.impedance_ohm ? n.impedance_ohm + ' Ω as wired' : ''].filter(Boolean).join(', ');
}

// ---- amplifier

export function amplifierLeft() {
  const filter = (key, label) => {
    const n = at(S.job.tree, 'amplifier.' + key);
    return n?.k ? [gauge({ path: `amplifier.${key}.frequency`, label, kind: 'text', hint: 'Hz' }), gauge({ path: `amplifier.${key}.order`, label: label + ', order', kind: 'text' }), gauge({ path: `amplifier.${key}.type`, label: label + ', type', kind: 'text', list: 'filter-types' })]
      : [gauge({ path: 'amplifier.' + key, label, kind: 'text', hint: 'Hz' }), n ? h('div.with', { key: key + 'x' }, press('Say its slope', () => set('amplifier.' + key, { frequency: n.t, order: '4', type: 'butterworth' }))) : null];
  };
  return [
    h('div.fields', null, gauge({ path: 'amplifier.power', label: 'power', kind: 'text', hint: 'W', wanted: true }), gauge({ path: 'amplifier.into', label: 'into a load of', kind: 'text', hint: 'Ω', wanted: true }), gauge({ path: 'amplifier.minimum_load', label: 'least load', kind: 'text', hint: 'Ω' }), gauge({ path: 'amplifier.leads', label: 'leads, both ways', kind: 'text', hint: 'Ω' })),
    h('h3', null, 'Filters ', h('span.soft', null, 'high-pass none: it has none; left empty, the one to set is said')),
    h('div.fields', null, filter('highpass', 'high-pass')), h('div.fields', null, filter('lowpass', 'low-pass')),
    h('datalist', { id: 'filter-types' }, ['butterworth', 'bessel', 'linkwitz-riley'].map((v) => h('option', { value: v }))),
    settleList('amplifier'), nextButtons(3),
  ];
}

export const amplifierSummary = () => {
  const t = (k) => textAt(S.job.tree, 'amplifier.' + k) ?? textAt(S.job.tree, `amplifier.${k}.frequency`);
  if (!t('power')) return 'not known yet';
  return [`${t('power')} into ${t('into') ?? '?'}`, t('highpass') && 'high-pass ' + t('highpass'), t('lowpass') && 'low-pass ' + t('lowpass')].filter(Boolean).join(', ');
};

// ---- wood and saw

export function woodLeft() {
  return [
    h('div.fields', null, gauge({ path: 'wood.sheet', label: 'board', kind: 'text', wanted: true, list: 'boards', cls: 'wide' }), gauge({ path: 'wood.thickness', label: 'thickness, measured', wanted: true }), gauge({ path: 'wood.nominal', label: 'sold as' })),
    h('datalist', { id: 'boards' }, ['MDF', 'birch plywood', 'plywood', 'chipboard'].map((v) => h('option', { value: v }))),
    choice({ path: 'wood.joints', label: 'Joints', fallback: 'butt', options: [['butt', 'butt', jointIcon('M2 2h40v10H2zM2 12h10v18H2z')], ['mitre', 'mitre', jointIcon('M2 2h40v10H12L2 2zM2 2l10 10v18H2z')], ['rabbet', 'rabbet', jointIcon('M2 2h40v10H12V7H2zM2 7h10v23H2z')]] }),
    h('h3', null, 'At hand'),
    rows('stock', 'sheet', [['length', 'length', 'length'], ['width', 'width', 'length'], ['count', 'how many'], ['price', 'price of one'], ['name', 'name'], ['sheet', 'board, if another'], ['thickness', 'thickness, if another', 'length'], ['trim', 'off its edges', 'length'], ['offcut', 'an offcut: true']],
      () => (S.job.units === 'in' ? { length: '96', width: '48', count: '1' } : { length: '2440', width: '1220', count: '1' })),
    h('h3', null, 'The saw'),
    h('div.fields', null, gauge({ path: 'saw.kerf', label: 'kerf' }), gauge({ path: 'saw.trim', label: 'off a factory edge' }), gauge({ path: 'saw.round_to', label: 'round sizes to' }), gauge({ path: 'saw.max_tilt', label: 'tilts to', kind: 'text', hint: 'deg' })),
    settleList('wood'), nextButtons(4),
  ];
}

const jointIcon = (d) => h('svg', { viewBox: '0 0 44 32', width: 44, height: 32, 'aria-hidden': 'true' }, h('path.plyboard', { d }));

export const woodSummary = () => {
  const t = (p) => textAt(S.job.tree, p);
  if (!t('wood.sheet')) return 'not chosen yet';
  const u = /[a-z"]/i.test(t('wood.thickness') || '') ? '' : ' ' + S.job.units;
  return [(t('wood.thickness') || '?') + u + ' ' + t('wood.sheet'), t('stock[1].length') && t('stock[1].length') + ' × ' + t('stock[1].width'), t('saw.kerf') && 'kerf ' + t('saw.kerf')].filter(Boolean).join(', ');
};

// ---- wish

const kindWords = { passive: 'with a passive radiator' };

const aims = [['low', 'as low as it goes'], ['loud', 'as loud as it gets'], ['flat', 'as even as can be'], ['compact', 'as small as will do']];

export function wishLeft() {
  const kinds = listAt(S.job.tree, 'consider').map((n) => n.t);
  const known = ['sealed', 'vented', ...(at(S.job.tree, 'passive') || kinds.includes('passive') ? ['passive'] : [])], all = kinds.length ? kinds : known;
  const toggle = (k) => {
    const next = all.includes(k) ? all.filter((x) => x !== k) : [...all, k];
    if (next.length) set('consider', known.filter((x) => next.includes(x)));
  };
  fields.set('consider', '');
  return [
    choice({ path: 'aim', label: 'What should the box do best?', fallback: 'low', options: aims }),
    h('fieldset.choice', null, h('legend', null, 'Which kinds may it be?'), h('div.row', null, known.map((k) => h('button.press', { key: k, type: 'button', 'data-path': 'consider', 'data-value': k, 'aria-pressed': String(all.includes(k)), class: all.includes(k) ? 'on' : '', onclick: () => toggle(k) }, (all.includes(k) ? '✓ ' : '') + (kindWords[k] || k))))),
    h('h3', null, 'Limits ', h('span.soft', null, 'leave empty what may be as it comes')),
    slider('limits.port_speed', 'Air in the port up to', 'm/s', 8, 30, 1, 17), slider('limits.panels', 'No panel rings below', 'Hz', 60, 400, 10, 180), volumeSlider(),
    h('div.fields', null, gauge({ path: 'limits.lowest', label: 'must reach down to', kind: 'text', hint: 'Hz' }), gauge({ path: 'limits.peak', label: 'bump at most', kind: 'text', hint: 'dB' })),
    h('details', { key: 'port' }, h('summary', null, 'Ports on hand'), h('div.fields', null, gauge({ path: 'port.bores', label: 'tubes, inside', kind: 'list', cls: 'wide' }), gauge({ path: 'port.flare', label: 'flare, radius' }), gauge({ path: 'port.edge', label: 'edge rounded by' })),
      choice({ path: 'port.at.face', label: 'Its mouth on the side', options: sides.map((f) => [f, f, faceIcon(f)]) }), h('div.fields', null, ['from_left', 'from_front', 'from_floor'].map((k) => gauge({ path: 'port.at.' + k, label: k.replace('_', ' the ') })))),
    h('details', { key: 'placing' }, h('summary', null, 'What work in the shop weighs'), h('p.soft', null, 'One shop minute costs so much of the aim; each thing counts as so many minutes.'),
      h('div.fields', null, gauge({ path: 'placing.minute', label: 'one minute', kind: 'text', hint: 'dB' }), [['board', 'a board'], ['pocket_board', 'a board of a pocket'], ['corner', 'a corner cut'], ['compound', 'a compound cut'], ['standing', 'not on the floor'], ['height', 'height, each m'], ['reach', 'reach, each m'], ['area', 'each m² of board'], ['mass', 'each kg']].map(([k, label]) => gauge({ path: 'placing.' + k, label, kind: 'text' })))),
    settleList('wish'), nextButtons(5),
  ];
}

function slider(path, label, unit, min, max, stepBy, usual) {
  fields.set(path, label);
  const node = at(S.job.tree, path);
  const now = node && node.t !== undefined ? parseFloat(node.t) : NaN;
  return h('div.slide', { key: path, class: stateOf(path) }, h('label', { for: 's-' + path }, label + ' ', h('b', null, node ? node.t ?? 'a range' : 'as usual')),
    h('input', { type: 'range', id: 's-' + path, min, max, step: stepBy, value: Number.isFinite(now) ? now : usual, 'data-path': path, 'aria-valuetext': node?.t ?? 'as usual', onchange: (e) => set(path, e.target.value + ' ' + unit) }),
    node ? press('As usual', () => edit([{ op: 'delete', path }])) : null);
}

// volumeSlider pins the net volume; empty, the search is free.
function volumeSlider() {
  const path = 'limits.net_volume', node = at(S.job.tree, path);
  fields.set(path, 'net air');
  const d = S.design?.designs[S.pick];
  const litres = d ? d.net_volume_m3 * 1000 : 20, most = Math.max(40, Math.ceil(litres * 2));
  return h('div.slide', { key: path, class: stateOf(path) }, h('label', { for: 's-' + path }, 'Net air ', h('b', null, node ? node.t ?? (node.l || []).map((n) => n.t).join(' to ') : 'as the search finds')),
    h('input', { type: 'range', id: 's-' + path, min: 2, max: most, step: 0.5, value: litres.toFixed(1), 'data-path': path, onchange: (e) => set(path, typed(e.target.value / 1000, S.view)) }),
    node ? press('Let it find', () => edit([{ op: 'delete', path }])) : null);
}

export const wishSummary = () => {
  const aim = textAt(S.job.tree, 'aim') || 'low';
  return [aims.find((a) => a[0] === aim)?.[1] || aim, listAt(S.job.tree, 'consider').map((n) => n.t).join(' or '), textAt(S.job.tree, 'limits.net_volume')].filter(Boolean).join(', ');
};
