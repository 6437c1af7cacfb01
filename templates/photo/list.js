// The list of the pins beside the picture, in step with it. The server writes it; what has not been sent yet is marked here.

import { html, mark, onScreen, set, svg } from './dom.js';

const WORDS = {
  waiting: ['note', 'not sent yet'], sending: ['note', 'sending'], invalid: ['stop', 'not saved: look again'],
  conflict: ['warn', 'changed by someone else'], refused: ['stop', 'not saved'],
};

/** stateWords says a state other than saved in words, with its weight; null when there is nothing to say. */
export const stateWords = (state) => WORDS[state] ?? null;

export class PinList {
  /** @param on {select(id, byKey)}. */
  constructor(place, pins, words, on) {
    Object.assign(this, { place, pins, words, on });
    place.addEventListener('click', (e) => {
      const row = e.target.closest('[data-row]');
      if (row && !e.target.closest('button')) {
        e.preventDefault();
        on.select(row.dataset.row, e.detail === 0); // a key, not a finger
      }
    });
  }

  /** caution tells whether the server marked a pin with a caution. */
  caution(id) { return this.row(id)?.hasAttribute('data-caution') ?? false; }

  /** seen gives the id of the first pin whose row is wholly on the screen. */
  seen() {
    return [...this.place.querySelectorAll('[data-row]:not([hidden])')].find(onScreen)?.dataset.row;
  }

  row(id) { return this.place.querySelector(`[data-row="${CSS.escape(id)}"]`); }

  /** freshen takes the list that the server wrote anew. */
  freshen(fresh) {
    const focused = document.activeElement?.closest?.('[data-row]')?.dataset.row;
    this.place.replaceChildren(...fresh.childNodes);
    if (focused) this.row(focused)?.querySelector('a')?.focus({ preventScroll: true });
  }

  /** show marks the rows with what is known here only: new pins, deleted ones, what has not arrived, and which is chosen. */
  show(selected) {
    const list = this.place.querySelector('ul'), wanted = new Set(this.pins.list().map((p) => p.id));
    for (const row of this.place.querySelectorAll('[data-row]')) row.hidden = !wanted.has(row.dataset.row);
    for (const pin of this.pins.list()) {
      const row = this.row(pin.id) ?? this.add(list, pin);
      if (pin.id === selected) row.setAttribute('aria-current', 'true');
      else row.removeAttribute('aria-current');
      this.state(row, this.pins.entry(pin.id).state);
      const number = row.querySelector('.pinmark text');
      if (pin.number && number.textContent !== String(pin.number)) number.textContent = String(pin.number);
    }
    const count = this.place.querySelector('[data-count]');
    if (count) count.textContent = String(wanted.size);
    const none = this.place.querySelector('[data-none]');
    if (none) none.hidden = wanted.size > 0;
  }

  state(row, state) {
    const words = stateWords(state), el = row.querySelector('[data-unsent]');
    el.hidden = !words;
    if (!words) return;
    set(el, 'class', `state ${words[0]}`);
    el.replaceChildren(svg('svg', { class: 'w', viewBox: '0 0 28 28', 'aria-hidden': 'true' }, svg('use', { href: `#w-${words[0]}` })), words[1]);
  }

  add(list, pin) {
    const row = html('li', { 'data-row': pin.id },
      html('a', { href: `#p${pin.id}` }, mark(pin.kind, pin.number),
        html('span', { class: 'nm' }, html('span', { class: 'l1' }, html('b', {}, this.words.name(pin)), html('span', { 'data-unsent': '', hidden: '' })))));
    list.append(row);
    return row;
  }
}
