// Ready answers of a pin's form: sizes that many such things have, and those of the last pin of its kind. One press fills the fields, as typing would;
// nothing is filled in by itself.

import { html } from './dom.js';

// ALIKE are the fields that pins of one kind often have in common, by kind: sizes, never places.
const ALIKE = { hanger: ['drop', 'wx', 'wy'], bracket: ['drop', 'wx', 'wy'], post: ['wx', 'wy', 'through'] };

/** fill writes texts, by field key, into a form. */
function fill(form, values) {
  for (const [key, text] of Object.entries(values)) {
    const found = form.elements[`v.${key}`], controls = found instanceof RadioNodeList ? [...found] : [found];
    for (const el of controls) {
      if (el.type === 'radio') el.checked = el.value === text;
      else el.value = text;
    }
    controls[0].dispatchEvent(new Event('input', { bubbles: true }));
  }
}

/** alike is what a pin has that others of its kind may have, too: texts by field key; null when it lacks some of it. */
function alike(pin) {
  const keys = ALIKE[pin?.kind] ?? [];
  return keys.length > 0 && keys.every((key) => pin.values?.[key]) ? Object.fromEntries(keys.map((key) => [key, pin.values[key]])) : null;
}

/** answers makes the buttons of a form work, and offers what the last pin of its kind has: of this photo, else of the survey. words are the page's. */
export function answers(form, pin, pins, words) {
  for (const b of form.querySelectorAll('[data-fill]')) b.addEventListener('click', () => fill(form, JSON.parse(b.dataset.fill)));
  if (Object.keys(pin.values ?? {}).length > 0) return;
  const last = pins.findLast((p) => p.kind === pin.kind && p.id !== pin.id && alike(p)) ?? JSON.parse(form.dataset.last ?? 'null'), values = alike(last);
  if (!values) return;
  const b = html('button', { type: 'button', class: 'btn wide', 'data-same': '' }, `Same as ${words.name(last)}: ${Object.keys(values).map((key) => words.value(last, key)).join(' · ')}`);
  b.addEventListener('click', () => fill(form, values));
  form.querySelector('.pinhead').after(b);
}
