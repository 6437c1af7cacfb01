// Photo slots: a photo is taken straight into its slot, kept on this phone, and named by its id in the slot's fact, so that it stays there with no signal.

import { outbox } from '../offline/outbox.js';
import { html } from '../photo/dom.js';
import { Taking } from '../photos/take.js';
import { sign } from '../offline/sign.js';

export class Slots {
  constructor(el) {
    const { survey, max, maxtext } = el.dataset;
    Object.assign(this, { el, survey, why: '' });
    this.taking = new Taking(survey, Number(max), maxtext, { refused: (_, why) => { this.why = why; } });
    for (const part of el.querySelectorAll('[data-nojs]')) part.hidden = true;
    for (const part of el.querySelectorAll('[data-js]')) part.hidden = false;
    for (const slot of el.querySelectorAll('[data-slot]')) {
      slot.querySelector('input[type="file"]')?.addEventListener('change', (e) => this.take(slot, e.target));
      if (slot.dataset.photo && slot.classList.contains('empty')) this.waits(slot, slot.dataset.photo);
    }
    outbox.addEventListener('sent', (e) => this.sent(e.detail));
    this.start();
  }

  // start shows photos whose slot waits on this phone, too.
  async start() {
    for (const op of await outbox.list().catch(() => [])) {
      const slot = op.kind === 'fact' && op.survey === this.survey && this.el.querySelector(`[data-slot="${CSS.escape(op.id)}"]`);
      if (slot && op.want && slot.classList.contains('empty')) await this.waits(slot, op.want);
    }
  }

  async take(slot, input) {
    const files = [...input.files], label = slot.dataset.label;
    if (files.length === 0) return;
    this.state(slot, 'note', 'being kept');
    const id = await this.taking.add(files);
    input.value = '';
    if (!id) {
      this.state(slot, 'stop', this.why);
      return;
    }
    const form = slot.closest('form'), select = form.querySelector(`select[name="f.${slot.dataset.slot}"]`), was = form.elements[`was.${slot.dataset.slot}`];
    form.querySelector('.offers')?.remove(); // they are of the same slot
    select.append(html('option', { value: id }, `${label}, just taken`));
    select.value = id;
    await outbox.wish({ kind: 'fact', survey: this.survey, id: slot.dataset.slot }, id, was.value, undefined);
    await this.waits(slot, id);
    this.el.querySelector('[data-part="say"]').textContent = `Photo of ${label}: kept on this phone.`;
  }

  // waits shows a photo that has not arrived at the server.
  async waits(slot, id) {
    const op = await outbox.get(`photo:${id}`), sent = this.arrived?.get(id);
    slot.dataset.photo = id;
    if (!op && !sent) return;
    const bytes = op && (await outbox.picture(id, 'thumb'));
    const picture = bytes ? html('img', { src: URL.createObjectURL(new Blob([bytes], { type: 'image/jpeg' })), alt: '' }) : sent ? html('img', { src: sent.thumb, alt: '' }) : '';
    slot.querySelector('.take:not([hidden]) .ph')?.replaceChildren(picture);
    this.fill(slot, id);
    if (sent) this.state(slot, 'fine', `photo ${sent.number}`);
    else this.state(slot, 'note', 'waiting on this phone');
  }

  // fill makes a slot lead to its photo and the next empty one the one to take.
  fill(slot, id) {
    const take = slot.querySelector('.take:not([hidden])');
    if (take) take.replaceWith(html('a', { href: `/surveys/${this.survey}/photos/${id}` }, take.querySelector('.ph'), slot.dataset.label));
    slot.classList.remove('empty', 'due');
    slot.parentElement.querySelector('.slot.empty')?.classList.add('due');
    for (const link of slot.closest('form').querySelectorAll('.wants a[href$="/photos"]')) {
      link.href = `/surveys/${this.survey}/photos/${id}`;
      link.textContent = 'Pin on this photo';
    }
  }

  // sent tells a slot that its photo has arrived.
  sent({ kind, id, body }) {
    if (kind !== 'photo' || !body) return;
    (this.arrived ??= new Map()).set(id, body);
    for (const slot of this.el.querySelectorAll('[data-slot]')) if (slot.dataset.photo === id) this.state(slot, 'fine', `photo ${body.number}`);
  }

  state(slot, weight, words) {
    slot.querySelector('[data-state]').replaceChildren(html('span', { class: `state ${weight}` }, sign(weight), html('span', {}, words)));
  }
}
