// Step 1: the space, as the tape gave it. Section and plan draw themselves from the job's tree.

import { h } from './dom.js';
import { S, edit, drop, changed } from './store.js';
import { at, textAt, listAt, length, fraction } from './tree.js';
import { gauge, choice, press, stateOf } from './field.js';
import { fold, rows } from './keys.js';
import { settleList, nextButtons, fileOf, beside } from './steps.js';

const num = (node, fallback) => (node && node.mm !== undefined ? node.mm : fallback);

// size is a length that something can have: more than nothing, and less than a street.
const size = (node, fallback) => (node && node.mm > 0 && node.mm < 1e5 ? node.mm : fallback);

// sound is the node of one of the space's own sizes; while it is at fault, the last right one.
const sound = (key, c) => S.keptNodes['cavity.' + key] || at(c, key);

// model reads the space out of the job's tree, in millimetres; what is not known yet is held straight or left out.
export function model(tree) {
  const c = at(tree, 'cavity');
  const m = { form: 'none', width: size(sound('width', c), 0), stations: [], corners: [], blocks: [], depth: 0, height: 0 };
  if (at(c, 'stations')) readStations(c, m);
  else if (at(c, 'profile')) readProfile(c, m);
  else readBox(c, m);
  m.blocks = listAt(c, 'blocks').map((b, i) => readBlock(b, i, m));
  return m;
}

function readBox(c, m) {
  if (!c) return;
  m.form = 'box';
  m.depth = size(sound('depth', c), 0);
  m.height = size(sound('height', c), 0);
  const d = m.depth || 400, k = m.height || 250;
  m.section = [[0, 0], [d, 0], [d, k], [0, k]];
}

function readProfile(c, m) {
  m.form = 'profile';
  m.corners = listAt(c, 'profile').map((p, i) => ({
    d: num(p.l?.[0], null), h: num(p.l?.[1], null), dPath: `cavity.profile[${i + 1}][1]`, hPath: `cavity.profile[${i + 1}][2]`, path: `cavity.profile[${i + 1}]`,
  }));
  const known = m.corners.filter((p) => p.d !== null && p.h !== null);
  m.section = known.map((p) => [p.d, p.h]);
  m.depth = Math.max(1, ...known.map((p) => p.d));
  m.height = Math.max(1, ...known.map((p) => p.h));
}

function readStations(c, m) {
  m.form = 'stations';
  const depths = at(c, 'depths')?.l;
  const line = (node, path) => (node?.l || []).map((p, i) => (p.list
    ? { d: num(p.l?.[0], null), h: num(p.l?.[1], null), dPath: `${path}[${i + 1}][1]`, hPath: `${path}[${i + 1}][2]`, path: `${path}[${i + 1}]`, sure: p.l?.length > 2 }
    : { d: num(depths?.[i], null), h: num(p, null), dPath: `cavity.depths[${i + 1}]`, hPath: `${path}[${i + 1}]`, path: `${path}[${i + 1}]` }));
  listAt(c, 'stations').forEach((s, i) => {
    const path = `cavity.stations[${i + 1}]`;
    const like = Number(textAt(s, 'like')) || 0;
    const same = like && m.stations[like - 1];
    const st = { path, no: i + 1, left: num(at(s, 'from_left'), null), like, roof: same ? same.roof : line(at(s, 'roof'), path + '.roof'),
      floor: same ? same.floor : line(at(s, 'floor'), path + '.floor') };
    const all = [...st.roof, ...st.floor].map((p) => p.d).filter((d) => d !== null);
    st.front = num(at(s, 'front'), same ? same.front : all.length ? Math.min(...all) : 0);
    st.back = num(at(s, 'back'), same ? same.back : all.length ? Math.max(...all) : 0);
    st.roofLine = straight(st.roof, st);
    st.floorLine = st.floor.length ? straight(st.floor, st) : [[st.front, 0], [st.back, 0]];
    m.stations.push(st);
  });
  const lefts = m.stations.map((s) => s.left).filter((v) => v !== null);
  m.width = lefts.length ? Math.max(...lefts) : 0;
  m.depth = Math.max(1, ...m.stations.map((s) => s.back));
  m.height = Math.max(1, ...m.stations.flatMap((s) => s.roofLine.map((p) => p[1])));
  const st = m.stations[0];
  m.section = st ? [...st.floorLine, ...st.roofLine.slice().reverse()] : [];
}

// straight gives a line of heights with what is missing held straight between its neighbours, level to front and back.
function straight(points, st) {
  const known = points.filter((p) => p.d !== null && p.h !== null).map((p) => [p.d, p.h]);
  if (!known.length) return [[st.front, 0], [st.back, 0]];
  if (known[0][0] > st.front) known.unshift([st.front, known[0][1]]);
  if (known[known.length - 1][0] < st.back) known.push([st.back, known[known.length - 1][1]]);
  return known;
}

// heightOf gives the height of a line at a depth.
export function heightOf(line, d) {
  for (let i = 1; i < line.length; i++) {
    const [a, b] = [line[i - 1], line[i]];
    if (d <= b[0]) return b[0] === a[0] ? b[1] : a[1] + ((b[1] - a[1]) * Math.max(0, d - a[0])) / (b[0] - a[0]);
  }
  return line.length ? line[line.length - 1][1] : 0;
}

