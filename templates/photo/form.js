// The form of the chosen pin. It is a copy of the form that the server wrote for the pin's kind; the page works with that form alone, too.

import { answers } from './answers.js';
import { set } from './dom.js';
import { hasTwoEnds } from './pinview.js';
import { Row } from './row.js';
import { Structured } from './structure.js';
import { LengthField } from '../part/lengthfield.js';
import { LengthPad } from '../part/lengthpad.js';

const TAPPED = 80; // ms from a tap on the picture until its click has taken the focus to the picture

/** percent writes a fraction as the typed forms do. */
export const percent = (f) => String(+(f * 100).toFixed(6));

export class PinForm {
  /** @param on {save(id), remove(id), nudge(dx, dy, end), dirty(id)}. */
  constructor(place, templates, references, on) {
    Object.assign(this, { place, templates, references, on, pin: null, dirty: false, sent: false, end: 0 });
  }

  /** show opens the form of a pin; null closes it. */
  show(pin) {
    this.pin = pin;
    this.dirty = this.sent = false;
    this.end = 0;
    LengthPad.close();
    if (!pin) {
      this.place.replaceChildren();
      return;
    }
    this.place.replaceChildren(document.importNode(this.templates.get(pin.kind).content, true));
    this.form = this.place.querySelector('form');
    this.fill(pin);
    for (const el of this.form.querySelectorAll('[data-widget="length-field"]')) new LengthField(el);
    this.listen();
    if (this.form.elements['v.joist']) new Structured(this.form, this.references, pin.id);
    if (this.form.elements['v.row_at']) new Row(this.form);
    answers(this.form, pin, this.references.all(), this.references.words());
    setTimeout(() => this.begin(pin), TAPPED);
  }

  // begin opens the keys for the first length of a pin that says nothing yet, under a finger.
  begin(pin) {
    const { opens } = this.form.dataset;
    if (opens && this.pin?.id === pin.id && !this.dirty && !this.form.contains(document.activeElement) && Object.keys(pin.values ?? {}).length === 0 && matchMedia('(pointer: coarse)').matches) this.form.elements[opens].focus();
  }

  listen() {
    this.form.addEventListener('input', () => {
      this.dirty = true;
      this.sent = false;
      this.on.dirty(this.pin.id);
    });
    this.form.addEventListener('submit', (e) => {
      e.preventDefault();
      this.sent = true;
      if (e.submitter?.name === 'settle') this.settle(e.submitter.value);
      if (e.submitter?.hasAttribute('data-delete')) this.on.remove(this.pin.id);
      else this.on.save(this.pin.id);
    });
    for (const el of this.form.querySelectorAll('[data-js]')) el.hidden = false;
    for (const b of this.form.querySelectorAll('[data-nudge]')) {
      b.addEventListener('click', (e) => {
        const [dx, dy] = b.dataset.nudge.split(' ').map(Number), step = e.shiftKey ? 10 : 1;
        this.on.nudge(dx * step, dy * step, this.end);
      });
    }
    for (const r of this.form.querySelectorAll('[data-end]')) r.addEventListener('input', (e) => {
      e.stopPropagation();
      this.end = Number(r.value);
    });
  }

  // fill writes a pin's values into the controls.
  fill(pin) {
    this.number(pin);
    for (const el of this.form.elements) {
      const key = el.name?.startsWith('v.') ? el.name.slice(2) : null;
      if (key === null) continue;
      const text = pin.values?.[key] ?? '';
      if (el.type === 'radio') el.checked = el.value === text;
      else if (el.type !== 'hidden') el.value = text;
      if (text) el.closest('details')?.setAttribute('open', '');
      if (text) this.ask(key);
    }
    this.form.elements.note.value = pin.note ?? '';
    this.moved(pin);
  }

  // ask shows a question that is asked only where there is reason to, or hides it.
  ask(key, on = true) {
    const question = this.form.querySelector(`[data-seldom="${key}"]`);
    if (question) question.hidden = !on;
  }

  // settle writes which of two places stands: the typed one, or the photo's, for which the typed one is cleared.
  settle(choice) {
    const at = this.form.elements;
    for (const el of at['v.typed_stands'] ?? []) el.checked = el.value === (choice === 'typed' ? 'yes' : '');
    if (choice === 'located') at['v.x'].value = at['v.y'].value = '';
    this.dirty = true;
  }

