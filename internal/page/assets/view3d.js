// The box standing in its space, in three dimensions. Told apart in black and white too: the box is filled and thickly
// edged, what is in the way is hatched, the space is thinly edged.

import { h } from './dom.js';
import { S } from './store.js';
import { model, heightOf } from './space.js';
import { sizeText, length } from './tree.js';
import { footprint } from './space.js';

let T = null; // the library, once it has been loaded
let failed = '';
let stage = null; // what is shown, with its camera

export const prism = (section, left, width) => {
  const n = section.length;
  const side = section.map((p, i) => {
    const q = section[(i + 1) % n];
    return [[left, p[0], p[1]], [left, q[0], q[1]], [left + width, q[0], q[1]], [left + width, p[0], p[1]]];
  });
  return [...side, section.map(([d, z]) => [left + width, d, z]), section.map(([d, z]) => [left, d, z]).reverse()];
};

export const facesOf = (d) => d.outside.faces_mm || prism(d.outside.section_mm, d.outside.left_mm, d.outside.width_mm);

// scene is the element; it draws itself. What it shows is said in words as well.
export function scene(d) {
  const m = model(S.job.tree);
  const [l] = footprint(d);
  const words = `The box, ${sizeText(d.outside.finished_mm || [d.outside.width_mm || 0], S.view)}, stands ${length(l, S.view)} from the left of the space` +
    (m.blocks.length ? '; in the way: ' + m.blocks.map((b) => b.name).join(', ') : '') + `. The driver is on the ${driverPanel(d)?.name || 'box'}` + (d.radiator ? ', its passive radiator too or on another side.' : '.');
  const turn = (a, e, z) => () => stage && stage.move(a, e, z);
  return h('div.scene', { key: 'scene' },
    h('div.stage', { key: 'stage', tabindex: '0', role: 'img', 'aria-label': words + ' Arrow keys turn it, plus and minus zoom.', hook: (el) => mount(el, d, m),
      onkeydown: (e) => {
        const by = { ArrowLeft: [-0.2, 0, 1], ArrowRight: [0.2, 0, 1], ArrowUp: [0, 0.15, 1], ArrowDown: [0, -0.15, 1], '+': [0, 0, 1.2], '-': [0, 0, 1 / 1.2] }[e.key];
        if (by && stage) (e.preventDefault(), stage.move(...by));
      } }),
    h('div.turns', null, [['↺', 'turn left', -0.35, 0, 1], ['↻', 'turn right', 0.35, 0, 1], ['+', 'nearer', 0, 0, 1.2], ['−', 'farther', 0, 0, 1 / 1.2]].map(([t, words, ...by]) =>
      h('button.press.turn', { key: t, type: 'button', 'aria-label': words, title: words, onclick: turn(...by) }, t))),
    failed ? h('p.told', null, failed + ' ' + words) : null);
}

const driverPanel = (d) => d.panels.find((p) => p.holes.some((x) => x.kind === 'driver' && x.use !== 'passive radiator'));

async function mount(el, d, m) {
  const key = JSON.stringify([d.outside, d.panels.map((p) => [p.place, p.holes.length]), m.blocks, m.section, m.stations.map((s) => [s.left, s.roofLine, s.floorLine]), m.width, S.stale, el.clientWidth, tone('ink')]);
  if (el.shownKey === key) return;
  el.shownKey = key;
  if (!T) {
    try {
      T = await import('./vendor/three.module.js');
    } catch {
      failed = 'The view cannot be drawn here.';
      return;
    }
  }
  if (el.shownKey !== key) return;
  if (!stage || stage.el !== el) {
    try {
      stage = makeStage(el);
    } catch {
      failed = 'This browser draws no views (WebGL is off).';
      return;
    }
  }
  stage.show(d, m);
}

const tone = (name) => getComputedStyle(document.documentElement).getPropertyValue('--' + name).trim();

// V turns across, depth, height into the library's axes: height is up, depth goes away from you.
const V = (p) => new T.Vector3(p[0], p[2], -p[1]);