function readBlock(b, i, m) {
  const path = `cavity.blocks[${i + 1}]`;
  const o = { path, name: textAt(b, 'name') || 'block', along: textAt(b, 'along') };
  o.left = num(at(b, 'from_left'), 0);
  o.width = size(at(b, 'width'), Math.max(0, m.width - o.left));
  o.front = num(at(b, 'from_front'), 0);
  o.depth = size(at(b, 'depth'), Math.max(0, m.depth - o.front));
  o.floor = num(at(b, 'from_floor'), 0);
  o.height = size(at(b, 'height'), Math.max(0, m.height - o.floor));
  const hangs = at(b, 'hangs')?.mm;
  if (hangs !== undefined) [o.floor, o.height] = [m.height - hangs, hangs];
  const round = at(b, 'round')?.mm;
  let outline = at(b, 'outline')?.l?.map((p) => [num(p.l?.[0], 0), num(p.l?.[1], 0)]);
  if (round !== undefined) {
    const [cx, cy] = [num(listAt(b, 'at')[0], 0), num(listAt(b, 'at')[1], 0)];
    outline = Array.from({ length: 19 }, (_, k) => [cx - round * Math.cos((k * Math.PI) / 18), cy + round * Math.sin((k * Math.PI) / 18)]);
  }
  if (outline && outline.length > 2) {
    const [us, vs] = [outline.map((p) => p[0]), outline.map((p) => p[1])];
    const lo = (x) => Math.min(...x), span = (x) => Math.max(...x) - Math.min(...x);
    if (o.along === 'across') [o.front, o.depth, o.floor, o.height] = [lo(us), span(us), lo(vs), span(vs)];
    else if (o.along === 'up') [o.left, o.width, o.front, o.depth] = [lo(us), span(us), lo(vs), span(vs)];
    else [o.left, o.width, o.floor, o.height] = [lo(us), span(us), lo(vs), span(vs)];
    o.outline = outline;
    o.along = o.along || 'depth';
  }
  return o;
}

// The kinds of things in the way, with how each is first written; sizes in millimetres for the space at hand, x from the left.
const kinds = [
  ['Rail', 'M2 16h40v8h-40z', (m, w, x = m.width * 0.8) => ({ name: 'rail', from_left: w(x), width: w(50), from_front: w(0), depth: w(m.depth || 300), from_floor: w(0), height: w(30) })],
  ['Post', 'M16 2h10v22h-10z', (m, w, x = m.width * 0.5) => ({ name: 'post', from_left: w(x), width: w(50), from_front: w(0), depth: w(60), from_floor: w(0), height: w(m.height * 0.8 || 150) })],
  ['Hanging', 'M2 3h40M16 3v14h12v-14', (m, w, x = m.width * 0.4) => ({ name: 'hanging', from_left: w(x), width: w(80), from_front: w(m.depth * 0.4), depth: w(80), hangs: w(m.height * 0.3 || 60) })],
  ['Tunnel', 'M2 24L12 6h18L42 24z', (m, w, x = m.width * 0.4) => ({ name: 'tunnel', along: 'depth', outline: [[0, 0], [260, 0], [200, 105], [60, 105]].map(([dx, z]) => [w(x + dx), w(z)]) })],
  ['Arch', 'M4 24a18 18 0 0 1 36 0z', (m, w, x = m.width * 0.8) => ({ name: 'arch', along: 'depth', round: w(200), at: [w(x), w(0)] })],
  ['Lean', 'M2 24h40M14 24L26 3h8L22 24', null],
];

function write(mm) {
  return S.view === 'in' ? fraction(mm / 25.4) + (S.job.units === 'in' ? '' : ' in') : String(Math.round(mm)) + (S.job.units === 'mm' ? '' : ' mm');
}

function addBlock(kind, m, x, front) {
  const make = kind[2];
  if (!make) {
    const n = listAt(S.job.tree, 'cavity.walls').length + 1;
    edit([{ op: 'set', path: `cavity.walls[${n}]`, value: { side: 'back', lean: '12 deg' } }]);
    return;
  }
  const value = make(m, write, x);
  if (front !== undefined && value.from_front !== undefined) value.from_front = write(front);
  S.block = m.blocks.length;
  edit([{ op: 'set', path: `cavity.blocks[${m.blocks.length + 1}]`, value }]);
}

// pull lets a thing be drawn out of the palette into the space: from the front, or from above. A press alone puts it where
// such a thing usually is.
function pull(kind, m) {
  let pulled = false;
  return {
    onclick: () => { if (!pulled) addBlock(kind, m); pulled = false; },
    onpointerdown: (e) => {
      const el = e.currentTarget, from = [e.clientX, e.clientY];
      pulled = false;
      if (!kind[2]) return;
      el.setPointerCapture(e.pointerId);
      el.onpointermove = (v) => {
        if (Math.hypot(v.clientX - from[0], v.clientY - from[1]) < 8) return;
        pulled = true;
        el.firstChild.style.setProperty('translate', `${v.clientX - from[0]}px ${v.clientY - from[1]}px`);
      };
      el.onpointerup = el.onpointercancel = (v) => {
        el.onpointermove = el.onpointerup = el.onpointercancel = null;
        el.firstChild.style.removeProperty('translate');
        const svg = pulled && v.type === 'pointerup' && document.elementsFromPoint(v.clientX, v.clientY).find((x) => x.dataset.scale);
        if (!svg) return;
        const r = svg.getBoundingClientRect(), ratio = r.width / svg.viewBox.baseVal.width, { left, scale, base } = svg.dataset;
        const within = (x, most) => Math.round(Math.max(0, Math.min(most, x)));
        addBlock(kind, m, within(((v.clientX - r.left) / ratio - left) / scale, m.width), base && within((base - (v.clientY - r.top) / ratio) / scale, m.depth));
      };
    },
  };
}

