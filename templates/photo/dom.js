// Small helpers for building elements without markup strings.

const SVG = 'http://www.w3.org/2000/svg';

/** svg makes an SVG element with attributes and children. */
export function svg(tag, attributes = {}, ...children) {
  return fill(document.createElementNS(SVG, tag), attributes, children);
}

/** html makes an HTML element with attributes and children; a child may be a text. */
export function html(tag, attributes = {}, ...children) {
  return fill(document.createElement(tag), attributes, children);
}

function fill(el, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) if (value !== undefined && value !== false) el.setAttribute(name, value);
  el.append(...children);
  return el;
}

/** set changes an attribute only when it differs, so that nothing is laid out again for nothing. */
export function set(el, name, value) {
  const text = String(value);
  if (el.getAttribute(name) !== text) el.setAttribute(name, text);
}

/** mark is a pin's mark for lists and heads. */
export function mark(kind, number) {
  const symbol = document.getElementById(`k-${kind}`);
  return svg('svg', { class: 'pinmark', viewBox: '-18 -18 36 36', 'aria-hidden': 'true' },
    svg('use', { href: `#k-${kind}` }), svg('text', { y: symbol?.dataset.textY ?? 4.5, class: number > 99 ? 'n3' : false }, number ? String(number) : ''));
}

/** onScreen tells whether all of an element's height is on the screen. */
export function onScreen(el) {
  const { top, bottom, height } = el.getBoundingClientRect();
  return height > 0 && top >= 0 && bottom <= innerHeight;
}

/** steady makes a change of the page and scrolls so that a thing stays where it was. What is a function that gives the thing, before and after, for the change may replace it; it may give nothing. */
export function steady(what, change) {
  const before = what()?.getBoundingClientRect().top;
  change();
  const after = what()?.getBoundingClientRect().top;
  if (before !== undefined && after !== undefined && after !== before) scrollBy({ top: after - before, behavior: 'instant' });
}
