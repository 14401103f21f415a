// The space as a picture shows it: read out of the job's tree, in millimetres.

import { S } from './store.js';
import { at, textAt, listAt } from './tree.js';

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
