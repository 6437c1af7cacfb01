// The photo with its pins: they are placed and moved on the picture. What is done is sent at once, and again until it has arrived.

import { uuid7 } from '../part/uuid.js';
import { Ceiling } from './ceiling.js';
import { Conflicts } from './conflict.js';
import { PinForm } from './form.js';
import { inside } from './geometry.js';
import { Gestures } from './gestures.js';
import { Keys } from './keys.js';
import { PinLayer } from './layer.js';
import { Lens } from './lens.js';
import { PinList, stateWords } from './list.js';
import { Moves } from './moves.js';
import { transport } from './net.js';
import { News } from './news.js';
import { Pins } from './pins.js';
import { hasTwoEnds } from './pinview.js';
import { Placing } from './placing.js';
import { References } from './structure.js';
import { Stage } from './stage.js';
import { Tools } from './tools.js';
import { Words } from './words.js';

class Editor {
  constructor(el) {
    const { survey, photo, width, height, pins, base } = el.dataset, size = { width: Number(width), height: Number(height) };
    Object.assign(this, { el, survey, photo });
    this.words = new Words(el);
    this.pins = new Pins(JSON.parse(pins), transport(base));
    this.stage = new Stage(el.querySelector('.stage'), size);
    this.list = new PinList(this.find('list'), this.pins, this.words, { select: (id, byKey) => this.choose(id, byKey) });
    this.layer = new PinLayer(this.stage, this.pins, (p) => this.words.say(p), (id) => this.list.caution(id));
    this.conflicts = new Conflicts(this.find('conflict'), this.words, size, { settle: (entry, mine) => this.settle(entry, mine) });
    const lens = new Lens(el.querySelector('.mag'), this.stage, (f, pin) => this.ceiling.place(f, pin));
    this.moves = new Moves(this, lens);
    this.form = new PinForm(this.find('form'), this.words.forms, new References(this), {
      save: (id) => this.save(id), remove: (id) => this.remove(id), dirty: () => this.status(),
      nudge: (dx, dy, end) => this.moves.nudge(this.layer.selected, dx, dy, end),
    });
    this.placing = new Placing(el, this.stage, lens, this.words.kinds, {
      place: (kind, ends) => this.place(kind, ends), say: (text) => this.tell(text), hint: (kind) => (kind === 'reference' ? ` ${this.ceiling.progress()}` : ''), changed: () => this.tools?.show(),
    });
    this.gestures = new Gestures(this.stage, this.moves.actions());
    this.ceiling = new Ceiling(this);
    Object.assign(this, { tools: new Tools(this), news: new News(this), keys: new Keys(this) });
    this.listen();
    this.start();
  }

  find(part) { return this.el.querySelector(`[data-part="${part}"]`); }

  start() {
    for (const part of this.el.querySelectorAll('[data-js]')) part.hidden = false;
    for (const part of this.el.querySelectorAll('[data-nojs]')) part.hidden = true;
    this.stage.measure();
    this.layer.draw();
    const id = this.el.dataset.chosen || this.numbered(location.hash);
    if (id && this.pins.get(id) && !this.find('form').querySelector('[role="alert"]')) this.choose(id, false); // a form with problems stays as it came
    this.refresh();
    Object.assign(this.el.dataset, { unsent: '0', ready: '' });
  }

  // numbered finds the pin of an address like #p14.
  numbered(hash) {
    const number = /^#p(\d+)$/.exec(hash)?.[1];
    return this.pins.list().find((p) => String(p.number) === number)?.id;
  }

  listen() {
    this.stage.onresize = () => this.layer.draw();
    this.pins.addEventListener('change', (e) => this.changed(e.detail));
    this.pins.addEventListener('saved', () => this.news.later());
    this.stage.el.addEventListener('click', (e) => {
      const pin = e.target.closest('a[data-pin]');
      if (pin) e.preventDefault();
      if (pin && e.detail === 0) this.choose(pin.dataset.pin, true); // a key or an assistive tool; fingers come as gestures
    });
    window.addEventListener('online', () => this.pins.retry());
    window.addEventListener('hashchange', () => this.choose(this.numbered(location.hash) ?? this.layer.selected, false));
    window.addEventListener('beforeunload', (e) => { if (this.pins.unkept() || this.form.dirty) e.preventDefault(); });
  }