// left is the step's own column.
export function left() {
  const m = model(S.job.tree);
  const forms = [['box', 'a plain box'], ['profile', 'a section, the same all along'], ['stations', 'heights at stations']];
  return [
    m.form === 'none' ? h('p.lead', null, 'Stand before the space and face it: front is nearest to you, left is on your left. How does it look?') : null,
    h('div.row.forms', { role: 'group', 'aria-label': 'How the space is measured' }, forms.map(([f, words]) =>
      h('button.press', { key: f, type: 'button', 'data-path': m.form === 'none' ? 'cavity' : undefined, 'aria-pressed': String(m.form === f), class: m.form === f ? 'on' : '', onclick: () => toForm(f, m) }, words))),
    m.form === 'none' ? null : elevation(m),
    m.form === 'none' ? null : pins(m),
    m.form !== 'none' && S.column ? section(m) : null,
    m.form === 'none' ? null : inTheWay(m),
    m.form !== 'none' && S.column ? plan(m) : null,
    more(m),
    settleList('space'),
    nextButtons(1),
  ];
}

// toForm writes the space in another form, with what is known of it.
function toForm(form, m) {
  if (form === m.form) return;
  const w = (mm) => write(mm);
  const W = m.width ? w(m.width) : '?', D = m.depth > 1 ? w(m.depth) : '?', H = m.height > 1 ? w(m.height) : '?';
  const drop = ['width', 'depth', 'height', 'profile', 'stations', 'depths'].filter((k) => at(S.job.tree, 'cavity.' + k)).map((k) => ({ op: 'delete', path: 'cavity.' + k }));
  const to = {
    box: [['width', W], ['depth', D], ['height', H]],
    profile: [['width', W], ['profile', (m.section?.length > 2 ? m.section.map((p) => [w(p[0]), w(p[1])]) : [['0', '0'], [D, '0'], [D, H], ['0', H]])]],
    stations: [['stations', [{ from_left: '0', ...(m.section?.length > 2 && m.depth > 1 && m.height > 1 ? { roof: roofOf(m).map((p) => [w(p[0]), w(p[1])]), floor: floorOf(m).map((p) => [w(p[0]), w(p[1])]) } : { roof: [['0', '?'], ['?', '?']] }) }, { from_left: W, like: '1' }]]],
  }[form];
  S.station = 0;
  edit([...to.map(([k, value]) => ({ op: 'set', path: 'cavity.' + k, value })), ...drop.filter((d) => !to.some(([k]) => d.path === 'cavity.' + k))]);
}

// roofOf and floorOf split a section into what lies above and below, from front to back.
function lines(m) {
  const s = m.section;
  const ds = [...new Set(s.map((p) => p[0]))].sort((a, b) => a - b);
  const cut = (d) => {
    const hs = [];
    s.forEach((p, i) => {
      const q = s[(i + 1) % s.length];
      if (p[0] === d) hs.push(p[1]);
      if ((p[0] - d) * (q[0] - d) < 0) hs.push(p[1] + ((q[1] - p[1]) * (d - p[0])) / (q[0] - p[0]));
    });
    return [Math.min(...hs), Math.max(...hs)];
  };
  return ds.map((d) => [d, ...cut(d)]);
}
const roofOf = (m) => lines(m).map(([d, , hi]) => [d, hi]);
const floorOf = (m) => lines(m).map(([d, lo]) => [d, lo]);

const hatch = 'url(#hatch)';

// elevation is the space seen from the front, over the drawn board.
function elevation(m) {
  const W = (S.leftWidth || 500), H = 130, pad = 24;
  const width = m.width || 1000, height = m.height > 1 ? m.height : 250;
  const sx = (W - 2 * pad) / width, sy = Math.min(sx * 1.6, (H - 44) / height), base = H - 22;
  const X = (v) => pad + v * sx, Y = (v) => base - v * sy;
  const tops = m.form === 'stations' && m.width
    ? m.stations.filter((s) => s.left !== null).map((s) => [s.left, Math.max(...s.roofLine.map((p) => p[1]), 0) || height])
    : [[0, height], [width, height]];
  return h('svg.elevation', { viewBox: `0 0 ${W} ${H}`, width: W, height: H, 'data-left': pad, 'data-scale': sx, role: 'group', 'aria-label': `The space from the front: ${length(width, S.view)} wide, ${m.blocks.length} things in the way` },
    h('polygon.air', { points: [[0, 0], ...tops, [width, 0]].map(([x, z]) => `${X(x)},${Y(z)}`).join(' ') }),
    h('rect.ply', { x: pad - 8, y: base, width: W - 2 * pad + 16, height: 10 }),
    h('path.plyline', { d: `M${pad - 8} ${base + 3.5}H${W - pad + 8}M${pad - 8} ${base + 6.5}H${W - pad + 8}` }),
    m.blocks.map((b, i) => h('g', { key: b.path },
      b.outline && b.along === 'depth'
        ? h('polygon.block', { points: b.outline.map(([x, z]) => `${X(x)},${Y(z)}`).join(' '), class: S.block === i ? 'on' : '', ...drag(b, i, sx, 0, m) })
        : h('rect.block', { x: X(b.left), y: Y(b.floor + b.height), width: Math.max(2, b.width * sx), height: Math.max(2, b.height * sy), class: S.block === i ? 'on' : '', ...drag(b, i, sx, 0, m) }),
      h('text.small', { x: X(b.left + b.width / 2), y: Math.max(12, Y(b.floor + b.height) - 5), 'text-anchor': 'middle' }, b.name))),
    tops.map(([x, z], i) => h('g', { key: 't' + i }, h('path.edge', { d: `M${X(x)} ${base + 10}V${Y(z)}`, class: m.form === 'stations' && S.station === i ? 'thick' : '' }), h('circle.dot', { cx: X(x), cy: Y(z), r: 4 }))),
    h('polyline.edge', { points: tops.map(([x, z]) => `${X(x)},${Y(z)}`).join(' ') }));
}

