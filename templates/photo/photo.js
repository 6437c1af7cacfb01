// The photo with its pins. Without this script the page still shows the pins and edits them by forms; with it they are placed and moved on
// the picture. What is done here is sent at once, and again until it has arrived.

import { uuid7 } from '../part/uuid.js';
import { differences, showConflict } from './conflict.js';
import { PinForm } from './form.js';
import { moved } from './geometry.js';
import { Gestures } from './gestures.js';
import { Keys } from './keys.js';
import { PinLayer } from './layer.js';
import { Lens } from './lens.js';
import { PinList, stateWords } from './list.js';
import { page, transport } from './net.js';
import { Pins } from './pins.js';
import { hasTwoEnds } from './pinview.js';
import { Placing } from './placing.js';
import { Stage } from './stage.js';

class Editor {
  constructor(el) {
    this.el = el;
    const { survey, photo, width, height, pins, base } = el.dataset;
    Object.assign(this, { survey, photo, drafts: new Map() });
    const find = (part) => el.querySelector(`[data-part="${part}"]`);
    this.find = find;
    this.pins = new Pins(JSON.parse(pins), transport(base));
    this.stage = new Stage(el.querySelector('.stage'), { width: Number(width), height: Number(height) });
    this.lens = new Lens(el.querySelector('.mag'), this.stage);
    this.list = new PinList(find('list'), this.pins, (p) => this.name(p), { select: (id) => this.choose(id, false) });
    this.layer = new PinLayer(this.stage, this.pins, (p) => this.say(p), (id) => this.list.caution(id));
    this.form = new PinForm(find('form'), [...el.querySelectorAll('template[data-form]')], {
      save: (id) => this.save(id), remove: (id) => this.remove(id), nudge: (dx, dy, end) => this.nudge(this.layer.selected, dx, dy, end),
      dirty: () => this.status(),
    });
    this.placing = new Placing(el, this.stage, this.lens, {
      place: (kind, ends) => this.place(kind, ends), say: (text) => this.tell(text), changed: () => this.tools(),
    });
    this.gestures = new Gestures(this.stage, this.actions());
    new Keys(this);
    this.listen();
    for (const part of el.querySelectorAll('[data-js]')) part.hidden = false;
    for (const part of el.querySelectorAll('[data-nojs]')) part.hidden = true;
    this.stage.measure();
    this.start();
  }

  start() {
    const id = this.el.dataset.chosen || this.numbered(location.hash);
    this.layer.draw();
    if (id && this.pins.get(id)) this.choose(id, false);
    this.refresh();
    this.el.dataset.unsent = '0';
    this.el.dataset.ready = '';
  }

  // numbered finds the pin of an address like #p14.
  numbered(hash) {
    const number = /^#p(\d+)$/.exec(hash)?.[1];
    return this.pins.list().find((p) => String(p.number) === number)?.id;
  }

  listen() {
    this.stage.onresize = () => this.layer?.draw();
    this.pins.addEventListener('change', (e) => this.changed(e.detail));
    this.pins.addEventListener('saved', () => this.later());
    this.stage.el.addEventListener('click', (e) => {
      const pin = e.target.closest('a[data-pin]');
      if (pin) e.preventDefault();
      if (pin && e.detail === 0) this.choose(pin.dataset.pin, true); // a key or an assistive tool; fingers come as gestures
    });
    const tools = { undo: () => this.step('undo'), redo: () => this.step('redo'), pins: () => this.togglePins(), in: () => this.stage.zoom(1.6), out: () => this.stage.zoom(1 / 1.6), whole: () => this.stage.whole() };
    for (const b of this.el.querySelectorAll('[data-tool]')) b.addEventListener('click', () => tools[b.dataset.tool]());
    this.stage.el.addEventListener('view', () => this.tools());
    window.addEventListener('online', () => this.pins.retry());
    window.addEventListener('hashchange', () => this.choose(this.numbered(location.hash) ?? this.layer.selected, false));
    window.addEventListener('beforeunload', (e) => { if (this.pins.unsent() > 0 || this.form.dirty) e.preventDefault(); });
  }

  // actions are what gestures do; dx and dy are px of the screen since the press.
  actions() {
    let before = null;
    return {
      armed: () => this.placing.armed(),
      pick: (at, touch) => (this.hidden ? null : this.layer.pick(at, touch)),
      dragStart: (h) => {
        before = this.pins.get(h.id);
        this.choose(h.id, false);
      },
      drag: (h, dx, dy, at) => {
        const { frame, view } = this.stage;
        this.preview(moved(before, h.end, dx / (frame.w * view.zoom), dy / (frame.h * view.zoom)), h.end, at);
      },
      dragEnd: (h) => this.commit(h.id),
      dragCancel: () => this.preview(before, null),
      aim: (at) => this.placing.aim(at), aimEnd: (at) => this.placing.aimEnd(at), aimCancel: () => this.placing.aimCancel(),
      tapPin: (h) => {
        this.choose(h.id, false);
        this.layer.focus(h.id, h.end);
      },
      tapStage: () => this.choose(null, false),
    };
  }

