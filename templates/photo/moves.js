// Moving pins: by finger and mouse with the magnifier, and by single pixels of the photo.

import { moved } from './geometry.js';
import { hasTwoEnds } from './pinview.js';

export class Moves {
  constructor(editor, lens) {
    Object.assign(this, { editor, lens, held: null, before: null });
  }

  /** actions are what gestures on the stage do; dx and dy are px of the screen since the press. */
  actions() {
    const { editor } = this, { placing } = editor;
    return {
      armed: () => placing.armed(), aim: (at) => placing.aim(at), aimEnd: (at) => placing.aimEnd(at), aimCancel: () => placing.aimCancel(),
      pick: (at, touch) => (editor.layer.hidden ? null : editor.layer.pick(at, touch)),
      dragStart: (h) => {
        editor.choose(h.id, false);
        this.before = editor.pins.get(h.id);
      },
      drag: (h, dx, dy, at) => {
        const { frame, view } = editor.stage;
        this.preview(moved(this.before, h.end, dx / (frame.w * view.zoom), dy / (frame.h * view.zoom)));
        this.lens.show(this.point(this.held, h.end), at, this.held);
      },
      dragEnd: (h) => {
        this.lens.hide();
        const { x, y, x2, y2 } = this.held, now = editor.pins.get(h.id);
        editor.layer.held = null;
        if (now) editor.pins.change(h.id, { ...now, x, y, ...(hasTwoEnds(this.held) ? { x2, y2 } : {}) });
        editor.layer.draw();
      },
      dragCancel: () => {
        this.lens.hide();
        this.preview(this.before);
        editor.layer.held = null;
      },
      tapPin: (h) => {
        editor.choose(h.id, false);
        editor.layer.focus(h.id, h.end);
      },
      tapStage: () => editor.choose(null, false),
    };
  }

  // preview shows a pin where the finger has it; nothing is changed yet.
  preview(pin) {
    const { editor } = this;
    this.held = editor.layer.held = pin;
    editor.ceiling.moved(pin.id);
    editor.layer.drawOne(pin);
    if (editor.form.pin?.id === pin.id) editor.form.moved(pin);
  }

  // point is the exact place that a handle moves.
  point(pin, end) {
    if (end === 2) return { x: pin.x2, y: pin.y2 };
    return end === 0 && hasTwoEnds(pin) ? { x: (pin.x + pin.x2) / 2, y: (pin.y + pin.y2) / 2 } : { x: pin.x, y: pin.y };
  }

  /** nudge moves a pin, or one of its ends, by whole pixels of the photo at full size. */
  nudge(id, dx, dy, end) {
    const { editor } = this, pin = editor.pins.get(id);
    if (!pin) return;
    if (id !== editor.layer.selected) editor.choose(id, false);
    const { photo } = editor.stage, next = moved(pin, end, dx / photo.width, dy / photo.height);
    editor.pins.change(id, next, `nudge ${end}`);
    editor.layer.draw(false);
    editor.form.moved(next);
    const f = this.point(next, end);
    this.lens.flash(f, editor.stage.place(f), next);
  }
}
