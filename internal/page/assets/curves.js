// The curves, with a cursor and its readout.

import uPlot from './vendor/uPlot.esm.js';
import { h } from './dom.js';
import { S, changed } from './store.js';
import { press } from './field.js';

const shown = [
  ['max_level_db', 'Loudest', 'largest level, dB, all limits kept', 'dB'], ['cabin_level_db', 'In the cabin', 'level in the vehicle at the drive, dB', 'dB'], ['level_db', 'Level', 'level at 1 m, half space, dB', 'dB'],
  ['excursion_mm', 'Travel', 'peak travel of the cone at the drive, mm', 'mm'], ['port_speed_m_s', 'Port', 'peak air speed in the port at the drive, m/s', 'm/s'],
  ['impedance_ohm', 'Impedance', 'ohm', 'Ω'], ['group_delay_ms', 'Delay', 'group delay, ms', 'ms'],
];
let which = 'max_level_db';
const letters = [...'ABCDEFGH'];
const dashes = [undefined, undefined, [10, 6], [2, 5], [14, 4, 2, 4]];

let C = { list: [], pick: 0, names: letters, range: [15, 200] }; // what is drawn: curves, the one looked at, their names, Hz

const any = (key) => C.list.some((c) => (c.columns[key] || []).some((v) => v !== null));

let shownOf = [], shownList = [];

// designs are the curves of the designs on offer, and of the one that they are compared with.
function designs() {
  const held = S.held && S.held.text !== S.text ? S.held : null;
  if (shownOf[0] !== S.curves || shownOf[1] !== held) [shownOf, shownList] = [[S.curves, held], held ? [...S.curves, held.curves] : S.curves];
  return shownList;
}

const lettered = (list) => (list.length > S.curves.length ? [...letters.slice(0, S.curves.length), S.held.name] : letters);

// curves draws those of the designs, or of others.
export function curves(list = designs(), pick = S.pick, names = lettered(list), range = [15, 200]) {
  C = { list, pick, names, range };
  const offered = shown.filter(([key]) => any(key));
  if (!offered.length) return null;
  const now = offered.find(([key]) => key === which) || offered[0];
  return [
    h('h3', null, h('b', null, names[0] === 'A' ? 'How loud, how low? ' : 'The curve '), h('span.soft', null, now[2] + (now[0] === 'level_db' && list[pick]?.columns.level_p10_db?.some((v) => v !== null) ? '; shaded: spread of ' + names[pick] : ''))),
    h('div.row', { role: 'group', 'aria-label': 'Which curve' }, offered.map(([key, words]) => h('button.press.slim', { key, type: 'button', 'aria-pressed': String(now[0] === key), class: now[0] === key ? 'on' : '', onclick: () => { which = key; changed(); } }, words))),
    h('div.curves', { key: 'curves', role: 'img', 'aria-label': inWords(now), hook: (el) => mount(el, now) }),
    h('p.readout', { key: 'readout', 'aria-live': 'off', hook: (el) => { readoutEl = el; if (!el.textContent) el.textContent = 'Move over the curves to read them.'; } }),
    h('div.row', null, press('10 % lower', () => step(1 / 1.1)), press('10 % higher', () => step(1.1))),
  ];
}

let readoutEl = null, plot = null, cursor = 35;

function inWords([key, , title, unit]) {
  const c = C.list[C.pick] || C.list[0];
  const at = (f) => value(c, key, f);
  return `Curve of ${title}: ` + [20, 30, 40, 60, 80].map((f) => `${f} Hz ${at(f) === null ? 'none' : at(f).toFixed(1) + ' ' + unit}`).join(', ');
}

function value(c, key, f) {
  const fs = c.columns.frequency_hz, col = c.columns[key];
  if (!col) return null;
  let best = 0;
  fs.forEach((v, i) => { if (Math.abs(Math.log(v / f)) < Math.abs(Math.log(fs[best] / f))) best = i; });
  return col[best];
}

function step(by) {
  cursor = Math.max(10, Math.min(300, cursor * by));
  read(cursor);
}

function read(f, moves = true) {
  if (!readoutEl) return;
  const [key, , , unit] = shown.find(([k]) => k === which) || shown[0];
  readoutEl.textContent = `At ${f.toFixed(0)} Hz: ` + C.list.map((c, i) => {
    const v = value(c, key, f);
    const fs = c.columns.frequency_hz;
    const k = fs.reduce((b, x, j) => (Math.abs(Math.log(x / f)) < Math.abs(Math.log(fs[b] / f)) ? j : b), 0);
    const lo = c.columns.level_p10_db?.[k], hi = c.columns.level_p90_db?.[k];
    const band = key === 'level_db' && lo && hi ? ` (${lo.toFixed(1)} to ${hi.toFixed(1)})` : '';
    return `${C.names[i]} ${v === null || v === undefined ? '–' : v.toFixed(1) + ' ' + unit}${band}` + (key === 'max_level_db' && c.limited_by[k] ? `, set by ${c.limited_by[k]}` : '');
  }).join('; ');
  if (plot && moves) {
    const x = plot.valToPos(f, 'x');
    if (x >= 0) plot.setCursor({ left: x, top: plot.cursor.top > 0 ? plot.cursor.top : 20 }, false);
  }
}

