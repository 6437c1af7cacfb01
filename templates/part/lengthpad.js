// The length pad: keys under the thumb for every length field of a touch screen, instead of the phone's keyboard. There is one pad for the page;
// it types into the field that has the focus, and the field says what the server reads, as it does for any other typing. What keys mean is in
// lengthpadkeys.js.

import { likely, readings, refusal, typed } from './lengthpadkeys.js';
import { kept, keysOf, lastOf, remember } from './padkept.js';
import { answer, caution, padView } from './padview.js';
import { typeset } from './typeset.js';

const CLICK = 80, PAUSE = 600; // ms from a press to its click; without a key before a Check opens: a length that is still being typed is not asked about

/** marked is a reading's text with its marks: 91 5/16″ stays in inches, as it was pressed. */
const marked = (text) => `${text.replace("'", '′')}″`;

export class LengthPad {
  static #page = null;

  /** serve gives a field the pad: only for lengths, and only where the pointer is a finger. field is a LengthField. */
  static serve(field) {
    if (!field.el.dataset.pad || !matchMedia('(pointer: coarse)').matches) return;
    LengthPad.#page ??= new LengthPad();
    LengthPad.#page.attach(field);
  }

  /** asks tells whether the pad's own keys type into a field, so that the pad asks about its length. */
  static asks(field) { return LengthPad.#page?.field === field && LengthPad.#page.keys !== null; }

  /** close puts the pad away, as when its form goes. */
  static close() { LengthPad.#page?.close(); }

  constructor() {
    Object.assign(this, padView(), { field: null, keys: [] });
    this.el.classList.toggle('left', kept.get('thumb') === 'left');
    this.el.addEventListener('pointerdown', (e) => e.preventDefault()); // the field keeps the focus
    this.el.addEventListener('click', (e) => {
      const button = e.target.closest('button');
      if (button?.dataset.key) this.press(button.dataset.key);
      else if (button?.dataset.do) this[button.dataset.do]();
    });
    this.el.addEventListener('focusout', (e) => this.left(e.relatedTarget));
    document.addEventListener('keydown', (e) => { if (e.key === 'Escape' && this.field) this.close(); });
    document.body.append(this.el);
  }

  attach(field) {
    const { input } = field;
    if (kept.get('keyboard') !== 'yes') input.inputMode = 'none';
    input.addEventListener('focus', () => this.open(field));
    input.addEventListener('focusout', (e) => this.left(e.relatedTarget));
    input.addEventListener('input', (e) => { if (e.isTrusted && this.field === field) this.close(); }); // somebody has real keys
  }

  open(field) {
    if (kept.get('keyboard') === 'yes') {
      this.offer(field);
      return;
    }
    this.field = field;
    this.name.replaceChildren(...field.label());
    this.el.querySelector('[data-key="-"]').hidden = field.el.dataset.pad !== 'position';
    this.el.hidden = false;
    document.body.classList.add('padopen');
    this.start();
    field.el.scrollIntoView({ block: 'nearest' });
  }

  // start takes the field's text as it stands: the next key begins anew.
  start() {
    this.keys = null;
    this.show();
  }

  left(to) { // a press elsewhere must become its click before the page moves
    const { field } = this, gone = () => this.field === field && document.activeElement !== field.input;
    if (field && to !== field.input && !this.el.contains(to)) setTimeout(() => { if (gone()) this.close(); }, CLICK);
  }

  close() {
    if (!this.field) return;
    const { el, input } = this.field;
    if (this.keys) remember(el, input);
    this.field = null;
    clearTimeout(this.timer);
    this.el.hidden = true;
    document.body.classList.remove('padopen');
  }

  press(key) {
    const keys = this.keys ?? [];
    if (key === 'next') this.next();
    else if (key === 'back') this.type(keys.slice(0, -1));
    else if (refusal(keys, key)) this.say(refusal(keys, key));
    else this.type([...keys, key]);
  }

  // type writes the keys into the field: the one reading of them, or what was pressed as long as that is not decided.
  type(keys) {
    this.keys = keys;
    const found = readings(keys);
    this.write(found.length === 1 ? found[0].text : typed(keys));
  }

  write(text) {
    this.field.input.value = text;
    this.field.input.dispatchEvent(new Event('input', { bubbles: true }));
    this.show();
  }

  show() {
    const { input, el } = this.field, found = this.keys ? readings(this.keys) : [], same = lastOf(el);
    this.typed.textContent = this.keys ? typed(this.keys) : input.value;
    this.typed.classList.toggle('old', this.keys === null && input.value !== '');
    this.same.hidden = !same || same.text === input.value;
    if (same) this.same.textContent = `Same ${same.reads}`;
    this.asked = found.length > 1;
    this.choices.replaceChildren(...(this.asked ? found.map((f) => answer(marked(f.text), () => this.type(f.keys))) : []));
    this.read.replaceChildren(...this.words(found));
    this.judge(found);
  }

  words(found) {
    if (found.length > 1) return ['Two ways to read it. Tap the right one.'];
    if (found.length === 0) return [this.keys?.length ? 'Now a fraction key, or delete.' : this.field.line()];
    const value = document.createElement('b');
    value.textContent = typeset(found[0].inches);
    return ['read as ', value, Math.abs(found[0].inches) >= 12 ? ` (${found[0].inches} in)` : ''];
  }

  say(text) { this.read.textContent = text; }

  // judge asks about a length that does not suit what it names. Next waits for the answer; typing on is an answer, too.
  judge(found) {
    clearTimeout(this.timer);
    this.ask.replaceChildren();
    const { low, high } = this.field.range(), text = this.field.input.value;
    this.doubt = found.length === 1 && !this.field.isRight() ? likely(found[0].inches, text, low, high) : null;
    this.wait();
    if (this.doubt) this.timer = setTimeout(() => this.check(found[0]), PAUSE);
  }

  wait() {
    this.typed.classList.toggle('warned', this.doubt !== null || this.asked);
    this.el.querySelector('[data-key="next"]').setAttribute('aria-disabled', String(this.doubt !== null || this.asked));
  }

  check({ inches }) {
    clearTimeout(this.timer);
    const { head, why } = this.field.question(typeset(inches), this.doubt.map((v) => typeset(v)));
    const ways = this.doubt.map((v) => [typeset(v), () => this.take(v)]);
    this.ask.replaceChildren(caution(head, [`${why} Nothing was changed.`], [...ways, [`Keep ${typeset(inches)}`, () => this.keep()]]));
  }

  // take writes another length as keys.
  take(inches) { this.type([...String(Math.floor(inches / 12)), 'ft', ...(inches % 12 ? [...String(inches % 12), 'in'] : [])]); }

  keep() {
    this.field.right();
    this.show();
  }

  // takeSame takes the last length of this sort.
  takeSame() { this.type(keysOf(lastOf(this.field.el).text)); }

  next() {
    if (this.asked) return;
    if (this.doubt) {
      this.check(readings(this.keys)[0]);
      return;
    }
    const { input } = this.field, all = [...(input.form?.elements ?? [])].filter((el) => el.offsetParent && el.type !== 'hidden' && !el.closest('.nudge, .ends, .offers, .joists'));
    const to = all[all.indexOf(input) + 1];
    this.close();
    to?.focus();
  }

  mirror() { kept.set('thumb', this.el.classList.toggle('left') ? 'left' : 'right'); }

  keyboard() { this.swap('yes', 'text'); }
  // swap changes between the pad and the phone's keyboard, for all fields, and opens the other one.
  swap(keyboard, mode) {
    const { field } = this;
    kept.set('keyboard', keyboard);
    for (const el of document.querySelectorAll('[data-pad] input')) el.inputMode = mode;
    this.close();
    field.input.blur();
    field.input.focus();
  }

  // offer puts the way back to the pad below a field that is typed on the keyboard.
  offer(field) {
    if (field.el.querySelector('[data-do="pad"]')) return;
    const button = answer('Length keys', () => {
      for (const b of document.querySelectorAll('[data-do="pad"]')) b.remove();
      this.field = field;
      this.swap('no', 'none');
    });
    button.dataset.do = 'pad';
    field.el.append(button);
  }
}
