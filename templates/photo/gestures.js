// Pointer events on the stage, told as what a person did. One finger or the mouse presses, drags a pin, aims or pans; two fingers zoom and
// pan. A second finger, and a pointer that the browser takes away, revert what the first began.

import { panBy, pinch, zoomAbout } from './geometry.js';

const SLOP = { touch: 8, pen: 5, mouse: 3 };

export class Gestures {
  /**
   * @param act {pick(at, touch): handle or null; armed(): boolean; dragStart(handle), drag(handle, dx, dy, at), dragEnd(handle), dragCancel(handle);
   *   aim(at), aimEnd(at), aimCancel(); tapPin(handle), tapStage(at)}: places in px of the stage, dx and dy since the press.
   */
  constructor(stage, act) {
    this.stage = stage;
    this.act = act;
    this.points = new Map();
    this.mode = 'idle';
    const el = stage.el;
    el.addEventListener('pointerdown', (e) => this.down(e));
    window.addEventListener('pointermove', (e) => this.move(e));
    window.addEventListener('pointerup', (e) => this.up(e));
    window.addEventListener('pointercancel', (e) => this.cancel(e));
    el.addEventListener('wheel', (e) => this.wheel(e), { passive: false });
    // Some browsers do not honour touch-action; these keep the page still while a gesture is ours.
    el.addEventListener('touchmove', (e) => { if (e.cancelable && (this.ours() || e.touches.length > 1)) e.preventDefault(); }, { passive: false });
    el.addEventListener('gesturestart', (e) => e.preventDefault());
    el.addEventListener('dragstart', (e) => e.preventDefault());
  }

  ours() { return ['drag', 'pin', 'aim', 'pinch', 'pan'].includes(this.mode) || (this.mode === 'press' && this.stage.zoomed()); }

  down(e) {
    if ((e.pointerType === 'mouse' && e.button !== 0) || e.target.closest('.mag')) return;
    const at = this.stage.local(e);
    this.points.set(e.pointerId, { start: at, at, type: e.pointerType });
    if (this.points.size === 1) this.first(e, at);
    else if (this.points.size === 2) this.second();
  }

  first(e, at) {
    this.handle = this.act.armed() ? null : this.act.pick(at, e.pointerType !== 'mouse');
    this.mode = this.handle ? 'pin' : this.act.armed() ? 'aim' : 'press';
    this.view = this.stage.view;
    if (this.mode === 'aim') this.act.aim(at);
  }

  second() {
    this.revert();
    this.mode = 'pinch';
    this.view = this.stage.view;
    for (const p of this.points.values()) p.start = p.at;
  }

  revert() {
    if (this.mode === 'drag') this.act.dragCancel(this.handle);
    if (this.mode === 'aim') this.act.aimCancel();
    if (this.mode === 'pan') this.stage.show(this.view);
    this.mode = 'over';
  }

  move(e) {
    const p = this.points.get(e.pointerId);
    if (!p) return;
    p.at = this.stage.local(e);
    const dx = p.at.x - p.start.x, dy = p.at.y - p.start.y;
    if (this.mode === 'pinch') {
      const [a, b] = this.points.values();
      this.stage.show(pinch(this.stage.frame, this.view, a.start, b.start, a.at, b.at));
      return;
    }
    const far = Math.hypot(dx, dy) > (SLOP[p.type] ?? SLOP.touch);
    if (this.mode === 'pin' && far) {
      this.mode = 'drag';
      this.act.dragStart(this.handle);
    } else if (this.mode === 'press' && far) {
      this.mode = this.stage.zoomed() ? 'pan' : 'over';
    }
    if (this.mode === 'drag') this.act.drag(this.handle, dx, dy, p.at);
    if (this.mode === 'aim') this.act.aim(p.at);
    if (this.mode === 'pan') this.stage.show(panBy(this.stage.frame, this.view, dx, dy));
  }

  up(e) {
    const p = this.points.get(e.pointerId);
    if (!p) return;
    p.at = this.stage.local(e);
    this.points.delete(e.pointerId);
    const mode = this.mode;
    this.mode = this.points.size > 0 ? 'over' : 'idle';
    if (mode === 'drag') {
      this.act.drag(this.handle, p.at.x - p.start.x, p.at.y - p.start.y, p.at);
      this.act.dragEnd(this.handle);
    }
    if (mode === 'pin') this.act.tapPin(this.handle);
    if (mode === 'aim') this.act.aimEnd(p.at);
    if (mode === 'press') this.act.tapStage(p.at);
  }

  cancel(e) {
    if (!this.points.has(e.pointerId)) return;
    this.revert();
    this.points.delete(e.pointerId);
    if (this.points.size === 0) this.mode = 'idle';
  }

  /** stop reverts what is under way, for Escape; false when nothing was. */
  stop() {
    if (!['drag', 'aim', 'pan'].includes(this.mode)) return false;
    this.revert();
    return true;
  }

  wheel(e) {
    const out = e.deltaY > 0;
    if (out && !this.stage.zoomed()) return; // the page scrolls on
    e.preventDefault();
    const step = e.deltaMode === 1 ? e.deltaY * 16 : e.deltaMode === 2 ? e.deltaY * 160 : e.deltaY;
    const at = this.stage.local(e), factor = Math.exp(-Math.max(-240, Math.min(240, step)) / (e.ctrlKey ? 100 : 400));
    this.stage.show(zoomAbout(this.stage.frame, this.stage.view, at.x, at.y, factor));
  }
}