  /** follow takes over what the model has meanwhile: the number, the place when asked, what the server could not read. */
  follow(pin, entry, place) {
    this.number(pin);
    if (place) this.moved(pin);
    if (entry.state === 'invalid' && entry.errors) this.problems(entry.errors);
  }

  /** number shows the pin's number once it has one. */
  number(pin) {
    const text = pin.number ? String(pin.number) : '';
    this.form.querySelector('.pinmark text').textContent = text || '+';
    this.form.querySelector('[data-number]').textContent = text;
    set(this.place, 'data-chosen', pin.id);
  }

  /** moved shows where the pin is now in the typed places. */
  moved(pin) {
    this.pin = pin;
    const at = this.form.elements;
    at['at.x'].value = percent(pin.x);
    at['at.y'].value = percent(pin.y);
    if (hasTwoEnds(pin) && at['at.x2']) {
      at['at.x2'].value = percent(pin.x2);
      at['at.y2'].value = percent(pin.y2);
    }
  }

  /** read gives the pin as the form says it. A place that was not typed anew keeps its exact fraction. */
  read() {
    const values = {}, at = this.form.elements;
    for (const [name, text] of new FormData(this.form)) if (name.startsWith('v.') && text.trim() !== '') values[name.slice(2)] = text.trim();
    const typed = (name, was) => {
      const text = at[name]?.value.trim() ?? '';
      return text === percent(was) ? was : Number(text) / 100;
    };
    const pin = { ...this.pin, values, note: at.note.value.trim(), x: typed('at.x', this.pin.x), y: typed('at.y', this.pin.y) };
    if (hasTwoEnds(this.pin)) Object.assign(pin, { x2: typed('at.x2', this.pin.x2), y2: typed('at.y2', this.pin.y2) });
    return pin;
  }

  /** problems shows what the server could not read, below each field, and goes to the first. */
  problems(fields) {
    let first;
    for (const [key, text] of Object.entries(fields)) {
      const name = key === 'end' ? 'at.x' : key === 'end2' ? 'at.x2' : key === 'note' ? 'note' : `v.${key}`;
      const found = this.form.elements[name], control = found instanceof RadioNodeList ? found[0] : found;
      const field = control?.closest('.field');
      if (!field) continue;
      field.classList.add('bad');
      field.querySelector('.read .w')?.removeAttribute('hidden');
      const say = field.querySelector('.read .say');
      if (say) say.textContent = text;
      control.setAttribute('aria-invalid', 'true');
      field.closest('details')?.setAttribute('open', '');
      first ??= control;
    }
    first?.focus();
  }

  /** status says whether the pin has arrived. */
  status(text, weight) {
    const el = this.form?.querySelector('[data-status]');
    if (el && el.textContent !== text) el.textContent = text;
    if (el) set(el, 'class', `state ${weight}`);
  }

  /** next is the button that is pressed next while the form is being filled in; else nothing. */
  next() {
    const at = document.activeElement;
    return this.form?.contains(at) && !at.closest('.acts') ? this.form.querySelector('.btn.main') : null;
  }

  /** freshen takes the read lines and the ceiling's table from a form that the server wrote anew, unless the text has changed since. */
  freshen(fresh) {
    for (const id of ['verdict', 'pinsource', 'where', 'history']) {
      const [mine, theirs] = [this.place.querySelector(`[data-fresh="${id}"]`), fresh.querySelector(`[data-fresh="${id}"]`)];
      if (mine && theirs) mine.replaceWith(document.importNode(theirs, true));
    }
    for (const el of fresh.querySelectorAll('[data-seldom]')) this.ask(el.dataset.seldom, !el.hidden);
    for (const line of fresh.querySelectorAll('.read[id]')) {
      const mine = this.form.querySelector(`#${CSS.escape(line.id)}`), control = line.closest('.field')?.querySelector('input[name^="v."]');
      const here = control && this.form.elements[control.name];
      if (mine && here && !(here instanceof RadioNodeList) && here.value === control.value && !mine.closest('.bad')) mine.replaceWith(document.importNode(line, true));
    }
  }
}
