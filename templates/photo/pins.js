// The pins of one photo as they are wanted here and as the server has them, free of the DOM. Every change goes to the outbox at once and is sent from
// there; nothing that was done here is dropped, also when the page is closed. Undo and redo are kept for the session. Events: "change" (detail: id)
// whenever a pin or its state differs, "saved" when the server took something.
//
// States of a pin: saved; sending; waiting (no connection, tried again); invalid (the server named fields); conflict (somebody else changed it);
// refused (the server will not take it, or this phone cannot keep it).

import { samePin as same } from '../offline/same.js';

export { same };

const MERGE = 1500; // ms in which nudges of one pin count as one step of undo
const STEPS = 200; // of undo that are kept

export class Pins extends EventTarget {
  /** @param transport as net.js makes it. */
  constructor(pins, transport) {
    super();
    this.transport = transport;
    this.entries = new Map(pins.map((p) => [p.id, { id: p.id, base: p, want: p, version: p.version, state: 'saved' }]));
    this.keeping = 0; // changes on their way to the disk
    [this.done, this.undone] = this.recall();
    transport.listen({ change: (id, op, cancelled) => this.follow(id, op, cancelled), sent: (answer) => this.take(answer), stuck: () => this.stuck() });
    this.load();
  }

  // load takes over what waits on this phone from before.
  async load() {
    for (const op of await this.transport.waiting().catch(() => [])) this.adopt(op);
  }

  adopt(op) {
    const entry = this.open(op.id);
    Object.assign(entry, { want: op.want, base: entry.base ?? op.base ?? null, version: op.version, state: 'waiting', number: op.number ?? entry.number });
    this.show(entry, op);
  }

  /** list gives the pins that are wanted, by number, those without one last in the order of their making. */
  list() {
    return [...this.entries.values()].filter((e) => e.want).map((e) => e.want)
      .sort((a, b) => (a.number || Infinity) - (b.number || Infinity) || (a.id < b.id ? -1 : 1));
  }

  get(id) { return this.entries.get(id)?.want ?? null; }

  entry(id) { return this.entries.get(id); }

  /** unsent counts the pins whose last change has not arrived. */
  unsent() { return [...this.entries.values()].filter((e) => e.state !== 'saved').length; }

  /** unkept tells whether something is on this page only, not on the phone's disk yet. */
  unkept() { return this.keeping > 0 || [...this.entries.values()].some((e) => e.lost); }

  /** change makes pin the wanted one (null deletes) and remembers how to take it back. Steps with the same key in quick succession count as one. */
  change(id, pin, key = '') {
    const entry = this.open(id);
    if (same(entry.want, pin)) return;
    const last = this.done.at(-1), now = Date.now();
    if (key && last?.key === key && last.id === id && now - last.at < MERGE) Object.assign(last, { after: pin, at: now });
    else this.done.push({ id, before: entry.want, after: pin, key, at: now });
    this.undone = [];
    this.remember();
    this.want(entry, pin);
  }

  undo() { return this.step(this.done, this.undone, 'before'); }

  redo() { return this.step(this.undone, this.done, 'after'); }

  // step takes one change back or makes it again; it gives the pin's id, or null when there is none.
  step(from, to, side) {
    const step = from.pop();
    if (!step) return null;
    to.push(step);
    this.remember();
    const entry = this.open(step.id, (step.before ?? step.after)?.version);
    this.want(entry, step[side] && { ...step[side], number: entry.number ?? step[side].number });
    return step.id;
  }

  recall() {
    try {
      return JSON.parse(sessionStorage.getItem(`undo.${this.transport.photo}`)) ?? [[], []];
    } catch {
      return [[], []];
    }
  }

  remember() {
    try {
      sessionStorage.setItem(`undo.${this.transport.photo}`, JSON.stringify([this.done.slice(-STEPS), this.undone.slice(-STEPS)]));
    } catch { /* undo lasts as long as the page then */ }
  }

  // open finds the entry of a pin, or makes one; entries of deleted pins stay, so that undo can bring them back.
  open(id, version) {
    if (!this.entries.has(id)) this.entries.set(id, { id, base: null, want: null, version, state: 'saved' });
    return this.entries.get(id);
  }

  want(entry, pin) {
    entry.want = pin;
    entry.errors = null;
    if (entry.state !== 'conflict') entry.state = 'sending';
    this.tell(entry.id);
    this.keeping++;
    this.transport.wish(entry.id, pin, entry.base, entry.version).then(() => { entry.lost = false; }, (err) => {
      entry.lost = true;
      const room = err?.name === 'QuotaExceededError';
      Object.assign(entry, { state: 'refused', message: room ? 'Not kept: this phone has no room left. Free some space, then save it again.' : `Not kept: this browser keeps nothing on this phone (${err?.name}).` });
      this.tell(entry.id);
    }).finally(() => { this.keeping--; });
  }

  /** settle ends a conflict: with mine the pin here replaces the newer one that was shown, without it the newer one stands. */
  settle(id, mine) {
    const entry = this.entries.get(id);
    entry.base = entry.theirs;
    entry.state = 'sending';
    if (!mine) entry.want = entry.theirs;
    this.transport.settle(id, mine);
    this.tell(id);
  }

  /** retry sends everything that waits. */
  retry() { this.transport.retry(); }

  // follow takes over what became of an op: here, on another page, or in the background.
  follow(id, op, cancelled) {
    const entry = this.entries.get(id);
    if (op && (entry ? entry.state === 'saved' && !same(entry.want, op.want) : op.photo === this.transport.photo)) this.adopt(op); // another page's
    else if (entry && op) this.show(entry, op);
    else if (entry && cancelled) this.saved(entry, entry.base);
    else if (entry?.state === 'sending' && same(entry.want, entry.base)) this.saved(entry, entry.base); // taken back before it was sent
  }

  show(entry, op) {
    if (op.state === 'conflict') Object.assign(entry, { state: 'conflict', theirs: op.theirs, message: op.message });
    else if (op.state === 'invalid') Object.assign(entry, { state: 'invalid', errors: op.errors ?? {}, message: op.message });
    else if (op.state === 'refused') Object.assign(entry, { state: 'refused', message: op.message });
    else if (op.tries > 0) entry.state = 'waiting';
    this.tell(entry.id);
  }

  // take deals with the server's answer to the version that was sent.
  take({ id, want, body, left, settled }) {
    const entry = this.entries.get(id);
    if (!entry) return;
    const stored = want && { ...want, ...body };
    entry.base = stored;
    if (body) Object.assign(entry, { version: body.version, number: body.number }); // a deleted pin keeps its version: put with it, the pin comes back
    this.dispatchEvent(new CustomEvent('saved', { detail: id }));
    if (settled || (!left && same(entry.want, want))) this.saved(entry, stored);
    else if (entry.want) entry.want = { ...entry.want, number: entry.number };
    this.tell(id);
  }

  saved(entry, stored) {
    Object.assign(entry, { want: stored, state: 'saved', errors: null, theirs: null });
    this.tell(entry.id);
  }

  stuck() {
    for (const entry of this.entries.values()) {
      if (entry.state !== 'sending') continue;
      entry.state = 'waiting';
      this.tell(entry.id);
    }
  }

  tell(id) { this.dispatchEvent(new CustomEvent('change', { detail: id })); }
}
