// A row from joist to joist: one pin for equal things at every joist along the ledger, the beam or the rim. The first answer fills in the ends and who
// stops short at a header; joists are left out by a press each. The server works the places out again when the pin is saved.

import { html } from './dom.js';

/** joistsOf are the numbers in a text like "14, 15", each once, ascending. */
export const joistsOf = (text) => [...new Set((text.match(/\d+/g) ?? []).map(Number))].sort((a, b) => a - b);

/** countOf is how many things a pin stands for: the joists of its row, or its count; 1 where it has none. */
export function countOf({ row_at: at, row_from: from, row_to: to, row_out: out, row_count: count } = {}) {
  if (!at || !from || !to) return Number(count) > 1 ? Number(count) : 1;
  return Math.max(1, Number(to) - Number(from) + 1 - joistsOf(out ?? '').filter((n) => n >= Number(from) && n <= Number(to)).length);
}

const OWN = ['row_from', 'row_to', 'row_out'], ALONE = ['x', 'row_count', 'row_step']; // what says the places of a row by joists, and what says them otherwise
const MOST = 60; // joists that are shown to be left out one by one

export class Row {
  constructor(form) {
    const control = (key) => form.elements[`v.${key}`];
    Object.assign(this, { form, control, facts: JSON.parse(form.dataset.structure), put: {}, at: control('row_at').value });
    this.own = control('row_from').closest('.group');
    this.chips = html('div', { class: 'joists', role: 'group', 'aria-label': 'Joists that have none' });
    this.result = html('p', { class: 'result', role: 'status' });
    for (const key of ['row_from', 'row_to']) this.stepper(control(key));
    this.out = control('row_out').closest('.field');
    this.out.querySelector('.lab').after(this.chips);
    this.own.querySelector('.stack').append(this.result);
    form.addEventListener('input', (e) => { if (e.target.name?.startsWith('v.')) this.changed(); });
    this.show();
  }

  stepper(input) {
    const step = (by, label, face) => {
      const button = html('button', { type: 'button', 'aria-label': label }, face);
      button.addEventListener('click', () => this.write(input, Math.max(1, Math.min(this.facts.count || 1000, (Number(input.value) || 0) + by))));
      return button;
    };
    input.addEventListener('click', () => input.select()); // digits begin anew
    const box = html('div', { class: 'stepper' }, step(-1, 'One joist to the right', '−'), step(1, 'One joist to the left', '+'));
    input.before(box);
    box.firstElementChild.after(input);
  }

  write(input, text) {
    input.value = text;
    input.dispatchEvent(new Event('input', { bubbles: true }));
  }

  // changed puts what says the places in the other way aside when the row is said or taken back, and brings back what was put aside before.
  changed() {
    const at = this.control('row_at').value, was = this.at;
    if (at !== was) {
      this.at = at;
      if (!at || !was) {
        this.swap(at ? ALONE : OWN, at ? OWN : ALONE);
        if (at && !this.control('row_from').value && !this.control('row_to').value && this.facts.count) this.everyJoist(at);
      }
    }
    this.show();
  }

  swap(away, back) {
    for (const key of away) {
      this.put[key] = this.control(key).value;
      this.control(key).value = '';
    }
    for (const key of back) if (this.put[key]) this.control(key).value = this.put[key];
  }

  everyJoist(at) {
    this.control('row_from').value = 1;
    this.control('row_to').value = this.facts.count;
    this.control('row_out').value = (this.facts.stops?.[at] ?? []).join(', ');
  }

  show() {
    const row = this.at !== '', from = Number(this.control('row_from').value), to = Number(this.control('row_to').value), left = joistsOf(this.control('row_out').value);
    this.own.hidden = !row;
    if (row && this.own.tagName === 'DETAILS') this.own.open = true;
    this.control('row_count').closest('.group').hidden = row;
    this.control('x').closest('.field').hidden = row;
    if (!this.control('pm').value) this.control('pm').closest('.field').querySelector('.say').textContent = `assumed ${row ? '3/8' : '1/8'}″ until it is said`;
    const many = from >= 1 && to >= from && to - from < MOST;
    this.control('row_out').hidden = many;
    this.chips.hidden = !many;
    if (row && many) this.showJoists(from, to, left);
    const n = countOf({ row_at: this.at, row_from: from, row_to: to, row_out: left.join(' ') }), bold = (text) => html('b', {}, text);
    if (!this.facts.count) this.result.textContent = this.facts.why;
    else if (!from || !to || to < from) this.result.textContent = 'Say the first and the last joist, counted from the right end facing the house.';
    else if (to > this.facts.count) this.result.textContent = `There are ${this.facts.count} joists.`;
    else if (this.facts.at?.[this.at] === undefined) this.result.textContent = 'The beam counts once its pin has its near face.';
    else this.result.replaceChildren(bold(`One pin, ${n} of them.`), ` Each stands at its joist ± ${this.control('pm').value.trim() || '3/8'}″.`, html('br'), html('span', { class: 'small soft' }, `from ${this.facts.words}`));
  }

  // showJoists shows every joist of the row, those that are left out struck through. Buttons are kept while a finger may be on them.
  showJoists(from, to, left) {
    const old = [...this.chips.children];
    if (old.length !== to - from + 1 || old[0]?.textContent !== String(from)) {
      this.chips.replaceChildren(...Array.from({ length: to - from + 1 }, (_, i) => {
        const button = html('button', { type: 'button', class: 'joist' }, String(from + i));
        button.addEventListener('click', () => this.leave(from + i));
        return button;
      }));
    }
    for (const button of this.chips.children) {
      const out = left.includes(Number(button.textContent));
      button.setAttribute('aria-pressed', String(out));
      button.setAttribute('aria-label', `Joist ${button.textContent} has none`);
    }
  }

  leave(joist) {
    const left = joistsOf(this.control('row_out').value), rest = left.filter((n) => n !== joist);
    this.write(this.control('row_out'), (rest.length < left.length ? rest : joistsOf([...left, joist].join(' '))).join(', '));
  }
}
