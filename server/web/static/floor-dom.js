// Small helpers to build what is shown. Elements are made, never written as
// text of HTML, so nothing typed can become markup.

/** h makes an element: h('button', {class: 'key', onclick}, 'Undo'). */
export function h(tag, attributes = {}, ...children) {
  const el = document.createElement(tag);
  return fill(el, attributes, children);
}

function fill(el, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith('on')) el.addEventListener(name.slice(2), value);
    else if (name === 'width%') el.style.width = `${value}%`; // set by script: the content policy allows it
    else if (name === 'left%') el.style.left = `${value}%`;
    else el.setAttribute(name, value === true ? '' : value);
  }
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false || child === '') continue;
    el.append(child);
  }
  return el;
}

const SVG = 'http://www.w3.org/2000/svg';

/** fromTree draws a tree of SVG parts: [tag, attributes, ...children]. */
export function fromTree([tag, attributes, ...children]) {
  const el = document.createElementNS(SVG, tag);
  return fill(el, attributes, children.map((c) => (Array.isArray(c) ? fromTree(c) : c)));
}

const shapes = {
  tick: ['M2 9.5 7 14.5 16 4', 3],
  cross: ['M3 3 15 15M15 3 3 15', 3],
  bar: ['M2 9h14', 3],
  triangle: ['M9 2.5 16.5 15.5H1.5ZM9 7v4.2M9 12.6v1.6', 2],
  bars: ['M6 3v12M12 3v12', 3],
  lines: ['M2 5h14M2 9h14M2 13h14', 2],
};

/** icon is one of the shapes that stand beside a word. */
export function icon(name, size = 18) {
  const frame = (child) => fromTree(['svg', { width: size, height: size, viewBox: '0 0 18 18', 'aria-hidden': 'true' }, child]);
  if (name === 'square') return frame(['rect', { x: 3.5, y: 3.5, width: 11, height: 11, fill: 'none', stroke: 'currentColor', 'stroke-width': 3 }]);
  if (name === 'open') return frame(['rect', { x: 3, y: 3, width: 12, height: 12, fill: 'none', stroke: 'currentColor', 'stroke-width': 1.8, 'stroke-dasharray': '3 2.4' }]);
  const [d, width] = shapes[name];
  return frame(['path', { d, fill: 'none', stroke: 'currentColor', 'stroke-width': width, ...(name === 'lines' ? { 'stroke-dasharray': '3 2' } : {}) }]);
}

/** mark is a shape with its word: a tick and "Passes". */
export const mark = ({ tone = '', shape, word = '', size = 18 }) => h('span', { class: `v ${tone}` }, shape && icon(shape, size), word);

const painted = new WeakMap(); // what a region shows, as text

/** paint fills a region anew. */
export function paint(el, ...children) {
  painted.delete(el);
  el.replaceChildren(...children.flat(Infinity).filter((c) => c !== null && c !== undefined && c !== false && c !== ''));
}

/**
 * paintNew fills a region where what it is made from has changed: a key that is typed
 * changes a figure and not the picture, and what has the focus keeps it.
 */
export function paintNew(el, from, make) {
  const text = JSON.stringify(from) ?? '';
  if (painted.get(el) === text) return;
  paint(el, make());
  painted.set(el, text);
}