  // preview shows a pin where the finger has it; nothing is changed yet.
  preview(pin, end, at) {
    this.held = pin;
    this.layer.drawOne(pin);
    if (this.form.pin?.id === pin.id) this.form.moved(pin);
    if (end === null) this.lens.hide();
    else this.lens.show(this.point(pin, end), at);
  }

  commit(id) {
    this.lens.hide();
    this.pins.change(id, { ...this.held });
    this.layer.draw();
  }

  // point is the exact place that a handle moves.
  point(pin, end) {
    if (end === 2) return { x: pin.x2, y: pin.y2 };
    return end === 0 && hasTwoEnds(pin) ? { x: (pin.x + pin.x2) / 2, y: (pin.y + pin.y2) / 2 } : { x: pin.x, y: pin.y };
  }

  /** nudge moves a pin by whole pixels of the photo at full size. */
  nudge(id, dx, dy, end) {
    const pin = this.pins.get(id);
    if (!pin) return;
    if (id !== this.layer.selected) this.choose(id, false);
    const { photo } = this.stage, next = moved(pin, end, dx / photo.width, dy / photo.height);
    this.pins.change(id, next, `nudge ${end}`);
    this.layer.draw(false);
    this.form.moved(next);
    const f = this.point(next, end);
    this.lens.flash(f, this.stage.place(f));
  }

  place(kind, ends) {
    const pin = { id: uuid7(), survey: this.survey, photo: this.photo, kind, number: 0, x: ends[0].x, y: ends[0].y, values: {}, note: '', version: 0 };
    if (ends[1]) Object.assign(pin, { x2: ends[1].x, y2: ends[1].y });
    this.pins.change(pin.id, pin);
    this.layer.draw();
    this.choose(pin.id, false);
    if (document.activeElement === this.stage.el) this.layer.focus(pin.id);
    this.tell(`${this.name(pin)} placed.`);
  }

  /** choose selects a pin in picture, form and list; unsaved typing in the form is saved first. */
  choose(id, toForm) {
    if (this.form.dirty && this.form.pin && this.form.pin.id !== id) this.save(this.form.pin.id);
    const pin = id ? this.pins.get(id) : null;
    if (id !== this.layer.selected || !pin) {
      this.layer.select(pin ? id : null);
      this.form.show(pin);
      this.list.show(pin ? id : null);
      if (pin) {
        this.status();
        this.later();
        history.replaceState(null, '', pin.number ? `#p${pin.number}` : location.pathname);
      }
    }
    if (pin && toForm) this.find('form').querySelector('h2')?.focus();
  }

  save(id) {
    const pin = this.form.read();
    if ([pin.x, pin.y, pin.x2 ?? 0, pin.y2 ?? 0].some((v) => !(v >= 0 && v <= 1))) {
      this.form.problems({ [pin.x >= 0 && pin.x <= 1 && pin.y >= 0 && pin.y <= 1 ? 'end2' : 'end']: 'Write a number from 0 to 100.' });
      return;
    }
    this.form.dirty = false;
    this.pins.change(id, pin);
    this.layer.draw();
    this.tell(`${this.name(pin)} saved here.`);
    this.status();
  }

  remove(id) {
    const pin = this.pins.get(id);
    if (!pin) return;
    this.form.dirty = false;
    this.pins.change(id, null);
    this.choose(null, false);
    this.layer.draw();
    this.stage.el.focus({ preventScroll: true });
    this.tell(`${this.name(pin)} deleted. Undo brings it back.`);
  }

  step(way) {
    if (way === 'undo' && this.placing.back()) return;
    const id = this.pins[way]();
    if (!id) return;
    this.form.dirty = false;
    this.layer.draw();
    this.layer.selected = null;
    this.choose(id, false);
    this.tell(way === 'undo' ? 'Undone.' : 'Made again.');
  }

  /** back is Escape: it ends a gesture, then placing, then the selection; false when there was nothing to end. */
  back() {
    if (this.gestures.stop()) return true;
    if (this.placing.armed()) {
      this.placing.disarm();
      return true;
    }
    const id = this.layer.selected;
    if (!id) return false;
    if (this.find('form').contains(document.activeElement)) this.layer.focus(id);
    else this.choose(null, false);
    return true;
  }

  togglePins() {
    this.hidden = !this.hidden;
    this.layer.hide(this.hidden);
    this.tools();
  }