// places are where it is written how far a block stands from the left and from the front: in keys of its own, or in each
// corner of its outline.
function places(b) {
  const round = at(S.job.tree, b.path + '.round');
  return ['left', 'front'].map((side, k) => {
    const no = !b.outline ? 0 : { depth: [1], up: [1, 2], across: [0, 1] }[b.along][k];
    if (!no) return b.outline && !at(S.job.tree, `${b.path}.from_${side}`) ? [] : [[`${b.path}.from_${side}`, b[side]]];
    return round ? [[`${b.path}.at[${no}]`, 0]] : b.outline.map((_, i) => [`${b.path}.outline[${i + 1}][${no}]`, 0]);
  });
}

// drag lets a block be moved by pointer, and by arrows when it has the focus: a millimetre or a sixteenth, with Shift ten.
function drag(b, i, sx, sy, m) {
  const moveTo = (dx, dy) => {
    const by = [Math.max(-b.left, Math.min(m.width - b.width - b.left, dx)), Math.max(-b.front, Math.min(m.depth - b.depth - b.front, dy))];
    const edits = places(b).flatMap((all, k) => (by[k] ? all.map(([path, or]) => ({ op: 'set', path, value: write((at(S.job.tree, path)?.mm ?? or) + by[k]) })) : []));
    if (edits.length) edit(edits);
  };
  return {
    tabindex: '0', role: 'button', 'aria-label': `${b.name}: arrows move it`,
    onkeydown: (e) => {
      const one = (S.view === 'in' ? 25.4 / 16 : 1) * (e.shiftKey ? 10 : 1);
      const by = { ArrowLeft: [-one, 0], ArrowRight: [one, 0], ArrowUp: [0, sy ? one : 0], ArrowDown: [0, sy ? -one : 0] }[e.key];
      if (!by) return;
      e.preventDefault();
      moveTo(...by);
    },
    ontouchstart: (e) => e.preventDefault(), // a finger moves the block, not the page
    onpointerdown: (e) => {
      const el = e.target, x = e.clientX, y = e.clientY;
      S.block = i;
      changed();
      el.setPointerCapture(e.pointerId);
      const ratio = el.ownerSVGElement.getBoundingClientRect().width / el.ownerSVGElement.viewBox.baseVal.width || 1;
      const delta = (v) => [Math.round((v.clientX - x) / ratio / sx), sy ? Math.round((y - v.clientY) / ratio / sy) : 0];
      el.onpointermove = (v) => el.setAttribute('transform', `translate(${(v.clientX - x) / ratio} ${sy ? (v.clientY - y) / ratio : 0})`);
      el.onpointerup = (v) => {
        el.onpointermove = el.onpointerup = null;
        el.removeAttribute('transform');
        moveTo(...delta(v));
      };
    },
  };
}

// pins are the stations under the board, or the width alone.
function pins(m) {
  if (m.form !== 'stations') return h('div.row.under', null, gauge({ path: 'cavity.width', label: 'width, left to right', wanted: true }));
  const n = m.stations.length;
  const add = () => {
    const last = m.stations[n - 1], before = m.stations[n - 2];
    const mid = write(((before?.left ?? 0) + (last?.left ?? 600)) / 2);
    S.station = n - 1;
    edit([{ op: 'insert', path: `cavity.stations[${n}]`, value: { from_left: mid, roof: (before || last).roof.map((p) => [p.d === null ? '?' : write(p.d), '?']), floor: (before || last).floorLine.map((p) => [write(p[0]), write(p[1])]) } }]);
  };
  return [
    h('div.pins', { role: 'group', 'aria-label': 'Stations from left to right' }, m.stations.map((s, i) => h('div.pin', { key: s.path, class: S.station === i ? 'on' : '' },
      h('button.press', { type: 'button', 'aria-pressed': String(S.station === i), 'aria-label': 'Station ' + s.no + (s.roof.some((p) => p.h === null) ? ', something is missing' : ''), class: S.station === i ? 'on' : '', onclick: () => { S.station = i; changed(); } },
        h('b', null, String(s.no)), s.roof.some((p) => p.h === null) ? h('span.flag', null, '?') : null),
      gauge({ path: s.path + '.from_left', label: `station ${s.no}, from the left`, hideLabel: true, wanted: true })))),
    h('div.row', null, press('Add a station', add), n > 2 && S.station > 0 && S.station < n - 1 ? press('Take station ' + (S.station + 1) + ' out', () => {
      const p = m.stations[S.station].path;
      S.station--;
      edit([{ op: 'delete', path: p }]);
    }) : null),
  ];
}