function makeStage(el) {
  const renderer = new T.WebGLRenderer({ antialias: true, alpha: true, preserveDrawingBuffer: true });
  renderer.setPixelRatio(Math.min(2, devicePixelRatio));
  const camera = new T.OrthographicCamera(-1, 1, 1, -1, -1e5, 1e5);
  const labels = document.createElement('div');
  labels.className = 'labels';
  el.replaceChildren(renderer.domElement, labels);
  const st = { el, scene: new T.Scene(), az: -0.62, el2: 0.42, zoom: 1, tags: [] };
  st.draw = () => {
    const w = el.clientWidth || 600, k = Math.max(240, Math.min(400, w * 0.42));
    if (renderer.domElement.width !== Math.round(w * renderer.getPixelRatio()) || st.k !== k) renderer.setSize(w, k);
    st.k = k;
    const c = st.centre || new T.Vector3(), r = st.radius || 500;
    camera.position.set(c.x + Math.sin(st.az) * Math.cos(st.el2) * r * 3, c.y + Math.sin(st.el2) * r * 3, c.z + Math.cos(st.az) * Math.cos(st.el2) * r * 3);
    camera.lookAt(c);
    camera.updateMatrixWorld(true);
    // Frame what is there: the corners of it, as seen.
    let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity];
    for (const p of st.corners || []) {
      const q = p.clone().applyMatrix4(camera.matrixWorldInverse);
      [x0, x1, y0, y1] = [Math.min(x0, q.x), Math.max(x1, q.x), Math.min(y0, q.y), Math.max(y1, q.y)];
    }
    const half = (Math.max((x1 - x0) / w, (y1 - y0) / (k - 50)) * 1.12) / 2 / st.zoom || 1;
    const [mx, my] = [(x0 + x1) / 2 || 0, (y0 + y1) / 2 || 0];
    Object.assign(camera, { left: mx - half * w, right: mx + half * w, top: my + half * k, bottom: my - half * k });
    camera.updateProjectionMatrix();
    renderer.render(st.scene, camera);
    place(st, camera, labels, w, k);
  };
  st.move = (a, e, z) => {
    st.az += a;
    st.el2 = Math.max(-0.2, Math.min(1.45, st.el2 + e));
    st.zoom = Math.max(0.4, Math.min(8, st.zoom * z));
    st.draw();
  };
  st.show = (d, m) => {
    build(st, d, m);
    st.draw();
  };
  touch(st, renderer.domElement);
  new ResizeObserver(() => st.draw()).observe(el);
  return st;
}

// touch turns by one pointer and zooms by two, or by the wheel with Ctrl.
function touch(st, canvas) {
  const down = new Map();
  let gap = 0;
  canvas.style.touchAction = 'pan-y';
  canvas.addEventListener('pointerdown', (e) => {
    down.set(e.pointerId, e);
    canvas.setPointerCapture(e.pointerId);
  });
  canvas.addEventListener('pointermove', (e) => {
    const was = down.get(e.pointerId);
    if (!was) return;
    down.set(e.pointerId, e);
    if (down.size === 1) st.move(-(e.clientX - was.clientX) * 0.008, (e.clientY - was.clientY) * 0.006, 1);
    else {
      const [a, b] = [...down.values()];
      const now = Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY);
      if (gap) st.move(0, 0, now / gap);
      gap = now;
    }
  });
  const up = (e) => {
    down.delete(e.pointerId);
    gap = 0;
  };
  canvas.addEventListener('pointerup', up);
  canvas.addEventListener('pointercancel', up);
  canvas.addEventListener('wheel', (e) => {
    if (!e.ctrlKey) return;
    e.preventDefault();
    st.move(0, 0, e.deltaY < 0 ? 1.1 : 1 / 1.1);
  }, { passive: false });
}

function build(st, d, m) {
  st.scene.clear();
  st.tags = [];
  st.corners = [];
  const faces = facesOf(d);
  const ink = new T.Color(tone('ink'));
  st.thick = Math.hypot(m.width || 1000, m.depth || 400, m.height || 300) / 480;
  addSpace(st, m, ink);
  m.blocks.forEach((b) => addBlock(st, b, m, ink));
  for (const f of faces) addFace(st.scene, f, shade(f));
  addEdges(st.scene, faces, ink, st.thick);
  d.panels.forEach((p) => p.holes.forEach((x) => addHole(st, d, p, x, ink)));
  faces.flat().forEach((p) => st.corners.push(V(p)));
  const b = new T.Box3().setFromPoints(st.corners);
  st.centre = b.getCenter(new T.Vector3());
  st.radius = b.getSize(new T.Vector3()).length() / 2;
}