  // changed follows the model: what arrived, what failed, what somebody else changed.
  changed(id) {
    const entry = this.pins.entry(id), pin = this.pins.get(id);
    this.el.dataset.unsent = this.pins.unsent();
    this.layer.draw(this.gestures.mode !== 'drag');
    this.list.show(this.layer.selected);
    if (entry.state === 'conflict') this.conflict(entry);
    if (pin && this.form.pin?.id === id) {
      this.form.number(pin);
      this.form.moved(pin);
      if (entry.state === 'invalid' && entry.errors) this.form.problems(entry.errors);
    }
    this.tools();
    this.status();
  }

  conflict(entry) {
    if (this.shown === entry) return;
    this.shown = entry;
    const mine = entry.want, theirs = entry.theirs, name = this.name(mine ?? theirs ?? entry.base);
    const rows = mine && theirs ? differences(mine, theirs, this.stage.photo, this.fields(mine.kind), (p, key) => this.words(p, key)) : [];
    const box = showConflict(this.find('conflict'), { name, mine, theirs, rows, choose: (own) => {
      this.find('conflict').replaceChildren();
      this.shown = null;
      this.form.dirty = false;
      this.pins.settle(entry.id, own);
      this.layer.draw();
      this.layer.selected = null;
      this.choose(this.pins.get(entry.id) ? entry.id : null, false);
    } });
    box.scrollIntoView({ block: 'nearest' });
    box.focus({ preventScroll: true });
  }

  // fields and words read a kind's labels and choices from its form.
  fields(kind) {
    const form = this.form.templates.find((t) => t.dataset.form === kind)?.content, found = new Map();
    for (const el of form?.querySelectorAll('[name^="v."]') ?? []) {
      const label = el.closest('.field')?.querySelector('.lab')?.firstChild?.textContent.trim();
      if (!found.has(el.name)) found.set(el.name, { key: el.name.slice(2), label, el });
    }
    return [...found.values()];
  }

  words(pin, key) {
    const form = this.form.templates.find((t) => t.dataset.form === pin.kind)?.content, text = pin.values?.[key] ?? '';
    const option = form?.querySelector(`[name="v.${key}"] option[value="${CSS.escape(text)}"]`) ?? form?.querySelector(`input[type="radio"][name="v.${key}"][value="${CSS.escape(text)}"]`)?.nextElementSibling;
    return text && option ? option.textContent : text;
  }

  name(pin) {
    const label = this.placing?.kinds.get(pin.kind)?.label ?? 'Pin';
    return pin.number ? `${label} ${pin.number}` : label;
  }

  // say is a pin in words for those who do not see it.
  say(pin) {
    const words = this.list?.row(pin.id)?.querySelector('[data-words]')?.textContent;
    return words ? `${this.name(pin)}, ${words}` : this.name(pin);
  }

  // later fetches the server's words about the pins soon: once for a burst of changes.
  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.freshen(), 250);
  }

  async freshen() {
    const id = this.layer.selected, known = id && this.pins.entry(id)?.version;
    let fresh;
    try {
      fresh = await page(`${location.pathname}?part=side${known ? `&pin=${id}` : ''}`);
    } catch {
      return; // the pins themselves say when nothing arrives
    }
    const list = fresh.querySelector('[data-part="list"]'), form = fresh.querySelector('[data-part="form"]');
    if (list) this.list.freshen(list);
    if (form && known && this.layer.selected === id) this.form.freshen(form);
    this.refresh();
  }

  refresh() {
    this.list.show(this.layer.selected);
    this.layer.draw(this.gestures.mode === 'idle');
    this.tools();
  }

  tools() {
    if (!this.placing || !this.layer) return;
    const off = { undo: this.pins.done.length === 0 && this.placing.ends.length === 0, redo: this.pins.undone.length === 0, out: !this.stage.zoomed(), whole: !this.stage.zoomed() };
    for (const b of this.el.querySelectorAll('[data-tool]')) {
      if (b.dataset.tool in off) b.setAttribute('aria-disabled', off[b.dataset.tool]);
      if (b.dataset.tool === 'pins') b.setAttribute('aria-pressed', !this.hidden);
    }
    const waiting = [...this.pins.entries.values()].filter((e) => e.state === 'waiting').length, strip = this.find('waiting');
    strip.hidden = waiting === 0;
    strip.querySelector('span').textContent = waiting === 1 ? '1 pin not sent yet. It stays on this page and is tried again.' : `${waiting} pins not sent yet. They stay on this page and are tried again.`;
  }

  // status says in the form whether the chosen pin has arrived.
  status() {
    const id = this.layer.selected, entry = id && this.pins.entry(id);
    if (!entry) return;
    const [weight, words] = this.form.dirty ? ['note', 'not saved yet'] : stateWords(entry.state) ?? ['fine', 'saved'];
    this.form.status(entry.state === 'refused' ? entry.message : words, weight);
  }

  tell(text) { this.find('tell').textContent = text; }
}

for (const el of document.querySelectorAll('[data-widget="photo"]')) new Editor(el);
