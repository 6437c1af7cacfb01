// A signature drawn with a finger, a pen or the mouse: kept as points in a hidden field. The typed name is enough, so that no keyboard is left out.

const MOST = 4000, NEAR = 2; // points kept, and how far apart they are at least

/** path is the drawing's path of the strokes; a stroke of one point is a dot. */
export function path(strokes) {
  return strokes.map((points) => `M${points.map((p) => p.join(' ')).join('L')}${points.length === 1 ? 'h.1' : ''}`).join('');
}

class SignPad {
  constructor(el) {
    this.svg = el.querySelector('svg');
    this.line = el.querySelector('path');
    this.field = el.querySelector('input');
    this.strokes = this.field.value ? JSON.parse(this.field.value) : [];
    el.hidden = false;
    this.svg.addEventListener('pointerdown', (e) => this.begin(e));
    this.svg.addEventListener('pointermove', (e) => this.go(e));
    for (const end of ['pointerup', 'pointercancel']) this.svg.addEventListener(end, () => { this.now = null; });
    el.querySelector('button').addEventListener('click', () => this.clear());
    this.show();
  }

  at(event) {
    const box = this.svg.getBoundingClientRect(), { width, height } = this.svg.viewBox.baseVal;
    const within = (v, most) => Math.max(0, Math.min(most, Math.round(v)));
    return [within(((event.clientX - box.left) / box.width) * width, width), within(((event.clientY - box.top) / box.height) * height, height)];
  }

  begin(event) {
    if (!event.isPrimary || event.button > 0 || this.full()) return;
    event.preventDefault();
    this.svg.setPointerCapture(event.pointerId);
    this.now = [this.at(event)];
    this.strokes.push(this.now);
    this.show();
  }

  go(event) {
    if (!this.now || this.full()) return;
    const next = this.at(event), last = this.now.at(-1);
    if (Math.hypot(next[0] - last[0], next[1] - last[1]) < NEAR) return;
    this.now.push(next);
    this.show();
  }

  full() { return this.strokes.reduce((n, s) => n + s.length, 0) >= MOST; }

  clear() {
    this.strokes = [];
    this.now = null;
    this.show();
  }

  show() {
    this.line.setAttribute('d', path(this.strokes));
    this.field.value = this.strokes.length > 0 ? JSON.stringify(this.strokes) : '';
  }
}

for (const el of document.querySelectorAll('[data-widget="sign-pad"]')) new SignPad(el);
