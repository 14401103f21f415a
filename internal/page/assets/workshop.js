// What the workshop gets: the panels on their sheets, and the box taken apart.

import { h } from './dom.js';
import { S } from './store.js';
import { length, sizeText } from './tree.js';

// layout draws the sheets with what is cut from them.
export function layout(d) {
  const W = Math.min(S.rightWidth || 760, 860);
  if (!d.sheets.length) return h('p.told', null, 'No sheets: say in step 4 what is at hand.');
  return [h('p.told', null, `${d.sheets.length} sheet${d.sheets.length > 1 ? 's' : ''}` + (d.sheets_proved ? ', and fewer cannot do.' : '; fewer than ' + d.sheets_lower_bound + ' cannot do.')),
    d.sheets.map((s, i) => {
      const k = (W - 4) / s.width_mm, H = s.height_mm * k + 4;
      const X = (v) => 2 + v * k, Y = (y, height) => 2 + (s.height_mm - y - height) * k;
      return h('svg.sheet', { key: i, viewBox: `0 0 ${W} ${H}`, width: W, height: H, role: 'img', 'aria-label': `Sheet ${i + 1}, ${sizeText([s.width_mm, s.height_mm], S.view)}: ` + s.placements.map((p) => p.panel).join(', ') },
        h('rect.off', { x: 2, y: 2, width: s.width_mm * k, height: s.height_mm * k }),
        s.placements.map((p, j) => {
          const w = p.width_mm * k, t = p.height_mm * k, size = sizeText([p.width_mm, p.height_mm], S.view);
          const names = [p.panel, p.panel.replace(/^.*: /, ''), (d.panels || []).find((x) => x.name === p.panel)?.id];
          const narrow = w < 90 && t > w;
          const fits = (text, px) => text.length * px < Math.max(w, narrow ? t : w) - 4, both = Math.min(w, t) > 44 && fits(size, 8.6);
          const cx = X(p.x_mm) + w / 2, cy = Y(p.y_mm, p.height_mm) + t / 2;
          const name = names.find((n) => n && fits(n, 9));
          return h('g', { key: j }, h('title', null, p.panel + ', ' + size), h('rect.part', { x: X(p.x_mm), y: Y(p.y_mm, p.height_mm), width: w, height: t }),
            (p.parts || []).map((q, n) => h('polygon.pairline', { key: n, points: q.outline_mm.map(([x, y]) => `${X(x)},${2 + (s.height_mm - y) * k}`).join(' ') })),
            Math.min(w, t) < 18 ? null : h('g', { transform: narrow ? `rotate(-90 ${cx} ${cy})` : undefined },
              name ? h('text', { x: cx, y: cy + (both ? -2 : 5), 'text-anchor': 'middle' }, name) : null,
              both ? h('text.small', { x: cx, y: cy + 16, 'text-anchor': 'middle' }, size) : null));
        }));
    })];
}