function inTheWay(m) {
  const b = m.blocks[S.block];
  const walls = listAt(S.job.tree, 'cavity.walls');
  return [
    h('h3', null, 'In the way ', h('span.soft', null, 'press to put one in, or drag it into the space; then drag it or type')),
    h('div.palette', null, kinds.map((k) => h('button.thing', { key: k[0], type: 'button', ...pull(k, m) },
      h('svg', { viewBox: '0 0 44 28', width: 44, height: 28, 'aria-hidden': 'true' }, h('path', { d: k[1], fill: k[2] ? hatch : 'none' })), h('span', null, k[0])))),
    m.blocks.length ? h('div.row.blocks', null, m.blocks.map((x, i) => h('button.press', { key: x.path, type: 'button', class: S.block === i ? 'on' : '', 'aria-pressed': String(S.block === i), onclick: () => { S.block = S.block === i ? -1 : i; changed(); } }, x.name))) : null,
    b ? h('div.fields', null, gauge({ path: b.path + '.name', label: 'name', kind: 'text', cls: 'wide' }),
      blockFields(b).map(([k, label]) => gauge({ path: b.path + '.' + k, label })),
      b.outline ? choice({ path: b.path + '.along', label: 'It runs', fallback: 'depth', options: [['across', 'from left to right'], ['depth', 'from front to back'], ['up', 'upwards']] }) : null,
      press('Take it out', () => {
        S.block = -1;
        edit([drop(b.path)]);
      })) : null,
    walls.length ? rows('cavity.walls', 'leaning wall', [['side', 'side'], ['lean', 'into the space by', 'text', 'deg']], () => ({ side: 'back', lean: '12 deg' })) : null,
  ];
}

function blockFields(b) {
  if (at(S.job.tree, b.path + '.round')) return [['round', 'radius'], ['at[1]', 'its middle, from the left'], ['at[2]', 'its middle, height'], ['from_front', 'from the front'], ['depth', 'depth']];
  if (b.outline) return [...b.outline.flatMap((_, i) => [[`outline[${i + 1}][1]`, `corner ${i + 1}, ${b.along === 'across' ? 'depth' : 'from the left'}`], [`outline[${i + 1}][2]`, b.along === 'up' ? 'depth' : 'height']]), ['from_front', 'from the front'], ['depth', 'depth']];
  const up = at(S.job.tree, b.path + '.hangs') ? [['hangs', 'hangs down by']] : [['from_floor', 'from the floor'], ['height', 'height']];
  return [['from_left', 'from the left'], ['width', 'width'], ['from_front', 'from the front'], ['depth', 'depth'], ...up];
}

function more(m) {
  if (m.form === 'none') return null;
  return [h('h3', null, 'Room round it'), h('div.fields', null,
    gauge({ path: 'cavity.gap', label: 'gap on every side' }),
    gauge({ path: 'cavity.passage.width', label: 'passage, width' }), gauge({ path: 'cavity.passage.height', label: 'passage, height' }),
    at(S.job.tree, 'vehicle.measured') ? null : gauge({ path: 'vehicle.cabin_length', label: 'cabin, inside length', kind: 'text', hint: 'm' })),
    h('details', { key: 'vehicle' }, h('summary', null, 'The vehicle, measured'), h('p.soft', null, 'A measured curve of the cabin (CSV: frequency_hz, gain_db) takes the place of its length. Distances to the ear give the delay.'),
      h('div.row', null, fileOf('vehicle.measured', 'A curve of this folder', beside(/\.(csv|txt)$/), at(S.job.tree, 'vehicle.measured')?.t, (v) => [{ op: 'set', path: 'vehicle.measured', value: v }, ...(at(S.job.tree, 'vehicle.cabin_length') ? [{ op: 'delete', path: 'vehicle.cabin_length' }] : [])]),
        at(S.job.tree, 'vehicle.measured') ? press('No curve', () => set('vehicle', '')) : null),
      h('div.fields', null, gauge({ path: 'vehicle.fronts', label: 'fronts to the ear', kind: 'text', hint: 'm' }), gauge({ path: 'vehicle.sub', label: 'box to the ear', kind: 'text', hint: 'm' })))];
}

// right is the picture: the section with its fields where the tape was held, and the plan.
export function right() {
  const m = model(S.job.tree);
  if (m.form === 'none') {
    return [h('h3', null, 'Nothing measured yet'), h('p.told', null, 'Lay a board on the floor of the space and measure heights over it. Choose how the space looks; the drawing follows every number.'), starter()];
  }
  return S.column ? null : [section(m), plan(m)];
}

