// What the server says about the pins after a change: the list in words, and in the form how texts were read and what the ceiling does.

import { onScreen, steady } from './dom.js';
import { page } from './net.js';

const PAUSE = 250; // ms, so that a burst of changes asks once

export class News {
  constructor(editor) { this.editor = editor; }

  /** later asks soon. */
  later() {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.ask(), PAUSE);
  }

  async ask() {
    if ('here' in this.editor.el.dataset) return; // a photo that waits on this phone: the server knows nothing of it
    const { editor } = this, id = editor.layer.selected, known = id && editor.pins.entry(id)?.version;
    let fresh;
    try {
      fresh = await page(`${location.pathname}?part=side${known ? `&pin=${id}` : ''}`);
    } catch {
      return; // the pins themselves say when nothing arrives
    }
    const ask = editor.conflicts.asking(), next = editor.form.next(), row = editor.form.sent ? editor.list.seen() : undefined; // what a finger may be about to press
    const under = [ask, next].find((el) => el && onScreen(el));
    steady(() => under ?? (row && editor.list.row(row)), () => this.take(fresh, known && editor.layer.selected === id));
  }

  // take shows what the server says; of the form only when it is still the same pin's.
  take(fresh, same) {
    const { editor } = this;
    const [list, form, cautions] = ['list', 'form', 'cautions'].map((part) => fresh.querySelector(`[data-part="${part}"]`));
    if (list) editor.list.freshen(list);
    editor.ceiling.freshen(fresh);
    if (cautions) editor.find('cautions').replaceChildren(...cautions.childNodes);
    if (form && same) editor.form.freshen(form);
    editor.refresh();
  }
}
