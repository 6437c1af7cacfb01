// Fields of the forms about a survey whose answer waits on this phone: they show it, and say so.

import { html } from '../photo/dom.js';
import { outbox } from './outbox.js';

const SURVEY = /^\/surveys\/([0-9a-f-]{36})/;
const WORDS = { waiting: ['note', 'waiting on this phone'], conflict: ['warn', 'changed by someone else: choose under Waiting'], invalid: ['stop', 'not saved'], refused: ['stop', 'not saved'] };

export class Fields {
  constructor() {
    this.survey = SURVEY.exec(location.pathname)?.[1];
    const day = document.querySelector('form[action="/surveys"] input[type="date"]'); // a page kept on this phone knows no day
    if (day && !day.value) day.value = new Date(Date.now() - new Date().getTimezoneOffset() * 60000).toISOString().slice(0, 10);
    if (!this.survey) return;
    outbox.addEventListener('change', (e) => { if (e.detail.op) this.show(e.detail.op, false); });
    outbox.addEventListener('sent', (e) => { if (e.detail.survey === this.survey) this.sent(e.detail); });
    this.start();
  }

  async start() {
    document.addEventListener('click', (e) => this.looked(e.target.closest?.('button[name="looked"]')));
    for (const op of await outbox.list()) this.show(op, true);
  }

  // show writes what waits into its fields when the page is opened, and what has become of it at any time.
  show(op, values) {
    if (op.survey !== this.survey) return;
    if (op.kind === 'fact') this.mark(op, op.id, op.want, op.errors?.[op.id], values);
    if (op.kind === 'survey') for (const [key, want] of Object.entries(op.want)) if (op.create ? want !== '' : want !== op.base?.[key]) this.mark(op, key, want, op.errors?.[key], values);
  }

  // looked answers a group's open questions with no before its form is sent, as the server does, so that it works without a connection, too.
  looked(button) {
    for (const el of button?.closest('section')?.querySelectorAll('input[type="radio"][value="no"]') ?? []) {
      if (!button.form.elements[el.name].value) el.checked = true;
    }
  }

  controls(op, key) {
    return [...document.querySelectorAll(`[name="f.${CSS.escape(key)}"]`)].filter((el) => el.form?.getAttribute('action')?.endsWith('/site') === (op.kind === 'survey'));
  }

  mark(op, key, want, problem, values) {
    const found = this.controls(op, key), field = found[0]?.closest('.field');
    if (!field) return;
    if (values) {
      for (const el of found) {
        if (el.type === 'radio') el.checked = el.value === want;
        else if (el.type !== 'hidden') el.value = want;
      }
    }
    const [weight, words] = WORDS[op.state];
    let state = field.querySelector('[data-here]');
    if (!state) field.append(state = html('p', { class: 'small', 'data-here': '' }));
    state.replaceChildren(html('span', { class: `state ${weight}` }, problem ? `${words}: ${problem}` : words));
  }

  sent({ kind, id, want }) {
    const keys = kind === 'fact' ? [id] : kind === 'survey' ? Object.keys(want ?? {}) : [];
    for (const key of keys) {
      const found = this.controls({ kind }, key), state = found[0]?.closest('.field')?.querySelector('[data-here]');
      state?.replaceChildren(html('span', { class: 'state fine' }, 'saved'));
      const was = found[0]?.form?.elements[`was.${key}`];
      if (was && kind === 'fact') was.value = want ?? '';
    }
  }
}