function starter() {
  const W = Math.min(600, S.rightWidth), a = 50, b = W - 50;
  return h('svg.section', { viewBox: `0 0 ${W} 260`, width: W, height: 260, role: 'img', 'aria-label': 'A space drawn from its front: a floor board, a roof, its left and right' },
    h('polygon.air', { points: `${a},200 ${a},70 ${b},50 ${b},200` }), h('rect.ply', { x: a - 20, y: 200, width: b - a + 40, height: 12 }),
    h('text', { x: W / 2, y: 140, 'text-anchor': 'middle' }, 'the space'), h('text.small', { x: a - 10, y: 130, 'text-anchor': 'end' }, 'left'),
    h('text.small', { x: b + 10, y: 130 }, 'right'), h('text.small', { x: W / 2, y: 235, 'text-anchor': 'middle' }, 'you stand here, before its front'));
}

// section draws the section that is open, seen from the right: front at the left of the drawing, with a pair of fields for
// each corner or mark above or below it.
function section(m) {
  const W = Math.min(S.rightWidth || 760, 860), small = W < 560;
  const st = m.form === 'stations' ? m.stations[Math.min(S.station, m.stations.length - 1)] : null;
  const points = st ? null : m.section;
  let poly = st ? [...st.floorLine, ...st.roofLine.slice().reverse()] : points;
  const ds = poly.map((p) => p[0]), hs = poly.map((p) => p[1]);
  const d0 = Math.min(...ds, 0), z0 = Math.min(...hs, 0), vague = Math.max(...ds) - d0 < 1 || Math.max(...hs) - z0 < 1; // drawn as something, till it is known
  const d1 = Math.max(...ds, d0 + (vague ? 400 : 1)), z1 = Math.max(...hs, z0 + (vague ? 250 : 1));
  if (vague) poly = [[d0, z0], [d1, z0], [d1, z1], [d0, z1]];
  const tops = [], lows = [];
  if (st) {
    st.roof.forEach((p, i) => tops.push({ ...p, label: 'roof ' + (i + 1), line: st.roofLine }));
    st.floor.forEach((p, i) => lows.push({ ...p, label: 'floor ' + (i + 1), line: st.floorLine }));
  } else if (m.form === 'profile') {
    m.corners.forEach((p, i) => ((p.h ?? 0) > (z0 + z1) / 2 ? tops : lows).push({ ...p, label: 'corner ' + (i + 1) }));
    for (const row of [tops, lows]) row.sort((a, b) => (a.d ?? 0) - (b.d ?? 0));
  }
  const cell = small ? 80 : 164, rowH = small ? 150 : 94, per = Math.max(1, Math.floor(W / cell));
  const rows = (list) => Math.ceil(list.length / per);
  const topH = rows(tops) * rowH + (tops.length ? 26 : 16), lowH = rows(lows) * rowH + (lows.length ? 34 : m.form === 'box' ? 88 : 30);
  const side = m.form === 'box' ? 130 : small ? 40 : 90, lead = small && m.form === 'box' ? 16 : side;
  const scale = Math.min((W - lead - side) / (d1 - d0), (small ? 190 : 270) / (z1 - z0));
  const drawH = (z1 - z0) * scale, H = topH + drawH + lowH;
  const x0 = lead + (W - lead - side - (d1 - d0) * scale) / 2;
  const X = (d) => x0 + (d - d0) * scale, Y = (z) => topH + (z1 - z) * scale;
  const place = (list, top) => list.map((p, i) => {
    const row = Math.floor(i / per), inRow = Math.min(per, list.length - row * per), k = i % per;
    const cx = (W / inRow) * (k + 0.5);
    const y = top ? row * rowH : topH + drawH + lowH - rows(list) * rowH + row * rowH;
    const known = p.d !== null && p.h !== null;
    const z = known ? p.h : p.line && p.d !== null ? heightOf(p.line, p.d) : (z0 + z1) / 2;
    return { p, cx, y, px: X(p.d ?? (d0 + d1) / 2), py: Y(z), known, top };
  });
  const placed = [...place(tops, true), ...place(lows, false)];
  const title = st ? [h('b', null, 'Station ' + st.no), h('span.soft', null, ` depth and height over the board, ${S.view}`)]
    : [h('b', null, 'Section'), h('span.soft', null, m.form === 'box' ? ` seen from the right, ${S.view}` : ` seen from the right; each corner: depth from the front, height; ${S.view}`)];
  return [
    h('h3', null, title),
    st && st.like ? h('p.told', null, `The same as station ${st.like}. `, press('Measure it apart', () => edit([
      { op: 'set', path: st.path + '.roof', value: st.roofLine.map((p) => [write(p[0]), write(p[1])]) },
      { op: 'set', path: st.path + '.floor', value: st.floorLine.map((p) => [write(p[0]), write(p[1])]) }, { op: 'delete', path: st.path + '.like' }]))) : null,
    h('div.board', { style: { width: W + 'px', height: H + 'px' } },
      h('svg.section', { viewBox: `0 0 ${W} ${H}`, width: W, height: H, role: 'img', 'aria-label': `Section of the space, ${length(d1 - d0, S.view)} deep and ${length(z1 - z0, S.view)} high` },
        h('polygon.air', { points: poly.map(([d, z]) => `${X(d)},${Y(z)}`).join(' ') }),
        st ? h('polygon.raised', { points: [[st.front, 0], ...st.floorLine, [st.back, 0]].map(([d, z]) => `${X(d)},${Y(Math.max(0, z))}`).join(' ') }) : null,
        h('rect.ply', { x: X(d0) - 8, y: Y(0), width: (d1 - d0) * scale + 16, height: 10 }),
        h('path.plyline', { d: `M${X(d0) - 8} ${Y(0) + 3.5}h${(d1 - d0) * scale + 16}M${X(d0) - 8} ${Y(0) + 6.5}h${(d1 - d0) * scale + 16}` }),
        h('polygon.edge.thick', { points: poly.map(([d, z]) => `${X(d)},${Y(z)}`).join(' ') }),
        placed.map(({ p, known }) => {
          const k = known || p.d === null || !p.line ? -1 : p.line.findIndex((q, i) => i && q[0] >= p.d && p.line[i - 1][0] <= p.d);
          return k > 0 ? [h('path.held', { key: 'held' + p.path, d: `M${X(p.line[k - 1][0])} ${Y(p.line[k - 1][1])}L${X(p.line[k][0])} ${Y(p.line[k][1])}` }), h('text.small.mark', { key: 'says' + p.path, x: X(p.d), y: Y(heightOf(p.line, p.d)) + (p.line === st.roofLine ? 28 : -18), 'text-anchor': 'middle' }, 'held straight')] : null;
        }),
        m.blocks.filter((b) => !b.outline || b.along !== 'depth').map((b) => h('rect.ghost', { key: b.path, x: X(b.front), y: Y(b.floor + b.height), width: b.depth * scale, height: b.height * scale })),
        h('text.small', { x: X(d0) - (small ? 4 : 12), y: Y((z0 + z1) / 2), 'text-anchor': 'end' }, small && m.form === 'box' ? '' : 'front'),
        h('text.small', { x: X(d1) + (small ? 4 : 12), y: Y((z0 + z1) / 2) }, m.form === 'box' ? '' : 'back'),
        placed.map(({ p, cx, y, px, py, known, top }) => h('g', { key: p.path, class: stateOf(p.hPath) },
          h('path.leader', { d: `M${px} ${py}L${cx} ${top ? y + rowH - 6 : y}`, class: known ? '' : 'gone' }),
          known ? h('circle.dot', { cx: px, cy: py, r: 4.5 }) : h('rect.missingdot', { x: px - 7, y: py - 7, width: 14, height: 14 })))),
      placed.map(({ p, cx, y }) => h('div.pair', { key: p.path, class: small ? 'stack' : '', style: { left: cx - cell / 2 + 2 + 'px', top: y + 'px', width: cell - 4 + 'px' } },
        h('span.title', null, p.label), gauge({ path: p.dPath, label: st ? 'at depth' : 'depth', cls: 'thin' }), gauge({ path: p.hPath, label: 'height', wanted: true }))),
      m.form === 'box' ? [
        h('div.spot', { key: 'bh', style: { left: Math.min(W - 120, X(d1) + 14) + 'px', top: topH + drawH / 2 - 40 + 'px' } }, gauge({ path: 'cavity.height', label: 'height', wanted: true })),
        h('div.spot', { key: 'bd', style: { left: X((d0 + d1) / 2) - 58 + 'px', top: topH + drawH + 14 + 'px' } }, gauge({ path: 'cavity.depth', label: 'depth', wanted: true }))] : null),
    marks(m, st),
  ];
}

