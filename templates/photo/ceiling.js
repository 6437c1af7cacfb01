// The computed ceiling below the pins: drawn by the server, switched and fetched anew here. Zooming only moves and scales it; the texts that have
// room are chosen again when the zoom has settled.

import { planPlace } from './aim.js';
import { typeset } from '../part/typeset.js';
import { fitting, placeChips } from './chips.js';
import { set } from './dom.js';
import { anchor } from './leaders.js';
import { hasTwoEnds } from './pinview.js';

const SETTLED = 120; // ms without a change of the view

// kept remembers for this session which layers are shown; where a browser keeps nothing, they are as at first.
const kept = {
  get(layer, first) {
    try { return (sessionStorage.getItem(`layer.${layer}`) ?? first) === 'on'; } catch { return first === 'on'; }
  },
  set(layer, on) {
    try { sessionStorage.setItem(`layer.${layer}`, on ? 'on' : 'off'); } catch { /* nothing is kept */ }
  },
};

export class Ceiling {
  constructor(editor) {
    const { stage } = editor;
    Object.assign(this, { editor, stage, on: { ceiling: kept.get('ceiling', 'on'), grid: kept.get('grid', 'off'), pins: kept.get('pins', 'on') } });
    [this.shapes, this.texts] = stage.plane.querySelectorAll('.ceil');
    [this.ellipses, this.rows] = ['.ells', '.rows'].map((part) => stage.plane.querySelector(part));
    this.why = editor.find('why');
    this.key = editor.find('key');
    this.learn();
    this.show();
    stage.el.addEventListener('view', () => this.later());
  }

  // learn takes what the server says of the photo's geometry.
  learn() {
    const { aim, references, why } = this.editor.find('geometry').dataset;
    this.aim = aim ? JSON.parse(aim) : null;
    this.references = Number(references);
    this.reason = why;
    this.why.querySelector('span').textContent = why;
  }

  /** can tells whether a layer has something to show. */
  can(layer) { return layer === 'pins' || !this.reason; }

  /** toggle switches a layer, or shows why it cannot be drawn. */
  toggle(layer) {
    if (!this.can(layer)) {
      this.why.scrollIntoView({ block: 'nearest' });
      return;
    }
    this.on[layer] = !this.on[layer];
    kept.set(layer, this.on[layer]);
    this.show();
  }

  /** pressed tells whether a layer is shown. */
  pressed(layer) { return this.on[layer] && this.can(layer); }

  show() {
    this.stage.plane.classList.toggle('noceiling', !this.on.ceiling);
    this.stage.plane.classList.toggle('gridded', this.on.grid);
    this.why.hidden = !this.reason;
    this.key.hidden = Boolean(this.reason) || !(this.on.ceiling || this.on.grid);
    this.key.classList.toggle('gridded', this.on.grid);
    this.key.classList.toggle('noceiling', !this.on.ceiling);
    this.later();
  }

  /** freshen takes the drawing and the geometry that the server wrote anew. */
  freshen(fresh) {
    const geometry = fresh.querySelector('[data-part="geometry"]'), [shapes, texts] = fresh.querySelectorAll('[data-part="overlay"] .ceil');
    const [ellipses, rows, key] = ['.ells', '.rows', '.legend'].map((part) => fresh.querySelector(`[data-part="overlay"] ${part}`));
    if (![geometry, shapes, texts, ellipses, rows, key].every(Boolean)) return;
    Object.assign(this.editor.find('geometry').dataset, geometry.dataset);
    for (const [mine, theirs] of [[this.shapes, shapes], [this.texts, texts], [this.ellipses, ellipses], [this.rows, rows], [this.key, key]]) mine.replaceChildren(...theirs.childNodes);
    this.learn();
    this.show();
  }

  /** moved takes away the ellipse and the row of a pin that is no longer where they were drawn for. */
  moved(id) { for (const what of ['ellipse', 'rowof']) this.stage.plane.querySelector(`[data-${what}="${CSS.escape(id)}"]`)?.remove(); }

  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.choose(), SETTLED);
  }

  // choose shows the numbers and chips that have room at this zoom; pins go before chips.
  choose() {
    const { frame, view } = this.stage, w = frame.w * view.zoom, h = frame.h * view.zoom;
    const at = (el) => ({ x: parseFloat(el.getAttribute('x')) / 100 * w, y: parseFloat(el.getAttribute('y')) / 100 * h });
    const labels = [...this.texts.querySelectorAll('.rowt, .seamt')], chips = [...this.texts.querySelectorAll('[data-chip]')];
    const numbers = labels.map((el) => {
      const p = at(el.parentNode), wide = el.textContent.length * 6.8, x = p.x + Number(el.getAttribute('x'));
      return { x: el.getAttribute('text-anchor') === 'end' ? x - wide : x - wide / 2, y: p.y + Number(el.getAttribute('y')) - 11, w: wide, h: 15 };
    });
    const shownNumbers = fitting(numbers, [], { w, h }), heads = this.on.pins ? this.heads(w, h) : [];
    const places = placeChips(chips.map((el) => ({ ...at(el.parentNode), wide: Number(el.dataset.chip) })), [...numbers.filter((_, i) => shownNumbers[i]), ...heads], { w, h });
    labels.forEach((el, i) => el.classList.toggle('tight', !shownNumbers[i]));
    chips.forEach((el, i) => this.chip(el, places[i]));
  }

  // chip moves a chip to its place.
  chip(el, { dx, dy, free }) {
    el.classList.toggle('tight', !free);
    for (const line of el.querySelectorAll('line')) {
      set(line, 'x2', dx);
      set(line, 'y2', dy);
    }
    set(el.querySelector('rect'), 'x', dx - Number(el.dataset.chip) / 2);
    set(el.querySelector('rect'), 'y', dy - 10);
    set(el.querySelector('text'), 'x', dx);
    set(el.querySelector('text'), 'y', dy + 4.5);
  }

  // heads are the boxes of the pins' heads and exact points on a picture of w by h px.
  heads(w, h) {
    const { pins, layer } = this.editor;
    return pins.list().flatMap((pin) => {
      const p = anchor(w, h, pin), head = layer.heads.get(pin.id) ?? { dx: 0, dy: 0 };
      const points = [[pin.x, pin.y], ...(hasTwoEnds(pin) ? [[pin.x2, pin.y2]] : [])];
      return [{ x: p.x + head.dx - 18, y: p.y + head.dy - 18, w: 36, h: 36 }, ...points.map(([x, y]) => ({ x: x * w - 7, y: y * h - 7, w: 14, h: 14 }))];
    });
  }

  /** place says in words where a fraction of the picture lies on the plan, one line for each coordinate; null where it cannot be told. */
  place(f, pin) {
    const drop = pin ? Number(this.editor.list.row(pin.id)?.dataset.drop ?? 0) : 0, at = this.aim && planPlace(this.aim, f, drop);
    if (!at) return null;
    const pm = `±\u00a0${typeset(at.pm, true)}`;
    return [['x', typeset(at.x), pm], ['y', typeset(at.y), pm]];
  }

  /** progress says how many references hold the photo, for the placing of more. */
  progress() {
    return this.references < 4 ? `${this.references} of 4 references have their place.` : `${this.references} references hold this photo; one more checks them.`;
  }
}
