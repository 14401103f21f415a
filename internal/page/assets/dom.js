// A small tree of what is to be shown, patched into the document so that focus, caret and scroll stay where they are.

const SVG = 'http://www.w3.org/2000/svg';

// h makes a node: h('p.told', {id: 'x'}, 'text', [more]). Children that are null or false are left out.
// Properties: on* listeners, class, style as an object, key, hook(element) for elements that draw themselves.
export function h(tag, props, ...children) {
  if (props === null || props === undefined) props = {};
  const [name, ...classes] = tag.split('.');
  const kids = children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false && c !== true && c !== '')
    .map((c) => (typeof c === 'object' ? c : { text: String(c) }));
  const cls = [...classes, props.class].filter(Boolean).join(' ');
  return { tag: name, props: cls ? { ...props, class: cls } : props, kids, key: props.key };
}

// render shows a node as the only child of an element.
export function render(host, node) {
  const old = host.vtree;
  if (old && alike(old, node)) patch(old.el, old, node);
  else host.replaceChildren(create(node, false));
  host.vtree = node;
}

function create(node, svg) {
  if (node.text !== undefined) return (node.el = document.createTextNode(node.text));
  svg = svg || node.tag === 'svg';
  const el = svg ? document.createElementNS(SVG, node.tag) : document.createElement(node.tag);
  node.el = el;
  el.handlers = {};
  for (const [k, v] of Object.entries(node.props)) set(el, k, v, undefined);
  if (!node.props.hook) for (const kid of node.kids) el.appendChild(create(kid, svg));
  if (node.props.value !== undefined) setValue(el, node.props.value);
  if (node.props.hook) queueMicrotask(() => node.props.hook(el)); // once it stands in the document
  return el;
}

const asProperty = new Set(['checked', 'disabled', 'open', 'selected']);

function set(el, key, value, old) {
  if (key === 'key' || key === 'hook') return;
  if (key === 'value') {
    if (el.tagName === 'OPTION') el.value = value;
    return;
  }
  if (key === 'style') {
    for (const k of Object.keys(old || {})) if (!value || !(k in value)) el.style.removeProperty(k);
    for (const [k, v] of Object.entries(value || {})) el.style.setProperty(k, v);
    return;
  }
  if (key.startsWith('on')) {
    const event = key.slice(2);
    if (!(event in el.handlers)) el.addEventListener(event, (e) => el.handlers[event] && el.handlers[event](e));
    el.handlers[event] = value;
    return;
  }
  if (asProperty.has(key)) {
    el[key] = !!value;
    return;
  }
  if (value === old) return;
  if (value === undefined || value === null || value === false) el.removeAttribute(key);
  else el.setAttribute(key, value === true ? '' : value);
}

// setValue writes a field's text; one that is being typed in is left alone.
function setValue(el, value) {
  if (el.tagName === 'OPTION' || (el === document.activeElement && el.dirty)) return;
  if (el.value !== String(value)) el.value = value;
}

function patch(el, old, node) {
  node.el = el;
  if (node.text !== undefined) {
    if (node.text !== old.text) el.nodeValue = node.text;
    return;
  }
  for (const k of Object.keys(old.props)) if (!(k in node.props)) set(el, k, undefined, old.props[k]);
  for (const [k, v] of Object.entries(node.props)) set(el, k, v, old.props[k]);
  if (node.props.hook) {
    node.props.hook(el);
    return;
  }
  patchKids(el, old.kids, node.kids, el.namespaceURI === SVG);
  if (node.props.value !== undefined && node.props.value !== old.props.value) setValue(el, node.props.value);
  else if (node.props.value !== undefined && el !== document.activeElement) setValue(el, node.props.value);
}

function patchKids(el, olds, kids, svg) {
  const keyed = new Map();
  const plain = [];
  for (const o of olds) {
    if (o.key !== undefined) keyed.set(o.key, o);
    else plain.push(o);
  }
  const used = new Set();
  let at = 0;
  const pairs = kids.map((kid) => {
    let o;
    if (kid.key !== undefined) o = keyed.get(kid.key);
    else {
      let k = at;
      while (k < plain.length && !alike(plain[k], kid)) k++;
      if (k < plain.length) {
        o = plain[k];
        at = k + 1;
      }
    }
    if (!o || !alike(o, kid) || used.has(o)) return [null, kid];
    used.add(o);
    return [o, kid];
  });
  for (const o of olds) if (!used.has(o)) o.el.remove();
  let next = el.firstChild;
  for (const [o, kid] of pairs) {
    if (o) patch(o.el, o, kid);
    else create(kid, svg);
    if (kid.el !== next) el.insertBefore(kid.el, next);
    else next = next.nextSibling;
  }
}

function alike(a, b) {
  return a.text !== undefined ? b.text !== undefined : a.tag === b.tag && a.key === b.key;
}