// exploded draws every board a little way out of its place, as seen from the front, left and above.
export function exploded(d) {
  const W = Math.min(S.rightWidth || 760, 860);
  const boards = [];
  const middle = [0, 0, 0];
  let count = 0;
  for (const p of d.panels) {
    for (const place of p.places || [p.place]) {
      const corner = ([x, y]) => place.origin_mm.map((o, i) => o + place.x[i] * x + place.y[i] * y);
      const flat = p.outer_mm || (p.outline_mm || [[0, 0], [p.length_mm, 0], [p.length_mm, p.outer_width_mm || p.width_mm], [0, p.outer_width_mm || p.width_mm]]).map(corner);
      const n = [place.x[1] * place.y[2] - place.x[2] * place.y[1], place.x[2] * place.y[0] - place.x[0] * place.y[2], place.x[0] * place.y[1] - place.x[1] * place.y[0]];
      boards.push({ p, flat, n, holes: (p.holes || []).filter((x) => x.diameter_mm && x.kind !== 'bolt').map((x) => ({ c: corner([x.x_mm, x.y_mm]), r: x.diameter_mm / 2, place })) });
      if (p.role === 'wall' || p.role === 'end') for (const c of flat) (c.forEach((v, i) => (middle[i] += v)), count++);
    }
  }
  middle.forEach((v, i) => (middle[i] = v / (count || 1)));
  const size = Math.max(...boards.flatMap((b) => b.flat.map((c) => Math.hypot(c[0] - middle[0], c[1] - middle[1], c[2] - middle[2]))));
  const az = 0.55, el = 0.45;
  const view = (p) => {
    const x = p[0] * Math.cos(az) + p[1] * Math.sin(az), y = -p[0] * Math.sin(az) + p[1] * Math.cos(az);
    return [x, p[2] * Math.cos(el) + y * Math.sin(el), y * Math.cos(el) - p[2] * Math.sin(el)];
  };
  const loop = (list) => list.map((c) => c.join(',')).join(' ');
  for (const b of boards) {
    const c = [0, 1, 2].map((i) => b.flat.reduce((s, q) => s + q[i], 0) / b.flat.length);
    const main = b.p.role === 'wall' || b.p.role === 'end';
    const by = main ? size * 0.55 : 0, t = b.p.thickness_mm;
    const out = (q, depth) => view(q.map((v, i) => v + b.n[i] * (by - depth)));
    b.faces = [{ pts: b.flat.map((q) => out(q, 0)) }, { pts: b.flat.map((q) => out(q, t)) }];
    b.sides = b.flat.map((q, i) => [out(q, 0), out(b.flat[(i + 1) % b.flat.length], 0), out(b.flat[(i + 1) % b.flat.length], t), out(q, t)]);
    b.depth = out(c, 0)[2];
    b.seenOutside = view(b.n)[2] < 0;
    b.label = out(c, 0);
    b.rounds = b.holes.map((o) => Array.from({ length: 36 }, (_, k) => out(o.c.map((v, i) => v + o.r * (Math.cos((k * Math.PI) / 18) * o.place.x[i] + Math.sin((k * Math.PI) / 18) * o.place.y[i])), b.seenOutside ? 0 : t)));
  }
  boards.sort((a, b) => b.depth - a.depth);
  const all = boards.flatMap((b) => b.faces.flatMap((f) => f.pts));
  const lo = [0, 1].map((i) => Math.min(...all.map((p) => p[i]))), hi = [0, 1].map((i) => Math.max(...all.map((p) => p[i])));
  const k = Math.min((W - 40) / (hi[0] - lo[0]), 460 / (hi[1] - lo[1])), H = (hi[1] - lo[1]) * k + 40;
  const at = (p) => [(20 + (p[0] - lo[0]) * k).toFixed(1), (20 + (hi[1] - p[1]) * k).toFixed(1)];
  return [h('svg.exploded', { viewBox: `0 0 ${W} ${H}`, width: W, height: H, role: 'img', 'aria-label': 'The box taken apart: ' + d.panels.map((p) => p.name).join(', ') },
    boards.map((b, i) => h('g', { key: i }, h('polygon.board2', { points: loop(b.faces[b.seenOutside ? 1 : 0].pts.map(at)) }), b.sides.map((s, j) => h('polygon.edge2', { key: j, points: loop(s.map(at)) })),
      h('polygon.board2', { points: loop(b.faces[b.seenOutside ? 0 : 1].pts.map(at)) }), b.rounds.map((r, j) => h('polygon.cut', { key: j, points: loop(r.map(at)) })))),
    boards.map((b, i) => h('text.halo.tag', { key: 't' + i, x: at(b.label)[0], y: at(b.label)[1], 'text-anchor': 'middle' }, b.p.id))),
  h('table.facts.parts', null, h('tbody', null, d.panels.map((p) => h('tr', { key: p.id }, h('th', { scope: 'row' }, p.id), h('td', null, p.name + (p.count > 1 ? ' × ' + p.count : '')), h('td', null, sizeText([p.blank_mm[0], p.blank_mm[1]], S.view)), h('td', null, length(p.thickness_mm, S.view) + ' ' + p.board)))))];
}
