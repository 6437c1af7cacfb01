// A reference named by the structure: which joist, counted from the right end facing the house, and where on it. Steps go by thumb, and the place on
// the plan that this gives is said at once. The server works it out again from the same figures when the pin is saved.

import { html } from './dom.js';
import { readings } from '../part/lengthpadkeys.js';
import { keysOf } from '../part/padkept.js';
import { typeset } from '../part/typeset.js';

/** structurePlace is the plan position {x, y} in inches of a joist at a place, or at a tape mark that far out; null when there is no such joist or place. */
export function structurePlace({ count, width, first, spacing, at }, joist, where, out) {
  const y = where === 'mark' ? out : at?.[where];
  return Number.isInteger(joist) && joist >= 1 && joist <= count && Number.isFinite(y) ? { x: width - first - (joist - 1) * spacing, y } : null;
}

export class Structured {
  /** form is that of the reference id; references are those of the page. */
  constructor(form, references, id) {
    Object.assign(this, { form, spare: references.spare(), facts: JSON.parse(form.dataset.structure), input: form.elements['v.joist'], result: form.querySelector('[data-part="result"]') });
    this.stepper();
    if (this.facts.count && !this.input.value && !form.elements['v.x'].value) this.begin(references.last(id));
    form.addEventListener('input', () => this.show());
    form.querySelector('[data-next]').addEventListener('click', () => references.next(id));
    this.show();
  }

  // stepper puts the steps at both sides of the number.
  stepper() {
    const step = (by, label, face) => {
      const button = html('button', { type: 'button', 'aria-label': label }, face);
      button.addEventListener('click', () => this.step(by));
      return button;
    };
    this.input.inputMode = 'numeric';
    this.input.addEventListener('click', () => this.input.select()); // digits begin anew
    const box = html('div', { class: 'stepper' }, step(-1, 'One joist to the right', '−'), step(1, 'One joist to the left', '+'));
    this.input.before(box);
    box.firstElementChild.after(this.input);
  }

  // begin starts where the reference before was: the next one is mostly near, or on the same joist.
  begin(last) {
    this.input.value = last?.values?.joist ?? this.facts.begin;
    const where = last?.values?.at ?? 'ledger';
    for (const el of this.form.elements['v.at']) el.checked = el.value === where;
    this.form.elements['v.out'].value = last?.values?.out || this.facts.out; // marks mostly stand in one line
  }

  // out is how far out the tape mark is in inches; NaN as long as its length is not decided, or is spelt in another way than the keys do: the server reads that.
  out() {
    const text = this.form.elements['v.out'].value, keys = keysOf(text), found = keys ? readings(keys) : [];
    return found.length === 1 ? found[0].inches : NaN;
  }

  step(by) {
    const now = Number(this.input.value) || 0;
    this.input.value = Math.max(1, Math.min(this.facts.count || 1000, now + by));
    this.input.dispatchEvent(new Event('input', { bubbles: true }));
  }

  show() {
    const { form, facts, result, spare } = this, at = form.elements, joist = Number(this.input.value);
    result.hidden = false;
    form.querySelector('[data-mark]').hidden = at['v.at'].value !== 'mark';
    if (at['v.x'].value && at['v.y'].value) {
      result.textContent = 'The place that was typed below stands.';
      return;
    }
    const place = structurePlace(facts, joist, at['v.at'].value, this.out());
    if (!place) {
      result.textContent = facts.why || (joist > facts.count ? `There are ${facts.count} joists.` : (at['v.at'].value === 'mark' ? 'Say how far out the mark is.' : 'Say which joist, and where on it. The beam counts once its pin has its near face.'));
      return;
    }
    const pm = html('span', { class: 'pm' }, `± ${at['v.pm'].value.trim() || '3/8″'}`), bold = (text) => html('b', {}, text);
    result.replaceChildren(bold(`x ${typeset(place.x)}`), ' ', pm, ' · ', bold(`y ${typeset(place.y)}`), ' ', pm.cloneNode(true), html('br'),
      html('span', { class: 'small soft' }, facts.words + (spare ? `. ${spare}` : '')));
  }
}

/** References are those of the page's photo: what one was like before, and the way to the next. */
export class References {
  constructor(editor) { this.editor = editor; }

  /** all are the pins of the page's photo; words names them. */
  all() { return this.editor.pins.list(); }

  words() { return this.editor.words; }

  /** last is the reference that was named by the structure before this one. */
  last(id) { return this.editor.pins.list().findLast((p) => p.kind === 'reference' && p.id !== id && p.values?.joist); }

  /** spare is the sentence that asks for one more; empty when the photo is checked. */
  spare() { return this.editor.find('geometry').dataset.spare; }

  /** next saves a reference and waits for the tap on the next one. */
  next(id) {
    const { editor } = this;
    editor.save(id);
    if (editor.form.form.querySelector('.bad')) return;
    editor.choose(null, false);
    editor.placing.again('reference');
    editor.stage.el.scrollIntoView({ block: 'nearest' });
  }
}
