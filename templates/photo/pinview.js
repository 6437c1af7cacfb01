// One pin on the picture. Its elements are made once and moved, never made again while they are in use.

import { set, svg } from './dom.js';
import { anchor } from './leaders.js';
import { countOf } from './row.js';

export const hasTwoEnds = (pin) => pin.x2 !== undefined && pin.x2 !== null;

const strokes = () => svg('g', {}, svg('path', { class: 'dimendc', d: 'M-6 6L6-6' }), svg('path', { class: 'dimend', d: 'M-6 6L6-6' }));

export class PinView {
  constructor(pin, photo) {
    this.id = pin.id;
    this.photo = photo;
    this.leaders = [svg('line', { class: 'leadc' }), svg('line', { class: 'lead' })];
    this.tip = svg('circle', { class: 'tip', r: 3.5 });
    this.uses = [svg('use', { class: 'halo' }), svg('use')];
    this.text = svg('text');
    this.flag = svg('path', { class: 'flag', d: 'M12-20l8 13h-16z' });
    this.many = svg('text', { x: 5, y: 4.5 });
    this.count = svg('g', { transform: 'translate(27 0)' }, svg('rect', { class: 'count', x: -12, y: -10, width: 34, height: 20 }), this.many);
    this.head = svg('g', {}, svg('circle', { class: 'hit', r: 22 }), ...this.uses, this.text, this.flag, this.count);
    this.title = svg('title');
    this.link = svg('a', { class: 'pin', 'data-pin': pin.id }, this.title, ...this.leaders, this.tip, this.head);
    this.el = svg('svg', { overflow: 'visible' }, this.link);
    if (hasTwoEnds(pin)) this.makeEnds();
  }

  makeEnds() {
    this.lines = [svg('line', { class: 'dimcase' }), svg('line', { class: 'dimline' })];
    this.line = svg('g', {}, ...this.lines);
    this.ends = [1, 2].map((end) => {
      const handle = svg('g', { class: 'endhandle', role: 'button', 'data-pin': this.id, 'data-end': end }, svg('circle', { class: 'hit', r: 22 }), strokes());
      return svg('svg', { overflow: 'visible' }, handle);
    });
  }

  /** elements are what stands on the overlay for marks, in order. */
  elements() { return [...(this.ends ?? []), this.el]; }

  remove() { for (const el of [...this.elements(), this.line]) el?.remove(); }

  /** show draws the pin; how is {label, head: {dx, dy}, selected, waiting, caution, w, h}: w by h px is the picture's size at zoom 1. */
  show(pin, how) {
    const middle = anchor(1, 1, pin), { dx, dy } = how.head, d = Math.hypot(dx, dy), text = pin.number ? String(pin.number) : '+';
    set(this.el, 'x', `${middle.x * 100}%`);
    set(this.el, 'y', `${middle.y * 100}%`);
    for (const line of this.leaders) {
      set(line, 'display', d === 0 ? 'none' : 'inline');
      set(line, 'x2', d ? dx * (d - 13) / d : 0);
      set(line, 'y2', d ? dy * (d - 13) / d : 0);
    }
    set(this.tip, 'display', d === 0 || hasTwoEnds(pin) ? 'none' : 'inline');
    set(this.head, 'transform', `translate(${dx} ${dy})`);
    for (const use of this.uses) set(use, 'href', `#k-${pin.kind}`);
    set(this.text, 'y', document.getElementById(`k-${pin.kind}`)?.dataset.textY ?? 4.5);
    set(this.text, 'class', text.length > 2 ? 'n3' : '');
    if (this.text.textContent !== text) this.text.textContent = text;
    set(this.flag, 'display', how.caution ? 'inline' : 'none');
    const n = countOf(pin.values), many = n > 1 ? `×${n}` : '';
    set(this.count, 'display', many ? 'inline' : 'none');
    if (this.many.textContent !== many) this.many.textContent = many;
    set(this.link, 'class', `pin${how.selected ? ' sel' : ''}${how.waiting ? ' wait' : ''}`);
    set(this.link, 'href', `#p${pin.number || pin.id}`);
    set(this.link, 'aria-label', how.label);
    if (how.selected) set(this.link, 'aria-current', 'true');
    else this.link.removeAttribute('aria-current');
    if (this.title.textContent !== how.label) this.title.textContent = how.label;
    if (hasTwoEnds(pin)) this.showEnds(pin, how);
  }

  showEnds(pin, how) {
    const points = [[pin.x, pin.y], [pin.x2, pin.y2]];
    const slant = Math.atan2((pin.y2 - pin.y) * this.photo.height, (pin.x2 - pin.x) * this.photo.width) * 180 / Math.PI;
    this.ends.forEach((end, i) => {
      set(end, 'x', `${points[i][0] * 100}%`);
      set(end, 'y', `${points[i][1] * 100}%`);
      const handle = end.firstElementChild;
      set(handle.lastElementChild, 'transform', `rotate(${slant.toFixed(1)})`);
      set(handle, 'aria-label', `${how.label}: ${i ? 'second' : 'first'} end`);
      set(handle, 'tabindex', how.selected ? 0 : -1);
      handle.classList.toggle('sel', how.selected);
    });
    for (const line of this.lines) {
      set(line, 'x1', pin.x * this.photo.width);
      set(line, 'y1', pin.y * this.photo.height);
      set(line, 'x2', pin.x2 * this.photo.width);
      set(line, 'y2', pin.y2 * this.photo.height);
    }
  }
}