function mount(el, [key, , , unit]) {
  which = key;
  const sig = JSON.stringify([key, C.pick, C.names, el.clientWidth, C.list.length]) + tone('ink');
  if (el.sig === sig && el.curves === C.list) return;
  el.sig = sig;
  el.curves = C.list;
  if (!el.clientWidth) {
    requestAnimationFrame(() => { el.sig = ''; mount(el, shown.find(([k]) => k === which)); });
    return;
  }
  if (plot) plot.destroy();
  const ink = tone('ink'), hair = tone('hair'), pick = tone('pick'), second = tone('second');
  const fs = C.list[0].columns.frequency_hz;
  const data = [fs], series = [{}];
  C.list.forEach((c, i) => {
    data.push(c.columns[key] || fs.map(() => null));
    const on = i === C.pick;
    series.push({ label: C.names[i], stroke: on ? pick : i === 1 || i === 0 ? second : ink, width: on ? 3.5 : 2, dash: on ? undefined : dashes[i], points: { show: false }, spanGaps: false });
  });
  const bands = [];
  const mine = C.list[C.pick]?.columns;
  if (key === 'level_db' && mine?.level_p10_db && mine?.level_p90_db) {
    data.push(mine.level_p90_db, mine.level_p10_db);
    series.push({ stroke: pick, width: 1, points: { show: false } }, { stroke: pick, width: 1, points: { show: false } });
    bands.push({ series: [data.length - 2, data.length - 1], fill: tone('fog') });
  }
  const font = '15px Arial, "Liberation Sans", "Nimbus Sans", sans-serif';
  let top = -Infinity;
  for (const col of data.slice(1)) for (let i = 0; i < fs.length; i++) if (fs[i] >= 18 && fs[i] <= 160 && col[i] !== null) top = Math.max(top, col[i]);
  plot = new uPlot({
    width: el.clientWidth, height: 250, bands, legend: { show: false },
    cursor: { y: false, points: { size: 8 }, drag: { x: false, y: false } },
    scales: { x: { time: false, distr: 3, range: () => C.range }, y: { range: (u, lo, hi) => (unit === 'dB' ? [Math.floor(top / 5) * 5 - 25, Math.ceil((top + 1) / 5) * 5] : [Math.min(0, lo), hi * 1.05]) } },
    axes: [
      { stroke: ink, font, grid: { stroke: hair, width: 1 }, ticks: { show: false }, splits: () => (el.clientWidth < 460 ? [20, 30, 50, 80, 150] : [20, 30, 40, 60, 80, 100, 150]), filter: (u, v) => v, values: (u, v) => v.map((x) => x + (x === 150 ? ' Hz' : '')) },
      { stroke: ink, font, grid: { stroke: hair, width: 1 }, ticks: { show: false }, size: 48 },
    ],
    series,
    hooks: {
      setCursor: [(u) => {
        const f = u.posToVal(u.cursor.left, 'x');
        if (u.cursor.left < 0 || !u.cursor.event || !(f >= 10 && f <= 300)) return;
        cursor = f;
        read(f, false);
      }],
      ready: [() => requestAnimationFrame(() => read(cursor))],
      draw: [(u) => {
        const c = u.ctx;
        c.save();
        c.font = `bold ${15 * devicePixelRatio}px Arial, sans-serif`;
        let last = -1e9;
        // Each letter stands where its line ends in the picture.
        const ends = C.list.map((x, i) => {
          const col = x.columns[key] || [];
          let j = fs.findLastIndex((f) => f <= C.range[1] * 0.98);
          while (j > 0 && (col[j] === null || col[j] === undefined)) j--;
          return [col[j], i, fs[j]];
        });
        ends.filter(([v]) => v !== null && v !== undefined).sort((a, b) => b[0] - a[0]).forEach(([v, i, f]) => {
          const y = Math.max(u.valToPos(v, 'y', true), last + 16 * devicePixelRatio);
          last = y;
          c.fillStyle = i === C.pick ? pick : ink;
          c.strokeStyle = tone('leaf');
          c.lineWidth = 5 * devicePixelRatio;
          for (const put of ['strokeText', 'fillText']) c[put](C.names[i], Math.min(u.valToPos(f, 'x', true), u.bbox.left + u.bbox.width - u.ctx.measureText(C.names[i]).width), y - 10 * devicePixelRatio);
        });
        c.restore();
      }],
    },
  }, data, el);
  read(cursor);
}

const tone = (name) => getComputedStyle(document.documentElement).getPropertyValue('--' + name).trim();
