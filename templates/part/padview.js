// How the length pad looks: its elements, made once. What they do is in lengthpad.js.

import { html, svg } from '../photo/dom.js';

const icon = (d) => svg('svg', { class: 'icon', viewBox: '0 0 24 24', 'aria-hidden': 'true' }, svg('path', { d }));
const ROWS = [['1', '2', '3', 'ft', '/2'], ['4', '5', '6', 'in', '/4'], ['7', '8', '9', 'back', '/8'], ['0', '-', 'next', '/16']];
const NAMES = { ft: 'feet', in: 'inches', '/2': 'halves', '/4': 'quarters', '/8': 'eighths', '/16': 'sixteenths', back: 'Delete last', '-': 'minus' };

function key(name) {
  const kind = name === 'next' ? 'go' : name[0] === '/' ? 'u f' : ['ft', 'in', 'back'].includes(name) ? 'u' : 'd';
  const face = name === 'back' ? icon('M8 5h13v14H8l-6-7zM11 9l6 6M17 9l-6 6') : name === 'next' ? 'Next' : name === '-' ? '−' : name;
  return html('button', { type: 'button', class: `key ${kind}`, 'data-key': name, 'aria-label': NAMES[name] }, face);
}

/** padView makes the pad's elements: {el, name, typed, same, read, ask, choices}, with keys found by data-key and commands by data-do. */
export function padView() {
  const name = html('span', { class: 'lab' }), typed = html('output', { class: 'typed', 'aria-hidden': 'true' });
  const same = html('button', { type: 'button', class: 'btn', 'data-do': 'takeSame', hidden: '' }), read = html('p', { class: 'read', role: 'status' });
  const ask = html('div', { class: 'ask', role: 'status' }), choices = html('div', { class: 'row choices' });
  const command = (what, label, d) => html('button', { type: 'button', class: 'sq', 'data-do': what, 'aria-label': label }, icon(d));
  const head = html('div', { class: 'padhead' }, name, command('mirror', 'Keys for the other thumb', 'M7 7L3 11l4 4M3 11h18M17 9l4 4-4 4'),
    command('keyboard', 'Type on the phone’s keyboard', 'M3 6h18v12H3zM7 10h0M11 10h0M15 10h0M18 10h0M7 14h10'), command('close', 'Close the keys', 'M6 6l12 12M18 6L6 18'));
  const keys = html('div', { class: 'keys' }, ...ROWS.map((row) => html('div', { class: 'keyrow' }, ...row.map(key))));
  const el = html('div', { class: 'padbox lengthpad', role: 'group', 'aria-label': 'Length keys', hidden: '' }, ask, head, html('div', { class: 'padfield' }, typed, same, read), choices, keys);
  return { el, name, typed, same, read, ask, choices };
}

/** caution is a Check with its sentences and its answers, buttons of [label, act]. */
export function caution(head, lines, answers) {
  const sign = svg('svg', { class: 'w', viewBox: '0 0 28 28', 'aria-hidden': 'true' }, svg('use', { href: '#w-warn' }));
  const said = html('p', {}, html('span', { class: 'word' }, 'Check.'), ' ', html('b', {}, head));
  return html('div', { class: 'caut warn' }, sign, said, ...lines.map((line) => html('p', {}, line)), html('div', { class: 'row' }, ...answers.map(([label, act]) => answer(label, act))));
}

/** answer is one button of a question. */
export function answer(label, act) {
  const button = html('button', { type: 'button', class: 'btn' }, label);
  button.addEventListener('click', act);
  return button;
}
