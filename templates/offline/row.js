// One thing that waits on this phone, as a row: what it is, how far it is, and what can be done about it.

import { html } from '../photo/dom.js';
import { amount, outbox } from './outbox.js';
import { sign } from './sign.js';

export class OpRow {
  /** @param names(op) gives {title, detail, href, versions}: versions are the rows {label, mine, theirs} of a conflict. */
  constructor(op, names) {
    Object.assign(this, { op, names });
    this.thumb = html('a', { class: 'mini', tabindex: '-1', 'aria-hidden': 'true' });
    this.title = html('span', { class: 'nm' });
    this.words = html('small', {});
    this.acts = html('span', { class: 'acts' });
    this.bar = html('progress', { 'aria-label': 'Sent' });
    this.two = html('div', { class: 'twoways' });
    this.el = html('li', { 'data-op': op.key }, this.thumb, html('span', { class: 'what' }, this.title, this.words), this.acts, this.bar, this.two);
    this.retry = this.button('Try again', () => outbox.again(this.op.key));
    this.cancel = this.button('Cancel', () => this.ask(true));
    this.acts.append(this.retry, this.cancel);
    this.picture();
    this.show(op);
  }

  button(text, act, style = 'btn') {
    const b = html('button', { class: style, type: 'button' }, text);
    b.addEventListener('click', act);
    return b;
  }

  // picture shows the small picture that was made of a photo here.
  async picture() {
    const bytes = this.op.kind === 'photo' && (await outbox.picture(this.op.id, 'thumb'));
    if (bytes) this.thumb.append(html('img', { src: URL.createObjectURL(new Blob([bytes], { type: 'image/jpeg' })), alt: '', width: 56, height: 42 }));
  }

  /** show brings the row in step with its op. */
  show(op) {
    const { title, detail, href } = this.names(op);
    this.op = { ...op, sent: Math.max(op.sent ?? 0, this.op.sent ?? 0) };
    if (href) this.thumb.href = href;
    this.title.replaceChildren(href ? html('a', { href }, title) : title);
    const stopped = ['refused', 'invalid'].includes(op.state);
    const photo = op.kind === 'photo';
    const how = { waiting: photo ? `waits · ${amount(op.total)}` : 'waits', conflict: 'changed by someone else: choose which stands', invalid: op.message ?? 'could not be read', refused: op.message ?? 'not taken' };
    this.words.className = stopped ? 'stop' : '';
    this.words.replaceChildren(...(stopped ? [sign('stop')] : op.state === 'conflict' ? [sign('warn')] : []), [detail, op.state === 'waiting' && op.message ? `${how.waiting}. ${op.message}` : how[op.state]].filter(Boolean).join(' · '));
    this.bar.hidden = !photo || op.state !== 'waiting';
    this.bar.max = op.total ?? 1;
    this.bar.value = this.op.sent;
    this.retry.hidden = !(stopped || (op.tries ?? 0) > 0) || op.state === 'conflict';
    this.cancel.hidden = op.state === 'conflict';
    this.two.replaceChildren(...(op.state === 'conflict' ? this.versions(op) : []));
  }

  /** progress shows how many bytes have arrived. */
  progress(sent) {
    this.op = { ...this.op, sent };
    this.bar.value = sent;
    if (this.op.state === 'waiting') this.words.textContent = sent >= this.op.total ? `all ${amount(this.op.total)} sent · being opened` : `${amount(sent)} of ${amount(this.op.total)}`;
  }

  // ask makes sure before what exists nowhere else is forgotten.
  ask(open) {
    if (!open) {
      this.two.replaceChildren();
      this.acts.hidden = false;
      this.cancel.focus();
      return;
    }
    const { kind, want, create } = this.op, what = kind === 'photo' ? 'This photo and its pins exist only on this phone.' : create ? 'This survey and all in it exist only on this phone.' : want === null ? 'The pin stays as it is on the server.' : 'What was typed here exists only on this phone.';
    const keep = this.button('Keep it', () => this.ask(false));
    this.two.replaceChildren(html('div', { class: 'caut warn', role: 'alert' }, sign('warn'), html('p', {}, html('span', { class: 'word' }, 'Check.'), ' ', html('b', {}, `${what} Forget it?`)),
      html('div', { class: 'row' }, keep, this.button('Forget it', () => outbox.cancel(this.op.key), 'btn drop push'))));
    this.acts.hidden = true;
    keep.focus();
  }

  // versions shows both versions side by side; nothing is overwritten before one is chosen.
  versions(op) {
    const rows = this.names(op).versions ?? [];
    const table = html('table', { class: 'tbl versions' }, html('thead', {}, html('tr', {}, html('th', {}, ''), html('th', {}, 'A · yours'), html('th', {}, 'B · saved meanwhile'))),
      html('tbody', {}, ...rows.map((r) => html('tr', {}, html('th', { scope: 'row' }, r.label), html('td', {}, r.mine || 'nothing'), html('td', {}, r.theirs || 'nothing')))));
    return [table, html('div', { class: 'row' }, this.button('Keep A, mine', () => outbox.settle(op.key, true)), this.button('Keep B, theirs', () => outbox.settle(op.key, false)))];
  }
}
