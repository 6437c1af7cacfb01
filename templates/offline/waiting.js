// The page of everything that waits on this phone.

import { amount, outbox } from './outbox.js';
import { OpRow } from './row.js';
import { counted } from './strip.js';

class Waiting {
  constructor(el) {
    Object.assign(this, { el, rows: new Map(), labels: new Map([...el.querySelectorAll('[data-label]')].map((d) => [d.dataset.label, d.textContent])) });
    for (const event of ['change', 'sent']) outbox.addEventListener(event, () => this.show());
    outbox.addEventListener('progress', (e) => this.rows.get(e.detail.key)?.progress(e.detail.sent));
    this.find('again').addEventListener('click', () => outbox.tell('wake', {}));
    this.show();
  }

  find(part) { return this.el.querySelector(`[data-part="${part}"]`); }

  async show() {
    const ops = await outbox.list();
    this.ops = ops;
    const wanted = new Set(ops.map((o) => o.key));
    for (const [key, row] of this.rows) {
      if (!wanted.has(key)) {
        row.el.remove();
        this.rows.delete(key);
      }
    }
    for (const op of ops) {
      const row = this.rows.get(op.key);
      if (row && row.op.rev === op.rev && row.op.state === op.state && row.op.message === op.message) continue;
      if (row) row.show(op);
      else this.add(op);
    }
    this.find('none').hidden = ops.length > 0;
    this.find('some').hidden = ops.length === 0;
    const photos = ops.filter((o) => o.kind === 'photo').reduce((n, o) => n + o.total, 0);
    this.find('sum').textContent = ops.length > 0 ? `${counted(ops)}${photos > 0 ? ` · ${amount(photos)}` : ''}` : '';
    this.el.dataset.ready = '';
    this.room();
  }

  // room says how much room the phone leaves, and whether the browser has promised to keep what waits.
  async room() {
    const { quota, usage } = (await navigator.storage?.estimate?.()) ?? {}, kept = await navigator.storage?.persisted?.();
    if (!quota) return;
    const words = kept ? 'The browser has promised to keep what waits.' : 'The browser may remove what waits when the phone runs out of room: send it soon, or add this page to the home screen.';
    this.find('room').textContent = `Room left on this phone for Undercroft: ${amount(quota - usage)}. ${words}`;
  }

  add(op) {
    const row = new OpRow(op, (o) => this.names(o));
    this.rows.set(op.key, row);
    this.find('list').append(row.el);
  }

  label(key, otherwise) { return this.labels.get(key) ?? otherwise; }

  // names says what an op is about.
  names(op) {
    const house = this.ops.find((o) => o.key === `survey:${op.survey}`)?.want?.title, home = `/surveys/${op.survey}`;
    if (op.kind === 'photo') return { title: op.name, detail: house, href: `${home}/photos/${op.id}` };
    if (op.kind === 'survey') return { title: op.create ? `New survey ${op.want.title ?? ''}` : 'Site', detail: op.create ? '' : Object.values(op.want).join(', '), href: home, versions: op.theirs && this.fields(op, (k) => this.label(`site.${k}`, k)) };
    if (op.kind === 'fact') {
      const title = this.label(`fact.${op.id}`, op.id.replaceAll('.', ' '));
      return { title, detail: [op.want || 'cleared', house].filter(Boolean).join(' · '), href: home, versions: [{ label: title, mine: op.want, theirs: op.theirs }] };
    }
    const pin = op.want ?? op.base ?? {}, kind = this.label(`kind.${pin.kind}`, 'Pin');
    return { title: `${kind}${pin.number ? ` ${pin.number}` : ''}${op.want ? '' : ', deleted'}`, detail: house, href: `${home}/photos/${op.photo}`, versions: this.pinVersions(op) };
  }

  fields(op, name) {
    return Object.keys(op.want).filter((k) => op.want[k] !== op.theirs[k]).map((k) => ({ label: name(k), mine: op.want[k], theirs: op.theirs[k] }));
  }

  pinVersions({ want, theirs }) {
    if (!want || !theirs) return [{ label: 'Pin', mine: want ? 'kept' : 'deleted', theirs: theirs ? 'kept, and changed' : 'deleted' }];
    const keys = [...new Set([...Object.keys(want.values ?? {}), ...Object.keys(theirs.values ?? {})])].filter((k) => (want.values?.[k] ?? '') !== (theirs.values?.[k] ?? ''));
    const rows = keys.map((k) => ({ label: this.label(`pin.${want.kind}.${k}`, k), mine: want.values?.[k], theirs: theirs.values?.[k] }));
    if ((want.note ?? '') !== (theirs.note ?? '')) rows.push({ label: 'Note', mine: want.note, theirs: theirs.note });
    const place = (p) => [p.x, p.y, p.x2, p.y2].filter((v) => v != null).map((v) => `${(v * 100).toFixed(2)} %`).join(', ');
    if (place(want) !== place(theirs)) rows.push({ label: 'Place in the picture', mine: place(want), theirs: place(theirs) });
    return rows;
  }
}

for (const el of document.querySelectorAll('[data-widget="waiting"]')) new Waiting(el);
