// Surveys that were begun on this phone and have not reached the server, above the list of those that have.

import { html } from '../photo/dom.js';
import { outbox } from './outbox.js';
import { OpRow } from './row.js';

export class SurveysHere {
  constructor(main) {
    Object.assign(this, { main, list: html('ol', { class: 'sending' }) });
    this.box = html('section', { class: 'sheet here' }, html('h2', {}, 'On this phone, not sent yet'), this.list);
    outbox.addEventListener('change', (e) => { if (e.detail.key?.startsWith('survey:')) this.show(); });
    this.show();
  }

  async show() {
    const ops = (await outbox.list()).filter((o) => o.kind === 'survey' && o.create);
    this.list.replaceChildren(...ops.map((op) => new OpRow(op, () => ({ title: op.want.title, detail: op.want.address, href: `/surveys/${op.survey}` })).el));
    if (ops.length === 0) this.box.remove();
    else if (!this.box.isConnected) this.main.querySelector('.find')?.after(this.box);
    const none = this.main.querySelector('.empty');
    if (none) none.hidden = ops.length > 0;
  }
}
