// The walk list: ready answers fill the field they stand for, each answer is kept on this phone as soon as it is given, and photos are taken into slots.

import { outbox } from '../offline/outbox.js';
import { Slots } from './slots.js';

const NEXT = 'walk.next'; // the question to open after a form that was sent without a connection

class Walk {
  constructor(el) {
    Object.assign(this, { el, survey: el.dataset.survey, slots: new Slots(el) });
    for (const form of el.querySelectorAll('form[data-facts]')) this.form(form);
    this.open();
    el.dataset.ready = '';
  }

  // open shows the question that the address names, or the next one when the form before was kept on this phone.
  open() {
    let id = location.hash.slice(1);
    try {
      if (location.search === '') id ||= sessionStorage.getItem(NEXT) ?? '';
      sessionStorage.removeItem(NEXT);
    } catch { /* a browser that keeps nothing opens the list as the server sent it */ }
    const step = id.startsWith('q-') && document.getElementById(id);
    if (!step) return;
    step.open = true;
    step.scrollIntoView();
  }

  form(form) {
    form.addEventListener('change', (e) => this.changed(form, e.target));
    form.addEventListener('submit', () => {
      try {
        sessionStorage.setItem(NEXT, form.dataset.next ?? '');
      } catch { /* as above */ }
    });
  }

  changed(form, control) {
    const ready = control.closest('[data-fills]');
    if (ready) this.choose(document.getElementById(ready.dataset.fills), control.value);
    else if (control.name?.startsWith('f.')) this.keep(form, control.name.slice(2), control.value);
  }

  // choose writes a ready answer into its field; Other leaves the field to be typed.
  choose(input, answer) {
    input.value = answer === 'other' ? '' : answer;
    input.dispatchEvent(new Event('input', { bubbles: true }));
    if (answer === 'other') input.focus();
    else input.dispatchEvent(new Event('change', { bubbles: true }));
  }

  // keep lets an answer wait on this phone and be sent from there. Where the form asks whose answer stands, only the form settles it.
  async keep(form, key, text) {
    const was = form.elements[`was.${key}`];
    if (!was || form.elements[`ask.${key}`]) return;
    await outbox.wish({ kind: 'fact', survey: this.survey, id: key }, text.trim(), was.value, undefined).catch(() => {}); // the form itself still sends it
  }
}

for (const el of document.querySelectorAll('[data-widget="walk"]')) new Walk(el);