// marks add and take out corners or marks.
function marks(m, st) {
  if (m.form === 'box') return null;
  if (!st) {
    const n = m.corners.length;
    return h('div.row', null, press('Add a corner', () => {
      const a = m.section[n - 1] || [0, 0], b = m.section[0] || [100, 100];
      edit([{ op: 'set', path: `cavity.profile[${n + 1}]`, value: [write((a[0] + b[0]) / 2), write((a[1] + b[1]) / 2)] }]);
    }), n > 3 ? press('Take the last corner out', () => edit([{ op: 'delete', path: `cavity.profile[${n}]` }])) : null);
  }
  if (st.like) return null;
  const between = (line, key) => () => {
    const pts = line.filter((p) => p.d !== null);
    let best = 0;
    for (let i = 1; i < pts.length; i++) if (pts[i].d - pts[i - 1].d > pts[best + 1].d - pts[best].d) best = i - 1;
    if (pts.length < 2) {
      edit([{ op: 'set', path: st.path + '.' + key, value: [[write(st.front), '0'], [st.back > st.front ? write(st.back) : '?', '0']] }]);
      return;
    }
    const d = (pts[best].d + pts[best + 1].d) / 2;
    edit([{ op: 'insert', path: `${st.path}.${key}[${best + 2}]`, value: [write(d), '?'] }]);
  };
  return [h('div.row', null, press('Add a roof mark', between(st.roof, 'roof')), press('Add a floor mark', between(st.floor, 'floor'))),
    fold('This station, further', 'Depths between which there is space here, where that is not from the first mark to the last.', [['front', 'space begins at', 'length'], ['back', 'space ends at', 'length']], st.path + '.'),
    listAt(S.job.tree, 'cavity.stick').length ? [h('h3', null, 'Stick tests'), rows('cavity.stick', 'stick', [['from_left', 'from the left', 'length'], ['depth', 'depth', 'length'], ['roof', 'roof found', 'length'], ['floor', 'floor found', 'length']])] : null];
}

