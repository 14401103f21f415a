// Reading the tree of a job, and sizes as people read them.

const step = /([^.[\]]+)|\[(\d+)\]/g;

// at finds the node at a path such as cavity.blocks[2].width; undefined when nothing stands there.
export function at(node, path) {
  for (const [, key, no] of path.matchAll(step)) {
    if (!node) return undefined;
    if (key !== undefined) node = node.k ? node.n[node.k.indexOf(key)] : undefined;
    else node = node.l ? node.l[no - 1] : undefined;
  }
  return node;
}

export const textAt = (node, path) => at(node, path)?.t;
export const mmAt = (node, path) => at(node, path)?.mm;
export const listAt = (node, path) => at(node, path)?.l || [];

// plain gives a node as JSON values: the value of an edit that writes it again.
export function plain(node) {
  if (node.k) return Object.fromEntries(node.k.map((k, i) => [k, plain(node.n[i])]));
  if (node.list) return (node.l || []).map(plain);
  return node.t;
}

// fraction writes inches as on the tape.
export function fraction(inches, parts = 16) {
  const n = Math.round(Math.abs(inches) * parts);
  const whole = Math.floor(n / parts);
  let above = n % parts, below = parts;
  while (above && above % 2 === 0) (above /= 2), (below /= 2);
  const sign = inches < 0 && n ? '-' : '';
  if (!above) return sign + whole;
  return sign + (whole ? whole + '-' : '') + above + '/' + below;
}

// length writes millimetres in the system shown, without a unit.
export function length(mm, view) {
  return view === 'in' ? fraction(mm / 25.4) : String(Math.round(mm));
}

// sizeText writes sizes with their unit: 526 × 418 × 230 mm.
export function sizeText(all, view) {
  return all.map((v) => length(v, view)).join(' × ') + (view === 'in' ? ' in' : ' mm');
}

// volume writes cubic metres in litres or cubic feet.
export function volume(m3, view) {
  if (!(m3 >= 0)) return '–';
  return view === 'in' ? (m3 / 0.028316846592).toFixed(2) + ' ft³' : (m3 * 1000).toFixed(1) + ' l';
}

// typed writes cubic metres as a job says them.
export const typed = (m3, view) => (view === 'in' ? (m3 / 0.028316846592).toFixed(3) + ' cu ft' : (m3 * 1000).toFixed(1) + ' l');

// shown gives what a field shows of a node: the text as typed, or the same size in the other system.
export function shown(node, view) {
  if (!node || node.t === undefined) return '';
  if (node.sys && node.alt && node.sys !== view) return '≈ ' + node.alt;
  if (node.mm !== undefined && node.sys === view) return node.t.replace(/\s*(mm|in|")$/, '');
  return node.t;
}
