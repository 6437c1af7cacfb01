// The magnifier: it shows what the finger hides, five times as large as on the screen, in the upper corner away from the finger.

import { html, set } from './dom.js';
import { lensBox } from './geometry.js';

const TIMES = 5;

export class Lens {
  /** @param place(f, pin) says where a place of the picture is on the plan: [[name, value, ±]], null when that cannot be told. */
  constructor(el, stage, place) {
    this.el = el;
    this.stage = stage;
    this.place = place;
    this.svg = el.querySelector('svg');
    this.cross = el.querySelector('path');
    this.words = el.querySelector('p');
  }

  /** show magnifies the place f of the picture; at is where the finger or the point is, in px of the stage; pin the one that is moved, if any. */
  show(f, at, pin) {
    const { frame, view, photo } = this.stage;
    this.el.hidden = false;
    const size = this.svg.clientWidth || 132, box = lensBox(frame, view, photo, f, size, TIMES);
    set(this.svg, 'viewBox', `${box.x} ${box.y} ${box.w} ${box.h}`);
    const x = f.x * photo.width, y = f.y * photo.height, gx = box.w * 0.06, gy = box.h * 0.06;
    set(this.cross, 'd', `M${box.x} ${y}H${x - gx}M${x + gx} ${y}H${box.x + box.w}M${x} ${box.y}V${y - gy}M${x} ${y + gy}V${box.y + box.h}`);
    this.el.classList.toggle('right', at.x < frame.width / 2);
    const top = Math.max(0, -this.stage.el.getBoundingClientRect().top);
    this.el.style.top = `${Math.min(top, Math.max(0, frame.height - size - 48)) + 8}px`;
    this.say(f, pin);
    clearTimeout(this.timer);
  }

  // say writes where the place is on the plan, or else on the picture.
  say(f, pin) {
    const place = this.place(f, pin);
    if (!place) this.words.textContent = `${(f.x * 100).toFixed(2)} % across, ${(f.y * 100).toFixed(2)} % down`;
    else this.words.replaceChildren(...place.map(([name, value, pm]) => html('span', {}, html('b', {}, `${name} ${value}`), ` ${pm}`)));
  }

  hide() { this.el.hidden = true; }

  /** flash shows a place for a moment, for steps that have no finger. */
  flash(f, at, pin) {
    this.show(f, at, pin);
    this.timer = setTimeout(() => this.hide(), 1500);
  }
}
