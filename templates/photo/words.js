// Pins in words: their names from the list of kinds, their fields and choices from the forms that the server wrote.

import { countOf } from './row.js';

export class Words {
  constructor(el) {
    this.el = el;
    this.forms = new Map([...el.querySelectorAll('template[data-form]')].map((t) => [t.dataset.form, t]));
    this.kinds = new Map([...el.querySelectorAll('[data-kinds] [data-kind]')].map((k) => [k.dataset.kind, { label: k.dataset.label, ends: Number(k.dataset.ends), group: k.closest('[data-kinds]').dataset.kinds }]));
  }

  /** name is what a pin is called: "Hanger 14", or "Hanger" before it has a number. */
  name(pin) {
    const label = this.kinds.get(pin.kind)?.label ?? 'Pin';
    return pin.number ? `${label} ${pin.number}` : label;
  }

  /** say is a pin with its values, as the list has them, for those who do not see it. */
  say(pin) {
    const words = this.el.querySelector(`[data-row="${CSS.escape(pin.id)}"] [data-words]`)?.textContent;
    const n = countOf(pin.values), name = n > 1 ? `${this.name(pin)} ×${n}` : this.name(pin); // as the picture shows it
    return words ? `${name}, ${words}` : name;
  }

  /** fields lists what a kind's form asks: [{key, label}]. */
  fields(kind) {
    const found = new Map();
    for (const el of this.forms.get(kind)?.content.querySelectorAll('[name^="v."]') ?? []) {
      const label = el.closest('.field')?.querySelector('.lab')?.firstChild?.textContent.trim();
      if (!found.has(el.name)) found.set(el.name, { key: el.name.slice(2), label });
    }
    return [...found.values()];
  }

  /** value is what a pin says for a field: the words of a choice, else the text as typed. */
  value(pin, key) {
    const text = pin.values?.[key] ?? '', form = this.forms.get(pin.kind)?.content;
    if (!text || !form) return text;
    const option = form.querySelector(`[name="v.${key}"] option[value="${CSS.escape(text)}"]`) ??
      form.querySelector(`input[type="radio"][name="v.${key}"][value="${CSS.escape(text)}"]`)?.nextElementSibling;
    return option ? option.textContent : text;
  }
}
