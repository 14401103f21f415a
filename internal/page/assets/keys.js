// What can be said of a job and has no place in a drawing: each step's, in folds of their own, and what else its file says.

import { h } from './dom.js';
import { S, edit, drop } from './store.js';
import { at, listAt } from './tree.js';
import { gauge, choice, press, fields } from './field.js';

// A row is [key, label, how, more]: how is text (as it stands when left out), wide (a long one), length, list, pair (one value, or the least and the
// most), yes (yes or no) or the words to choose from; more is the unit that stands behind it.
export const sides = ['front', 'back', 'top', 'bottom', 'left', 'right'];
const len = 'length';
const place = [['from_left', 'from the left', len], ['from_front', 'from the front', len], ['from_floor', 'from the floor', len]];
const cone = [['diameter', 'diameter, mid surround', len], ['mms', 'moving mass', 'text', 'g'], ['cms', 'compliance', 'text', 'mm/N'], ['rms', 'mechanical loss', 'text', 'kg/s'],
  ['xmax_pp', 'travel peak to peak', len], ['xmech', 'travel until it strikes', len], ['mass', 'weight', 'text', 'kg']];
const under = (prefix, rows) => rows.map(([k, ...rest]) => [prefix + k, ...rest]);

// Folds by step: title, what it is for, rows.
const folds = {
  1: [['Space and air, further', 'Which size of the box gives way when there is room to spare; the air in it, if it is far from 20 °C at sea level.',
    [['cavity.shrink', 'What gives way', ['width', 'depth', 'height']], ['cavity.open', 'sides open to air', 'list'], ['vehicle.leak', 'cabin leaks below', 'text', 'Hz'],
      ['air.temperature', 'temperature', 'text', 'C'], ['air.pressure', 'air pressure', 'text', 'kPa'], ['air.humidity', 'humidity', 'text', '%']]]],
  2: [['The mounting, further', 'The middle of the driver as measured in the space; how it is held.',
    [...under('mount.at.', place), ['mount.surround', 'surround stands out', len], ['mount.chamfer', 'cut-out chamfered', len], ['mount.fastening', 'Bolts go into', ['t-nut', 'insert', 'screw']],
      ['mount.removable', 'Is its side screwed on, to be taken off?', 'yes'], ['mount.outside', 'Does the magnet stand outside?', 'yes']]]],
  3: [['The amplifier, further', 'Its own resistance, and a boost that it makes.',
    [['amplifier.source_resistance', 'output resistance', 'text', 'Ω'], ['amplifier.boost.frequency', 'boost at', 'text', 'Hz'], ['amplifier.boost.gain', 'boost by', 'text', 'dB'], ['amplifier.boost.q', 'boost, Q']]]],
  4: [['The board, further', 'Layers, what is glued over it, and boards that measure otherwise.',
    [['wood.ends', 'The end boards', [['over', 'over the walls'], ['inside', 'between them'], ['rabbet', 'rabbeted for them']]], ['wood.front_layers', 'layers of the driver’s side'], ['wood.layers', 'The second layer lies', ['inside', 'outside']], ['wood.density', 'density', 'text', 'kg/m3'],
      ['wood.flush', 'cut over, trimmed flush', len], ['wood.covering.kind', 'covering'], ['wood.covering.thickness', 'covering, thick', len], ['wood.covering.faces', 'covered sides, if not all', 'list'],
      ...['front', 'back', 'top', 'bottom', 'nose', 'left end', 'right end'].map((k) => ['wood.panels.' + k, k + ' is thick', len])]],
  ['The saw, further', 'How deep it cuts, and what can be handled.',
    [['saw.depth', 'cuts deep', len], ['saw.depth_at_45', 'cuts deep at 45°', len], ['saw.handle.length', 'largest piece, length', len], ['saw.handle.width', 'largest piece, width', len], ['saw.handle.mass', 'heaviest piece', 'text', 'kg']]],
  ['Terminal plate', 'Its opening, round or with two sides; what is left out is a common plate’s.',
    [['terminal.face', 'It sits on the side', ['front', 'back', 'top', 'left', 'right']], ...['width', 'height', 'radius', 'diameter', 'depth'].map((k) => ['terminal.' + k, { radius: 'corner radius', depth: 'depth behind' }[k] || k, len]),
      ['terminal.screws', 'screws'], ['terminal.circle', 'screw circle', len], ['terminal.hole', 'screw hole', len]]],
  ['Prices', 'Each for all that the bill of materials asks for.', ['driver', 'radiator', 'port', 'terminal', 'covering', 'glue', 'screws', 'fasteners', 'gasket', 'cable', 'sealant'].map((k) => ['prices.' + k, k])]],
  5: [['Limits, further', 'One value, or the least and the most with a comma between.',
    [['limits.qtc', 'sealed, total Q', 'pair'], ['limits.tuning', 'port tuned to', 'pair', 'Hz'], ['limits.dip', 'dip at most', 'text', 'dB']]],
  ['Flange of the tubes', 'The rim that tubes on hand have.', [['port.flange.rim', 'stands out by', len], ['port.flange.rebate', 'let in by', len], ['port.flange.screws', 'screws'], ['port.flange.hole', 'screw hole', len]]]],
  6: [['On the sheets', 'What the printed sheets say of the job, and how they draw a panel’s views.',
    [['title', 'title', 'wide'], ['date', 'date', 'wide'], ['author', 'author', 'wide'], ['contact', 'contact', 'wide'], ['revision', 'revision'], ['drawing.projection', 'Views are arranged in', [['third', 'third angle'], ['first', 'first angle']]]]]],
};