function normalOf(f) {
  const n = [0, 0, 0];
  f.forEach((p, i) => {
    const q = f[(i + 1) % f.length];
    n[0] += (p[1] - q[1]) * (p[2] + q[2]);
    n[1] += (p[2] - q[2]) * (p[0] + q[0]);
    n[2] += (p[0] - q[0]) * (p[1] + q[1]);
  });
  const len = Math.hypot(...n) || 1;
  return n.map((v) => v / len);
}

// shade gives a face its tone by where it looks: front and top light, ends darker.
function shade(f) {
  const n = normalOf(f);
  return new T.Color(tone('wood')).lerp(new T.Color(tone('ply')), Math.min(1, Math.abs(n[0]) * 0.95 + Math.max(0, n[2]) * 0.25 + Math.max(0, n[1]) * 0.8));
}

function flat(f) {
  const n = normalOf(f).map(Math.abs);
  const drop = n.indexOf(Math.max(...n));
  const [a, b] = [0, 1, 2].filter((i) => i !== drop);
  let idx = T.ShapeUtils.triangulateShape(f.map((p) => new T.Vector2(p[a], p[b])), []);
  const [u, v, w] = idx[0] || [0, 1, 2];
  const got = normalOf([f[u], f[v], f[w]]), want = normalOf(f);
  if (got[0] * want[0] + got[1] * want[1] + got[2] * want[2] < 0) idx = idx.map((t) => t.slice().reverse());
  return idx;
}

function addFace(scene, f, color, more = {}) {
  const g = new T.BufferGeometry();
  g.setAttribute('position', new T.Float32BufferAttribute(f.flatMap((p) => V(p).toArray()), 3));
  if (more.map) {
    const n = normalOf(f).map(Math.abs), drop = n.indexOf(Math.max(...n)), [a, b] = [0, 1, 2].filter((i) => i !== drop);
    g.setAttribute('uv', new T.Float32BufferAttribute(f.flatMap((p) => [p[a] / 60, p[b] / 60]), 2));
  }
  g.setIndex(flat(f).flat());
  const mat = new T.MeshBasicMaterial({ color, side: more.side ?? T.DoubleSide, transparent: more.opacity !== undefined, opacity: more.opacity ?? 1, map: more.map || null, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1, depthWrite: more.opacity === undefined });
  scene.add(new T.Mesh(g, mat));
}

// addEdges draws edges as thin rods, which keep their thickness on every screen.
function addEdges(scene, faces, color, thick) {
  const seen = new Set(), mat = new T.MeshBasicMaterial({ color }), up = new T.Vector3(0, 1, 0);
  for (const f of faces) {
    f.forEach((p, i) => {
      const q = f[(i + 1) % f.length];
      const key = [p, q].map((x) => x.map((v) => v.toFixed(2)).join()).sort().join('|');
      if (seen.has(key)) return;
      seen.add(key);
      const a = V(p), b = V(q), len = a.distanceTo(b);
      if (len < 1e-6) return;
      const rod = new T.Mesh(new T.CylinderGeometry(thick, thick, len, 6), mat);
      rod.position.copy(a).lerp(b, 0.5);
      rod.quaternion.setFromUnitVectors(up, b.clone().sub(a).normalize());
      scene.add(rod);
    });
  }
}

function addLines(scene, pairs, color, dashed) {
  const g = new T.BufferGeometry().setFromPoints(pairs.map(V));
  const mat = dashed ? new T.LineDashedMaterial({ color, dashSize: 16, gapSize: 10 }) : new T.LineBasicMaterial({ color });
  const l = new T.LineSegments(g, mat);
  if (dashed) l.computeLineDistances();
  scene.add(l);
}

