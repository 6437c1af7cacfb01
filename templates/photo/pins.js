// The pins of one photo as they are wanted here and as the server has them, free of the DOM. Every change is sent at once and again until
// it has arrived; nothing that was done here is dropped. Events: "change" (detail: id) whenever a pin or its state differs,
// "saved" when the server took something.
//
// States of a pin: saved; sending; waiting (no connection, tried again); invalid (the server named fields); conflict (somebody else changed it);
// refused (the server will not take it).

const RETRY = [1000, 2000, 5000, 10000, 30000];
const MERGE = 1500; // ms in which nudges of one pin count as one step of undo

/** same tells whether two versions of a pin say the same. */
export function same(a, b) {
  if (!a || !b) return a === b;
  const values = (p) => JSON.stringify(Object.entries(p.values ?? {}).filter(([, v]) => v !== '').sort());
  return a.kind === b.kind && a.x === b.x && a.y === b.y && (a.x2 ?? null) === (b.x2 ?? null) && (a.y2 ?? null) === (b.y2 ?? null) &&
    (a.note ?? '') === (b.note ?? '') && values(a) === values(b);
}

export class Pins extends EventTarget {
  /** @param transport {put(pin, restore), remove(pin)}: promises of {status, body}; a rejection means no connection. */
  constructor(pins, transport) {
    super();
    this.transport = transport;
    this.entries = new Map(pins.map((p) => [p.id, { id: p.id, base: p, want: p, version: p.version, state: 'saved', tries: 0 }]));
    this.undone = [];
    this.done = [];
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

  /** waiting counts those that wait for a connection. */
  waiting() { return [...this.entries.values()].filter((e) => e.state === 'waiting').length; }

  /** change makes pin the wanted one (null deletes) and remembers how to take it back. Steps with the same key in quick succession count as one. */
  change(id, pin, key = '') {
    const entry = this.open(id);
    if (same(entry.want, pin)) return;
    const last = this.done.at(-1), now = Date.now();
    if (key && last?.key === key && last.id === id && now - last.at < MERGE) Object.assign(last, { after: pin, at: now });
    else this.done.push({ id, before: entry.want, after: pin, key, at: now });
    this.undone = [];
    this.want(entry, pin, key ? 300 : 0);
  }

  undo() { return this.step(this.done, this.undone, 'before'); }

  redo() { return this.step(this.undone, this.done, 'after'); }

  // step takes one change back or makes it again; it gives the pin's id, or null when there is none.
  step(from, to, side) {
    const step = from.pop();
    if (!step) return null;
    to.push(step);
    const entry = this.open(step.id);
    this.want(entry, step[side] && { ...step[side], number: entry.number ?? step[side].number }, 0);
    return step.id;
  }

  // open finds the entry of a pin, or makes one; entries of deleted pins stay, so that undo can bring them back.
  open(id) {
    if (!this.entries.has(id)) this.entries.set(id, { id, base: null, want: null, state: 'saved', tries: 0 });
    return this.entries.get(id);
  }

  want(entry, pin, delay) {
    entry.want = pin;
    entry.errors = null;
    if (entry.state !== 'conflict') entry.state = 'sending';
    this.tell(entry.id);
    clearTimeout(entry.timer);
    entry.timer = setTimeout(() => this.send(entry), delay);
  }

  /** settle ends a conflict: with mine the pin here replaces the newer one that was shown, without it the newer one stands. */
  settle(id, mine) {
    const entry = this.entries.get(id);
    entry.base = entry.theirs;
    entry.state = 'sending';
    this.want(entry, mine ? entry.want : entry.theirs, 0);
  }

  /** retry sends everything that waits. */
  retry() {
    for (const entry of this.entries.values()) if (entry.state === 'waiting') this.send(entry);
  }

  async send(entry) {
    clearTimeout(entry.timer);
    if (entry.flying || entry.state === 'conflict') return;
    if (same(entry.base, entry.want)) {
      this.arrived(entry);
      return;
    }
    const sent = entry.want;
    entry.flying = true;
    let answer;
    try {
      answer = sent ? await this.transport.put({ ...sent, version: entry.version ?? 0 }, !entry.base && entry.version > 0) : await this.transport.remove(entry.base);
    } catch {
      answer = { status: 0 };
    }
    entry.flying = false;
    this.take(entry, sent, answer);
  }

  // take deals with the server's answer to the version that was sent.
  take(entry, sent, { status, body }) {
    entry.tries = status === 0 || status >= 500 || status === 429 ? entry.tries + 1 : 0;
    if (status === 200 || status === 204 || (status === 404 && !sent)) {
      entry.base = sent ? body : null;
      if (sent) entry.version = body.version; // a deleted pin keeps its version: put with it, the pin comes back
      if (sent) entry.number = body.number;
      if (entry.want === sent) entry.want = entry.base;
      else if (entry.want && entry.base) entry.want = { ...entry.want, number: entry.number };
      this.dispatchEvent(new CustomEvent('saved', { detail: entry.id }));
      this.send(entry);
    } else if (status === 409) {
      Object.assign(entry, { state: 'conflict', theirs: body?.current?.deleted ? null : body?.current ?? null, version: body?.current?.version, message: body?.detail });
    } else if (status === 422) {
      Object.assign(entry, { state: 'invalid', errors: body?.fields ?? {}, message: body?.detail });
    } else if (entry.tries > 0) {
      entry.state = 'waiting';
      entry.timer = setTimeout(() => this.send(entry), RETRY[Math.min(entry.tries, RETRY.length) - 1]);
    } else {
      Object.assign(entry, { state: 'refused', message: body?.detail ?? `The server answered ${status}.` });
    }
    this.tell(entry.id);
  }

  arrived(entry) {
    Object.assign(entry, { state: 'saved', errors: null, theirs: null, tries: 0 });
    this.tell(entry.id);
  }

  tell(id) { this.dispatchEvent(new CustomEvent('change', { detail: id })); }
}
