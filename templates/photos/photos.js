// The photos page: takes photos in, shows what waits of them, and puts each into the grid when the server has it.

import { html } from '../photo/dom.js';
import { outbox } from '../offline/outbox.js';
import { OpRow } from '../offline/row.js';
import { sign } from '../offline/sign.js';
import { Taking } from './take.js';

class Photos {
  constructor(el) {
    const find = (part) => el.querySelector(`[data-part="${part}"]`), { survey, max, maxtext } = el.dataset;
    Object.assign(this, { el, survey, sending: find('sending'), refused: find('refused'), grid: find('grid'), saying: find('say'), rows: new Map() });
    this.taking = new Taking(survey, Number(max), maxtext, { refused: (file, why) => this.refuse(file, why) });
    for (const input of el.querySelectorAll('input[type="file"]')) this.input(input);
    for (const part of el.querySelectorAll('[data-nojs]')) part.hidden = true;
    for (const part of el.querySelectorAll('[data-js]')) part.hidden = false;
    outbox.addEventListener('change', (e) => this.changed(e.detail));
    outbox.addEventListener('sent', (e) => this.sent(e.detail));
    outbox.addEventListener('progress', (e) => this.rows.get(e.detail.key)?.progress(e.detail.sent));
    this.start();
  }

  async start() {
    for (const op of await outbox.list().catch(() => [])) if (op.kind === 'photo' && op.survey === this.survey) this.show(op);
    this.el.dataset.ready = '';
  }

  input(input) {
    input.required = false;
    input.closest('.file').classList.add('btn'); // without script the browser's own control shows what was chosen
    input.addEventListener('change', () => {
      this.refused.replaceChildren();
      this.taking.add([...input.files]);
      input.value = '';
    });
  }

  changed({ key, op }) {
    if (!key.startsWith('photo:')) return;
    if (op?.survey === this.survey) this.show(op);
    else if (!op) this.gone(key);
  }

  show(op) {
    const row = this.rows.get(op.key);
    if (row) {
      row.show(op);
      return;
    }
    this.began();
    const made = new OpRow(op, () => ({ title: op.name, detail: '', href: op.shown && navigator.serviceWorker?.controller ? `/surveys/${op.survey}/photos/${op.id}` : undefined }));
    this.rows.set(op.key, made);
    this.sending.append(made.el);
    this.tell(`${op.name}: kept on this phone. ${this.rows.size} to send.`);
  }

  gone(key) {
    this.rows.get(key)?.el.remove();
    this.rows.delete(key);
  }

  sent({ key, survey, body }) {
    if (!key.startsWith('photo:') || survey !== this.survey || !body) return;
    this.gone(key);
    this.add(body);
    this.tell(`${body.name}: saved. ${this.rows.size} still to send.`);
  }

  // refuse says aloud that a photo was not kept, and why.
  refuse(file, why) {
    const box = html('div', { class: 'caut stop', role: 'alert' }, sign('stop'), html('p', {}, html('span', { class: 'word' }, 'Stop.'), ' ', html('b', {}, file.name)), html('p', {}, why));
    this.refused.append(box);
    box.scrollIntoView({ block: 'nearest' });
  }

  tell(text) { this.saying.textContent = text; }

  began() {
    this.el.querySelector('[data-none]')?.remove();
    this.el.querySelector('[data-add]').textContent = 'Take a photo';
  }

  // add puts a photo into the grid by its number.
  add(photo) {
    if (this.grid.querySelector(`[data-id="${CSS.escape(photo.id)}"]`)) return;
    this.began();
    const li = document.importNode(this.el.querySelector('template[data-shot]').content, true).querySelector('li');
    const [link, img, none, title, words] = ['a', 'img', '.none', 'b', 'small'].map((s) => li.querySelector(s));
    link.href = photo.page;
    Object.assign(link.dataset, { number: photo.number, id: photo.id });
    img.hidden = !photo.shown;
    none.hidden = photo.shown;
    if (photo.shown) img.src = photo.thumb;
    img.alt = `Photo ${photo.number}`;
    title.textContent = String(photo.number);
    words.textContent = photo.shown ? '0 pins' : `kept, cannot be shown: ${photo.problem ?? ''}`;
    const after = [...this.grid.children].find((other) => Number(other.querySelector('b').textContent.split(' ')[0]) > photo.number);
    this.grid.insertBefore(li, after ?? null);
    const n = this.grid.children.length;
    document.querySelector('[data-photos]').textContent = n === 1 ? '1 photo' : `${n} photos`;
  }
}

for (const el of document.querySelectorAll('[data-widget="photos"]')) new Photos(el);
