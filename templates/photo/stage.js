// The photo on its stage: where it lies, how it is zoomed and panned. Zooming moves and scales what is there; nothing is drawn again.

import { clamp, home, panBy, toFraction, toStage, zoomAbout } from './geometry.js';

const MOST_PIXELS = 50e6;

export class Stage {
  /** @param el the stage, with .view holding the picture and its overlays: the ceiling's, then the pins' lines and marks. */
  constructor(el, photo) {
    this.el = el;
    this.photo = photo; // {width, height} of the upright picture at full size
    this.plane = el.querySelector('.view');
    this.img = el.querySelector('img');
    this.overlays = [...el.querySelectorAll('.view > svg')];
    [this.lines, this.marks] = ['.pinlines', '.pins'].map((layer) => el.querySelector(`.view > ${layer}`));
    this.frame = { width: 1, height: 1, x: 0, y: 0, w: 1, h: 1 };
    this.view = home(this.frame);
    this.onresize = () => {};
    new ResizeObserver(() => this.measure()).observe(this.img);
    new ResizeObserver(() => this.measure()).observe(el);
    this.measure();
  }

  // measure learns the layout of the stage. The middle of what was shown stays in the middle.
  measure() {
    const width = this.el.clientWidth, height = this.el.clientHeight;
    this.plane.style.transform = this.img.style.transform = '';
    const stage = this.el.getBoundingClientRect(), img = this.img.getBoundingClientRect();
    const next = { width, height, x: img.left - stage.left - this.el.clientLeft, y: img.top - stage.top - this.el.clientTop, w: img.width, h: img.height };
    const same = Object.keys(next).every((k) => Math.abs(next[k] - this.frame[k]) < 0.01);
    if (!same && img.width > 0 && img.height > 0) {
      const middle = this.fraction(this.frame.width / 2, this.frame.height / 2), zoom = this.view.zoom;
      this.frame = next;
      const at = toStage(next, { zoom, x: 0, y: 0 }, middle);
      this.view = clamp(next, { zoom, x: width / 2 - at.x, y: height / 2 - at.y });
    }
    this.paint();
    if (!same) this.onresize();
  }

  // show changes the view on the next frame.
  show(view) {
    this.view = view;
    this.pending ??= requestAnimationFrame(() => {
      this.pending = undefined;
      this.paint();
    });
  }

  zoom(factor, px = this.frame.width / 2, py = this.frame.height / 2) { this.show(zoomAbout(this.frame, this.view, px, py, factor)); }

  pan(dx, dy) { this.show(panBy(this.frame, this.view, dx, dy)); }

  whole() { this.show(home(this.frame)); }

  // sharpen loads the original once the picture is shown larger than it is, so that a point can be told from its neighbours. Browsers
  // turn an original upright by themselves. Very large ones are left alone, for the memory of phones.
  sharpen() {
    const { original } = this.el.dataset, { width, height } = this.photo;
    if (!original || this.asked || width * height > MOST_PIXELS || this.frame.w * this.view.zoom * devicePixelRatio < this.img.naturalWidth * 1.25) return;
    this.asked = true;
    const sharp = new Image();
    sharp.src = original;
    sharp.decode().then(() => {
      if (sharp.naturalWidth !== width || sharp.naturalHeight !== height) return; // not the same picture: the shown one stays
      this.img.src = original;
      this.el.querySelector('.mag image')?.setAttribute('href', original);
    }, () => {}); // not loaded: the shown one stays
  }

  zoomed() { return this.view.zoom > 1.001; }

  paint() {
    const { zoom, x, y } = this.view;
    this.plane.style.transform = `translate(${x - this.frame.x}px, ${y - this.frame.y}px)`;
    this.img.style.transform = `scale(${zoom})`;
    for (const overlay of this.overlays) {
      overlay.style.width = `${this.frame.w * zoom}px`;
      overlay.style.height = `${this.frame.h * zoom}px`;
    }
    this.el.classList.toggle('zoomed', this.zoomed());
    this.sharpen();
    this.el.dispatchEvent(new Event('view'));
  }

  /** local is where an event happened, in px of the stage. */
  local(event) {
    const box = this.el.getBoundingClientRect();
    return { x: event.clientX - box.left - this.el.clientLeft, y: event.clientY - box.top - this.el.clientTop };
  }

  fraction(px, py) { return toFraction(this.frame, this.view, px, py); }

  place(f) { return toStage(this.frame, this.view, f); }
}