  place(kind, ends) {
    const pin = { id: uuid7(), survey: this.survey, photo: this.photo, kind, number: 0, x: ends[0].x, y: ends[0].y, values: {}, note: '', version: 0 };
    if (ends[1]) Object.assign(pin, { x2: ends[1].x, y2: ends[1].y });
    this.pins.change(pin.id, pin);
    this.layer.draw();
    this.choose(pin.id, false);
    if (document.activeElement === this.stage.el) this.layer.focus(pin.id);
    this.tell(`${this.words.name(pin)} placed. The next tap places another; press the button again for another kind.${this.placing.on.hint(kind)}`);
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
        this.news.later();
      }
      if ('ready' in this.el.dataset) history.replaceState(null, '', pin?.number ? `#p${pin.number}` : location.pathname);
    }
    if (pin && toForm) this.find('form').querySelector('h2')?.focus();
  }

  /** save takes what the form says, and sends it. */
  save(id) {
    const pin = this.form.read(), wrong = {};
    if (!inside(pin)) wrong.end = 'Write numbers from 0 to 100.';
    if (hasTwoEnds(pin) && !inside({ x: pin.x2, y: pin.y2 })) wrong.end2 = 'Write numbers from 0 to 100.';
    if (Object.keys(wrong).length > 0) {
      this.form.problems(wrong);
      return;
    }
    this.form.dirty = false;
    this.pins.change(id, pin);
    this.layer.draw();
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
    this.tell(`${this.words.name(pin)} deleted. Undo brings it back.`);
  }

  /** step undoes or redoes; a tap that has not made a pin yet is undone first. */
  step(way) {
    if (way === 'undo' && this.placing.back()) return;
    const id = this.pins[way]();
    if (!id) return;
    this.reopen(id);
    this.tell(way === 'undo' ? 'Undone.' : 'Made again.');
  }

  settle(entry, mine) {
    this.pins.settle(entry.id, mine);
    this.reopen(entry.id);
  }

  // reopen shows a pin anew after it was changed from outside of its form.
  reopen(id) {
    this.form.dirty = false;
    this.layer.draw();
    this.layer.selected = null;
    this.choose(this.pins.get(id) ? id : null, false);
  }

  /** back is Escape: it ends a gesture, then placing, then the selection; false when there was nothing to end. */
  back() {
    const id = this.layer.selected;
    if (this.gestures.stop()) return true;
    if (this.placing.armed()) this.placing.disarm();
    else if (id && this.find('form').contains(document.activeElement)) this.layer.focus(id);
    else if (id) this.choose(null, false);
    else return false;
    return true;
  }

  // changed follows the model: what arrived, what failed, what somebody else changed.
  changed(id) {
    const entry = this.pins.entry(id), pin = this.pins.get(id);
    this.el.dataset.unsent = this.pins.unsent();
    this.ceiling.moved(id);
    this.layer.draw(this.gestures.mode !== 'drag');
    this.list.show(this.layer.selected);
    this.conflicts.follow(entry);
    if (pin && this.form.pin?.id === id) this.form.follow(pin, entry, this.gestures.mode !== 'drag');
    this.tools.show();
    this.status();
  }

  /** refresh brings everything in step with the pins. */
  refresh() {
    this.list.show(this.layer.selected);
    this.layer.draw(this.gestures.mode === 'idle');
    this.tools.show();
  }

  // status says in the form whether the chosen pin has arrived.
  status() {
    const entry = this.layer.selected && this.pins.entry(this.layer.selected);
    if (!entry) return;
    const [weight, words] = this.form.dirty ? ['note', 'not saved yet'] : stateWords(entry.state) ?? ['fine', 'saved'];
    this.form.status(entry.state === 'refused' ? entry.message : words, weight);
  }

  tell(text) { this.find('tell').textContent = text; }
}
// A photo that cannot be shown has no stage; its pins are edited by forms.
for (const el of document.querySelectorAll('[data-widget="photo"]')) if (el.querySelector('.stage')) new Editor(el);