// addSpace draws the sides of the space that are seen from within.
function addSpace(st, m, ink) {
  const fog = new T.Color(tone('fog')), soft = new T.Color(tone('edge'));
  const slices = m.form === 'stations'
    ? m.stations.filter((s) => s.left !== null).map((s) => ({ left: s.left, floor: s.floorLine, roof: s.roofLine }))
    : null;
  if (!slices) {
    const faces = prism(m.section, 0, m.width || 1000);
    for (const f of faces) addFace(st.scene, f, fog, { side: T.BackSide, opacity: 0.85 });
    addLines(st.scene, faces.flatMap((f) => f.flatMap((p, i) => [p, f[(i + 1) % f.length]])), soft, true);
    faces.flat().forEach((p) => st.corners.push(V(p)));
    return;
  }
  // Ruled between stations at the same depth: as many strips as there are marks.
  const lines = [];
  for (let i = 1; i < slices.length; i++) {
    const [a, b] = [slices[i - 1], slices[i]];
    for (const key of ['floor', 'roof']) {
      const ds = [...new Set([...a[key], ...b[key]].map((p) => p[0]))].sort((x, y) => x - y);
      for (let k = 1; k < ds.length; k++) {
        const q = [[a.left, ds[k - 1], heightOf(a[key], ds[k - 1])], [b.left, ds[k - 1], heightOf(b[key], ds[k - 1])], [b.left, ds[k], heightOf(b[key], ds[k])], [a.left, ds[k], heightOf(a[key], ds[k])]];
        const tri = key === 'floor' ? [[q[2], q[1], q[0]], [q[3], q[2], q[0]]] : [[q[0], q[1], q[2]], [q[0], q[2], q[3]]];
        if (key === 'floor') tri.forEach((t) => addFace(st.scene, t, fog, { opacity: 0.85 }));
        lines.push(q[0], q[1], q[3], q[2]);
      }
    }
    const back = (s) => Math.max(s.floor[s.floor.length - 1][0], s.roof[s.roof.length - 1][0]);
    addFace(st.scene, [[a.left, back(a), heightOf(a.floor, 1e9)], [b.left, back(b), heightOf(b.floor, 1e9)], [b.left, back(b), heightOf(b.roof, 1e9)], [a.left, back(a), heightOf(a.roof, 1e9)]], fog, { opacity: 0.6 });
  }
  for (const s of slices) {
    const loop = [...s.floor, ...s.roof.slice().reverse()].map(([d, z]) => [s.left, d, z]);
    loop.forEach((p, i) => lines.push(p, loop[(i + 1) % loop.length]));
    loop.forEach((p) => st.corners.push(V(p)));
  }
  addLines(st.scene, lines, soft, true);
}

let hatchMap = {};

function hatching() {
  const key = tone('leaf') + tone('ink');
  if (hatchMap.key === key) return hatchMap.map;
  const c = document.createElement('canvas');
  c.width = c.height = 64;
  const g = c.getContext('2d');
  g.fillStyle = tone('leaf');
  g.fillRect(0, 0, 64, 64);
  g.strokeStyle = tone('soft');
  g.lineWidth = 3;
  for (let i = -64; i < 128; i += 16) {
    g.beginPath();
    g.moveTo(i, 64);
    g.lineTo(i + 64, 0);
    g.stroke();
  }
  const map = new T.CanvasTexture(c);
  map.wrapS = map.wrapT = T.RepeatWrapping;
  map.colorSpace = T.SRGBColorSpace;
  hatchMap = { key, map };
  return map;
}

function addBlock(st, b, m, ink) {
  let faces;
  if (b.outline && b.along === 'depth') {
    const f = b.outline, y0 = b.front, y1 = b.front + b.depth;
    faces = [f.map(([x, z]) => [x, y0, z]), f.map(([x, z]) => [x, y1, z]).reverse(), ...f.map((p, i) => {
      const q = f[(i + 1) % f.length];
      return [[p[0], y0, p[1]], [p[0], y1, p[1]], [q[0], y1, q[1]], [q[0], y0, q[1]]];
    })];
  } else if (b.outline && b.along === 'across') faces = prism(b.outline, 0, m.width);
  else faces = prism([[b.front, b.floor], [b.front + b.depth, b.floor], [b.front + b.depth, b.floor + b.height], [b.front, b.floor + b.height]], b.left, b.width);
  for (const f of faces) addFace(st.scene, f, new T.Color('#ffffff'), { map: hatching() });
  addEdges(st.scene, faces, ink, st.thick * 0.6);
  st.tags.push({ at: V([b.left + b.width / 2, b.front, b.floor + b.height]), text: b.name });
  faces.flat().forEach((p) => st.corners.push(V(p)));
}

