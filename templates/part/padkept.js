// What the length pad keeps on this phone: its settings, and the last length of each sort for "Same …", for the survey that is open and no other.

import { readings } from './lengthpadkeys.js';
import { typeset } from './typeset.js';

/** kept are the settings: which thumb, and whether the phone's keyboard is wanted. A browser that keeps nothing has the first ones. */
export const kept = {
  get(name) { try { return localStorage.getItem(`pad.${name}`); } catch { return null; } },
  set(name, value) { try { localStorage.setItem(`pad.${name}`, value); } catch { /* used until the page is left */ } },
};

const STORE = 'pad.same';
const house = () => /^\/surveys\/[^/]+/.exec(location.pathname)?.[0] ?? '';

function load() {
  try {
    const had = JSON.parse(localStorage.getItem(STORE) ?? '{}');
    return had.house === house() && had.sorts ? had : { house: house(), sorts: {} };
  } catch {
    return { house: house(), sorts: {} };
  }
}

// sort is what a field's length names: drops with drops, widths with widths; a taped length by what its form says it measures.
function sort(el) {
  const names = el.querySelector('input').form?.elements['v.names'], what = el.dataset.key.split('.').at(-1);
  return what === 'length' && names?.value ? names.value : what;
}

/** keysOf gives the keys that would type a text of the pad's own spelling; null for any other text. */
export function keysOf(text) {
  const m = /^(-)?(?:(\d+)')? ?(?:(\d+)(?![/\d]))? ?(?:(\d+)(\/(?:2|4|8|16)))?$/.exec(text.trim());
  if (!m || !m[2] && !m[3] && !m[4]) return null;
  return [...(m[1] ? ['-'] : []), ...(m[2] ? [...m[2], 'ft'] : []), ...(m[3] ? [...m[3], 'in'] : []), ...(m[4] ? [...m[4], m[5]] : [])];
}

/** remember keeps what a field says as the last of its sort. */
export function remember(el, input) {
  const keys = keysOf(input.value), found = keys ? readings(keys) : [];
  if (found.length !== 1) return;
  const had = load();
  had.sorts[sort(el)] = { text: input.value.trim(), reads: typeset(found[0].inches) };
  try {
    localStorage.setItem(STORE, JSON.stringify(had));
  } catch { /* the phone keeps nothing: there is no Same then */ }
}

/** lastOf is the last length of a field's sort, {text, reads}; undefined when there is none. */
export function lastOf(el) { return load().sorts[sort(el)]; }