// driverRows are the figures of a driver that few data sheets have.
export const driverRows = [['qts', 'total Q, Qts'], ['bl', 'force factor Bl', 'text', 'T m'], ...cone, ['l2', 'second inductance', 'text', 'mH'], ['r2', 'loss beside it', 'text', 'Ω'], ['vd', 'volume moved', 'text', 'l'],
  ['sensitivity', 'sensitivity, claimed', 'text', 'dB']];
export const radiatorRows = cone;

// boxRows are what little is said of a ready-made box.
export const boxRows = [['circle', 'bolt circle', len], ['weight', 'weight', 'text', 'kg'], ['leak_q', 'losses, as a Q'], ['filling.fraction', 'filled, share', 'text', '%'], ['filling.density', 'filling, density', 'text', 'kg/m3'],
  ['filling.gain', 'filling, gain of air'], ['filling.q', 'filling, as a Q']];
export const portRows = [['port.count', 'how many ports'], ['port.slot.height', 'slot, height', len], ['port.slot.width', 'slot, width', len], ['port.edge', 'rim rounded by', len], ['port.flare', 'tube, flare radius', len], ['port.ends', 'ends: outside, inside', 'list'], ['port.friction', 'Count friction in the port?', 'yes']];

// fold shows rows at a path, which is empty or ends in a point.
export function fold(title, about, rows, path = '') {
  const count = rows.filter(([k]) => at(S.job.tree, path + k)).length;
  return h('details', { key: path + title }, h('summary', null, title + (count ? ': ' + count : '')), about ? h('p.soft', null, about) : null,
    h('div.fields', null, rows.map(([k, label, how = 'text', hint]) => {
      const what = { path: path + k, label };
      if (how === 'yes') return choice({ ...what, options: [['true', 'yes'], ['false', 'no']] });
      if (Array.isArray(how)) return choice({ ...what, options: how.map((v) => (Array.isArray(v) ? v : [v, v])) });
      return gauge({ ...what, kind: how === 'wide' ? 'text' : how, hint, cls: how === 'wide' ? 'wide' : '' });
    })));
}

// rows is a list of things alike, each with its fields (as those of a fold): one can be taken out, and one as fresh gives it added.
export function rows(path, one, each, fresh) {
  const all = listAt(S.job.tree, path);
  return [all.map((_, i) => h('div.fields', { key: path + i }, each.map(([k, label, how = 'text', hint], j) => gauge({ path: `${path}[${i + 1}].${k}`, label: j ? label : `${one} ${i + 1}, ${label}`, kind: how, hint })),
    press('Take it out', () => edit([drop(`${path}[${i + 1}]`)])))),
  fresh ? h('div.row', null, press(`Add a ${one}`, () => edit([{ op: 'set', path: `${path}[${all.length + 1}]`, value: fresh() }]))) : null];
}

// lists are the things alike of a step, behind a fold: title, what it is for, then as rows wants them.
const lists = {
  3: [['Power into each load', 'As the data sheet lists it, in the place of the one power above.', 'amplifier.ratings', 'load', [['power', 'power', 'text', 'W'], ['into', 'into', 'text', 'Ω']], () => ({ power: '?', into: '?' })]],
  4: [['Single corners', 'Joints that are not as the others: the two walls that meet, such as bottom, back.', 'corners', 'corner', [['between', 'between', 'list'], ['joint', 'joint']], () => ({ between: ['bottom', 'back'], joint: 'mitre' })],
    ['Fixed to the vehicle', 'Points drilled before gluing, measured from the outside of the box. Kind is insert or bracket.', 'fixings', 'fixing', [['face', 'on the side'], ['from_left', 'from the left', len], ['from_right', 'from the right', len], ['from_front', 'from the front', len], ['from_bottom', 'from the bottom', len], ['kind', 'kind'], ['hole', 'hole', len]],
      () => ({ face: 'bottom', from_left: '?', from_front: '?' })]],
};

// further is what stands at the end of a step: its folds, and the values of its keys that have no field at all.
export function further(step, keys) {
  const had = (lists[step] || []).map(([title, about, path, ...rest]) => h('details', { key: path }, h('summary', null, title + (at(S.job.tree, path) ? ': ' + listAt(S.job.tree, path).length : '')), h('p.soft', null, about), rows(path, ...rest)));
  const shown = [...(folds[step] || []).map((f) => fold(...f)), had];
  const drawn = /^(units$|cavity\.(stations|profile|depths|blocks|walls|stick|width|depth|height)\b|box\b)/;
  const rest = keys.flatMap((k) => leaves(at(S.job.tree, k), k)).filter((p) => !drawn.test(p) && !fields.has(p) && !fields.has(p.replace(/\[\d+\]$/, '')));
  return [shown, rest.length ? h('details', { key: 'file' }, h('summary', null, 'Also said in the file: ' + rest.length), h('div.fields', null, rest.map((p) => gauge({ path: p, label: p.replace(/[._]/g, ' '), kind: 'text' })))) : null];
}

// leaves are the paths of all texts in a node.
function leaves(node, path) {
  if (!node) return [];
  if (node.t !== undefined) return [path];
  return [...(node.k || []).flatMap((k, i) => leaves(node.n[i], path + '.' + k)), ...(node.l || []).flatMap((n, i) => leaves(n, `${path}[${i + 1}]`))];
}