// plan is the space from above, front edge below, with the box of the design that is looked at.
function plan(m) {
  const W = Math.min(S.rightWidth || 760, 860), width = m.width || 1000, depth = m.depth > 1 ? m.depth : 400, known = (v) => (v > 1 ? length(v, S.view) : '?');
  const scale = Math.min((W - 90) / width, 240 / depth), H = depth * scale + 70;
  const x0 = 20, y0 = m.stations.length ? 22 : 8;
  const X = (v) => x0 + v * scale, Y = (v) => y0 + (depth - v) * scale;
  const d = S.design?.designs[S.pick];
  const box = d && footprint(d);
  return [
    h('h3', null, h('b', null, 'From above'), h('span.soft', null, ' front edge below')),
    h('svg.plan', { viewBox: `0 0 ${W} ${H}`, width: W, height: H, 'data-left': x0, 'data-scale': scale, 'data-base': y0 + depth * scale, role: 'group', 'aria-label': `The space from above, ${length(width, S.view)} wide and ${length(depth, S.view)} deep` },
      h('rect.air.edged', { x: X(0), y: Y(depth), width: width * scale, height: depth * scale }),
      m.stations.filter((s) => s.left !== null).map((s, i) => h('g', { key: s.path }, h('path.edge', { d: `M${X(s.left)} ${Y(0)}V${Y(depth)}`, class: S.station === i ? 'thick' : '' }), h('text.small', { x: X(s.left), y: 14, 'text-anchor': 'middle', class: S.station === i ? 'pick' : '' }, String(s.no)),
        s.roof.map((p) => p.d === null ? null : p.h === null ? h('rect.missingdot', { x: X(s.left) - 6, y: Y(p.d) - 6, width: 12, height: 12 }) : h('circle.dot', { cx: X(s.left), cy: Y(p.d), r: 3.5 })))),
      m.blocks.map((b, i) => h('g', { key: b.path }, h('rect.block', { x: X(b.left), y: Y(b.front + b.depth), width: Math.max(3, b.width * scale), height: Math.max(3, b.depth * scale), class: S.block === i ? 'on' : '', ...drag(b, i, scale, scale, m) }),
        h('text.small.halo', { x: X(b.left + b.width / 2), y: Y(b.front + b.depth / 2) + (i % 2 ? 14 : -4), 'text-anchor': b.left + b.width / 2 > width * 0.85 ? 'end' : 'middle' }, b.name))),
      box ? h('g', { key: 'box' }, h('rect.boxplan', { x: X(box[0]), y: Y(box[3]), width: (box[1] - box[0]) * scale, height: (box[3] - box[2]) * scale }),
        h('text.small.pick.halo', { x: Math.max(62, X((box[0] + box[1]) / 2)), y: Y((box[2] + box[3]) / 2) + 30, 'text-anchor': 'middle' }, 'box of design ' + 'ABCDEFGH'[S.pick])) : null,
      (S.design?.stick_tests || []).map((t, i) => h('g', { key: 's' + i }, h('circle.stick', { cx: X(t.across_mm), cy: Y(t.depth_mm), r: 8 }), h('path.edge', { d: `M${X(t.across_mm) - 11} ${Y(t.depth_mm)}h22M${X(t.across_mm)} ${Y(t.depth_mm) - 11}v22` }), h('text.small.halo', { x: X(t.across_mm) + 12, y: Math.max(Y(t.depth_mm) - 4, Y(depth) + 16) }, 'ABCDEF'[i]))),
      h('path.dim', { d: `M${X(0)} ${Y(0) + 14}v12M${X(width)} ${Y(0) + 14}v12M${X(0)} ${Y(0) + 20}H${X(width)}` }),
      h('text.halo', { x: X(width / 2), y: Y(0) + 26, 'text-anchor': 'middle' }, known(m.width)),
      h('path.dim', { d: `M${X(width) + 10} ${Y(0)}h12M${X(width) + 10} ${Y(depth)}h12M${X(width) + 16} ${Y(0)}V${Y(depth)}` }),
      h('text.halo', { x: X(width) + 12, y: Y(depth / 2) + 5 }, known(m.depth))),
  ];
}

// footprint gives the extent of a design's box: left, right, front, back.
export function footprint(d) {
  const faces = d.outside.faces_mm;
  if (faces) {
    const all = faces.flat();
    return [Math.min(...all.map((p) => p[0])), Math.max(...all.map((p) => p[0])), Math.min(...all.map((p) => p[1])), Math.max(...all.map((p) => p[1]))];
  }
  const ds = d.outside.section_mm.map((p) => p[0]);
  return [d.outside.left_mm, d.outside.left_mm + d.outside.width_mm, Math.min(...ds), Math.max(...ds)];
}

// summary is the shut step's line.
export function summary() {
  const m = model(S.job.tree);
  if (m.form === 'none') return 'nothing measured yet';
  const size = [m.width, m.depth, m.height].every((v) => v > 1) ? length(m.width, S.view) + ' × ' + length(m.depth, S.view) + ' × ' + length(m.height, S.view) + ' ' + S.view : '';
  return [m.form === 'stations' ? m.stations.length + ' stations' : size, ...m.blocks.map((b) => b.name)].filter(Boolean).join(', ');
}
