// All pins on the picture: their elements, where their heads stand, and which one lies under a finger.

import { nearest } from './geometry.js';
import { anchor, placeHeads } from './leaders.js';
import { PinView, hasTwoEnds } from './pinview.js';

const ON_POINT = new Set(['dimension', 'wall', 'note']);

export class PinLayer {
  /** @param pins the model; label(pin) says a pin in words; caution(id) tells whether it has one. */
  constructor(stage, pins, label, caution) {
    Object.assign(this, { stage, pins, label, caution, views: new Map(), heads: new Map(), selected: null, held: null });
    [this.lines, this.marks] = [stage.lines, stage.marks];
    this.lines.replaceChildren();
    this.marks.replaceChildren();
  }

  /** draw brings the picture in step with the pins, but the one that is held stays under the finger; settled false keeps every head where it stands, for the time of a drag. */
  draw(settled = true) {
    const list = this.pins.list(), { frame } = this.stage;
    if (settled || list.some((p) => !this.heads.has(p.id))) {
      const heads = placeHeads(frame.w, frame.h, list.map((p) => ({ ...p, on: ON_POINT.has(p.kind) })));
      this.heads = new Map(list.map((p, i) => [p.id, heads[i]]));
    }
    const wanted = new Set(list.map((p) => p.id));
    for (const [id, view] of this.views) {
      if (!wanted.has(id)) {
        view.remove();
        this.views.delete(id);
      }
    }
    for (const row of this.stage.plane.querySelectorAll('[data-rowof]')) row.classList.toggle('sel', row.dataset.rowof === this.selected);
    for (const pin of list) this.drawOne(pin.id === this.held?.id ? this.held : pin);
  }

  drawOne(pin) {
    let view = this.views.get(pin.id);
    if (view && Boolean(view.ends) !== hasTwoEnds(pin)) {
      view.remove();
      view = null;
    }
    if (!view) {
      view = new PinView(pin, this.stage.photo);
      this.views.set(pin.id, view);
      this.marks.append(...view.elements());
      if (view.line) this.lines.append(view.line);
    }
    view.show(pin, {
      label: this.label(pin), head: this.heads.get(pin.id), selected: pin.id === this.selected,
      waiting: this.pins.entry(pin.id).state === 'waiting' || !pin.number, caution: this.caution(pin.id),
    });
  }

  select(id) {
    this.selected = id;
    this.draw(false);
  }

  /** pick finds what lies at a place in the stage: {id, end} with end 0 for the head, 1 and 2 for the ends; null when nothing does. */
  pick(at, touch) {
    const handles = [];
    for (const pin of this.pins.list()) {
      const middle = this.stage.place(anchor(1, 1, pin)), head = this.heads.get(pin.id), mine = pin.id === this.selected;
      handles.push({ id: pin.id, end: 0, x: middle.x + head.dx, y: middle.y + head.dy, reach: 22 });
      if (hasTwoEnds(pin)) {
        const a = this.stage.place({ x: pin.x, y: pin.y }), b = this.stage.place({ x: pin.x2, y: pin.y2 });
        handles.push({ id: pin.id, end: 1, ...a, reach: touch || mine ? 22 : 12 }, { id: pin.id, end: 2, ...b, reach: touch || mine ? 22 : 12 });
      } else {
        handles.push({ id: pin.id, end: 0, ...middle, reach: mine && touch ? 22 : 10 });
      }
    }
    const i = nearest(handles, at.x, at.y);
    return i < 0 ? null : { id: handles[i].id, end: handles[i].end };
  }

  /** focus moves the keyboard to a pin, or to one of its ends. */
  focus(id, end = 0) {
    const view = this.views.get(id);
    (end ? view?.ends?.[end - 1].firstElementChild : view?.link)?.focus({ preventScroll: true });
  }

  hide(hidden) {
    this.hidden = hidden;
    for (const layer of [...this.stage.plane.querySelectorAll('.ells, .rows'), this.lines, this.marks]) layer.setAttribute('visibility', hidden ? 'hidden' : 'visible');
  }
}
