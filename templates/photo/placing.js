// Placing pins: one of four buttons, a tap on the picture, then the kind. Button and kind stay for the next tap; pressing the button again
// asks for another kind. A kind with two ends takes two taps.

import { set, svg } from './dom.js';
import { inside, onPicture } from './geometry.js';

export class Placing {
  /** @param on {place(kind, ends), say(text), hint(kind), changed()}; ends are fractions, one or two. kinds tells labels and ends. */
  constructor(root, stage, lens, kinds, on) {
    Object.assign(this, { stage, lens, kinds, on, group: null, kind: null, ends: [] });
    this.buttons = [...root.querySelectorAll('[data-group-button]')];
    this.panels = [...root.querySelectorAll('[data-kinds]')];
    this.layer = stage.marks;
    this.ring = svg('svg', { overflow: 'visible', class: 'aim' }, svg('circle', { class: 'ringtapc', r: 15 }), svg('circle', { class: 'ringtap', r: 15 }),
      svg('circle', { class: 'ringtapc', r: 2.5 }), svg('circle', { class: 'ringtap', r: 2.5 }));
    for (const b of this.buttons) b.addEventListener('click', () => this.press(b.dataset.groupButton));
    for (const panel of this.panels) {
      panel.addEventListener('pointerdown', () => { this.pressed = true; });
      panel.addEventListener('click', (e) => {
        const kind = e.target.closest('[data-kind]')?.dataset.kind;
        if (kind) e.preventDefault();
        // The tap that opened the panel ends in a click on what lies under the finger now: only a press that began on the panel chooses.
        if (kind && (this.pressed || e.detail === 0)) {
          this.choose(kind, e.detail === 0);
        }
      });
    }
  }

  /** armed tells whether the next tap places something. */
  armed() { return this.group !== null; }

  // press arms a group; pressed again, it asks for the kind, and with that open it stops placing.
  press(group) {
    if (this.group !== group) {
      this.disarm();
      this.group = group;
      this.on.say('Tap the exact point on the photo.');
    } else if (this.asking) {
      this.disarm();
      return;
    } else {
      this.ask(true);
    }
    this.show();
  }

  /** again arms a kind, or leaves it armed, for the next tap. */
  again(kind) {
    if (this.kind !== kind) {
      this.disarm();
      Object.assign(this, { group: this.kinds.get(kind).group, kind });
      this.show();
    }
    this.on.say(`Tap the next ${this.name()}.${this.on.hint(kind)}`);
  }

  // ask shows the kinds of the button, away from the point that was tapped.
  ask(open) {
    this.asking = open;
    this.pressed = false;
    const { frame } = this.stage, y = this.ends.length ? this.stage.place(this.ends[0]).y : 0;
    for (const panel of this.panels) {
      panel.hidden = !open || panel.dataset.kinds !== this.group;
      panel.classList.toggle('high', y > frame.height / 2);
    }
  }

  choose(kind, byKeyboard) {
    this.kind = kind;
    this.ask(false);
    if (this.ends.length > 0) this.enough();
    else this.on.say(`Tap where the ${this.name()} is.${this.on.hint(kind)}`);
    this.show();
    if (byKeyboard) this.stage.el.focus();
  }

  name() { return (this.kinds.get(this.kind)?.label ?? 'pin').toLowerCase(); }

  /** disarm stops placing. */
  disarm() {
    this.group = this.kind = null;
    this.forget();
    this.ask(false);
    this.show();
  }

  /** back undoes the last tap that has not made a pin yet; false when there is none. */
  back() {
    if (this.ends.length === 0) return false;
    this.ends.pop();
    this.ask(false);
    this.draw();
    return true;
  }

  forget() {
    this.ends = [];
    this.aimed = null;
    this.draw();
  }

  aim(at) {
    const f = onPicture(this.stage.fraction(at.x, at.y));
    this.aimed = f;
    this.draw();
    this.lens.show(f, at);
  }

  aimCancel() {
    this.aimed = null;
    this.lens.hide();
    this.draw();
  }

  aimEnd(at) {
    const f = this.stage.fraction(at.x, at.y);
    this.aimCancel();
    if (inside(f)) this.point(f);
  }

  // point takes one exact point.
  point(f) {
    if (!this.kind) this.ends = []; // a tap before the kind is chosen moves the point
    this.ends.push(f);
    this.enough();
    this.show();
  }

  // enough places the pin when the kind is known and has all its ends.
  enough() {
    if (!this.kind) {
      this.ask(true);
      this.on.say('What is it? Tap outside the list to move the point.');
    } else if (this.ends.length < this.kinds.get(this.kind).ends) {
      this.on.say('Now tap the other end.');
    } else {
      const ends = this.ends;
      this.forget();
      this.on.place(this.kind, ends);
    }
    this.draw();
  }

  /** step moves the cross hair by px of the screen, for keys; the first step starts in the middle of what is shown. */
  step(dx, dy) {
    const { frame } = this.stage, from = this.aimed ? this.stage.place(this.aimed) : { x: frame.width / 2, y: frame.height / 2 };
    const moved = this.aimed ? { x: from.x + dx, y: from.y + dy } : from;
    this.aim({ x: Math.max(0, Math.min(frame.width, moved.x)), y: Math.max(0, Math.min(frame.height, moved.y)) });
  }

  /** enter places at the cross hair. */
  enter() {
    if (!this.aimed) {
      this.step(0, 0);
      return;
    }
    const f = this.aimed;
    this.aimCancel();
    this.point(f);
    if (this.asking) this.panels.find((p) => !p.hidden)?.querySelector('[data-kind]')?.focus();
  }

  draw() {
    const points = this.aimed ? [...this.ends, this.aimed] : this.ends;
    for (const [i, f] of points.entries()) {
      const ring = i === 0 ? this.ring : (this.ring2 ??= this.ring.cloneNode(true));
      set(ring, 'x', `${f.x * 100}%`);
      set(ring, 'y', `${f.y * 100}%`);
      if (!ring.isConnected) this.layer.append(ring);
    }
    if (points.length < 2) this.ring2?.remove();
    if (points.length < 1) this.ring.remove();
  }

  show() {
    for (const b of this.buttons) {
      const mine = b.dataset.groupButton === this.group;
      b.setAttribute('aria-pressed', mine);
      b.querySelector('[data-chosen]').textContent = mine && this.kind ? this.kinds.get(this.kind).label : '';
    }
    this.stage.el.classList.toggle('armed', this.armed());
    this.on.changed();
  }
}