// addHole draws the driver and the ports on the faces that they are cut into.
function addHole(st, d, p, x, ink) {
  if (!['driver', 'port', 'slot'].includes(x.kind)) return;
  const o = V(p.place.origin_mm), ux = V(p.place.x), uy = V(p.place.y), n = ux.clone().cross(uy);
  const c = o.clone().addScaledVector(ux, x.x_mm).addScaledVector(uy, x.y_mm);
  const put = (g, color, out, map) => {
    const mesh = new T.Mesh(g, new T.MeshBasicMaterial({ color, side: T.DoubleSide, map: map || null }));
    mesh.matrixAutoUpdate = false;
    mesh.matrix.makeBasis(ux, uy, n).setPosition(c.clone().addScaledVector(n, out));
    st.scene.add(mesh);
  };
  const r = (x.diameter_mm || Math.min(x.length_mm || 0, x.width_mm || 0)) / 2;
  const paper = new T.Color(tone('leaf'));
  const passive = x.use === 'passive radiator';
  if (x.kind === 'driver' && r > 0) {
    put(new T.CircleGeometry(r * 1.12, 64), paper, 1.5);
    put(new T.RingGeometry(r * 1.08, r * 1.12, 64), ink, 2);
    if (passive) put(new T.RingGeometry(r * 0.6, r * 0.66, 64), ink, 2); // a cone without a motor: two rings
    else {
      put(new T.RingGeometry(r * 0.34, r * 0.98, 64), ink, 2);
      put(new T.CircleGeometry(r * 0.12, 32), ink, 2.2);
    }
  } else if (x.diameter_mm) {
    put(new T.CircleGeometry(r, 48), ink, 1.5);
    put(new T.RingGeometry(r, r * 1.15, 48), paper, 1.6);
  } else if (x.length_mm && x.width_mm) {
    put(new T.PlaneGeometry(x.length_mm, x.width_mm), ink, 1.5);
    const g = new T.PlaneGeometry(x.length_mm * 0.985, Math.max(2, x.width_mm - 6));
    put(g, new T.Color('#ffffff'), 1.8, hatching());
  }
  st.tags.push({ at: c.clone().addScaledVector(n, 3).addScaledVector(uy, -r * 0.9), text: passive ? 'radiator' : x.kind === 'driver' ? 'driver' : x.kind === 'slot' ? 'port slot' : 'port', n });
}

// place sets the names where their things are seen, each a little way off with a line to it; none lies over another.
function place(st, camera, labels, w, k) {
  labels.replaceChildren();
  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
  svg.setAttribute('viewBox', `0 0 ${w} ${k}`);
  labels.append(svg);
  const taken = [];
  for (const t of st.tags) {
    const p = t.at.clone().project(camera);
    const x = ((p.x + 1) / 2) * w, y = ((1 - p.y) / 2) * k;
    if (x < 0 || x > w || y < 0 || y > k) continue;
    const wide = t.text.length * 8 + 8;
    let best = null;
    for (const [dx, dy] of [[46, 40], [46, -40], [-46, 40], [-46, -40], [70, 70], [-70, -70], [70, -76], [-70, 80], [0, 90], [0, -90]]) {
      const bx = Math.max(2, Math.min(w - wide - 2, dx < 0 ? x + dx - wide : x + dx)), by = Math.max(12, Math.min(k - 66, y + dy));
      if (!taken.some((b) => bx < b[0] + b[2] + 6 && bx + wide + 6 > b[0] && Math.abs(by - b[1]) < 20)) {
        best = [bx, by];
        break;
      }
    }
    if (!best) continue;
    taken.push([best[0], best[1], wide]);
    const line = document.createElementNS('http://www.w3.org/2000/svg', 'path');
    line.setAttribute('class', 'leader');
    line.setAttribute('d', `M${x} ${y}L${best[0] + (best[0] > x ? 0 : wide)} ${best[1]}`);
    const dot = document.createElementNS('http://www.w3.org/2000/svg', 'circle');
    dot.setAttribute('class', 'dot');
    dot.setAttribute('cx', x);
    dot.setAttribute('cy', y);
    dot.setAttribute('r', 3.5);
    svg.append(line, dot);
    const el = document.createElement('span');
    el.textContent = t.text;
    el.style.left = best[0] + 'px';
    el.style.top = best[1] - 10 + 'px';
    labels.append(el);
  }
}
