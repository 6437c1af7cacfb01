// The magnifier: it shows what the finger hides, five times as large as on the screen, in the upper corner away from the finger.

import { set } from './dom.js';
import { lensBox } from './geometry.js';

const TIMES = 5;

export class Lens {
  constructor(el, stage) {
    this.el = el;
    this.stage = stage;
    this.svg = el.querySelector('svg');
    this.cross = el.querySelector('path');
    this.words = el.querySelector('p');
  }

  /** show magnifies the place f of the picture; at is where the finger or the point is, in px of the stage. */
  show(f, at) {
    const { frame, view, photo } = this.stage;
    this.el.hidden = false;
    const size = this.svg.clientWidth || 132, box = lensBox(frame, view, photo, f, size, TIMES);
    set(this.svg, 'viewBox', `${box.x} ${box.y} ${box.w} ${box.h}`);
    const x = f.x * photo.width, y = f.y * photo.height, gx = box.w * 0.06, gy = box.h * 0.06;
    set(this.cross, 'd', `M${box.x} ${y}H${x - gx}M${x + gx} ${y}H${box.x + box.w}M${x} ${box.y}V${y - gy}M${x} ${y + gy}V${box.y + box.h}`);
    this.el.classList.toggle('right', at.x < frame.width / 2);
    const top = Math.max(0, -this.stage.el.getBoundingClientRect().top);
    this.el.style.top = `${Math.min(top, Math.max(0, frame.height - size - 48)) + 8}px`;
    this.words.textContent = `${(f.x * 100).toFixed(2)} % across, ${(f.y * 100).toFixed(2)} % down`;
    clearTimeout(this.timer);
  }

  hide() { this.el.hidden = true; }

  /** flash shows a place for a moment, for steps that have no finger. */
  flash(f, at) {
    this.show(f, at);
    this.timer = setTimeout(() => this.hide(), 1500);
  }
}
