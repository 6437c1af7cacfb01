// What was done on this phone and has not reached the server: photos, pins, facts and surveys, kept in the phone's database until the server has
// answered. Each thing is one op under its own key, so that changing it again changes what waits and sending it again is harmless.
//
// An op: {key, kind, survey, id, seq, rev, state, want, base, version, tried, …}. want is how it shall be (null: deleted), base what it was made
// from, version the server's one that it replaces, tried what was sent and perhaps arrived without an answer. rev counts changes made here.
// States: waiting; conflict (theirs is what somebody else saved); invalid (the server named fields); refused (the server will not take it).
//
// Events, on every open page: "change" {key, op} (op null: gone), "sent" {key, kind, survey, id, want, body, left}, "progress" {key, sent}, "wake" (something
// is to be sent), "stuck" {signedOut} (there is no connection, or nobody is signed in).

import { ask, range, transact } from './db.js';
import { same } from './same.js';

const CHANNEL = 'undercroft';
const PIECE = 256 * 1024; // bytes of a stored piece, and of one request
const REMEMBERED = 6; // versions sent without an answer that are recognised when they come back

/** amount writes a count of bytes for people. */
export const amount = (n) => (n < 1e6 ? `${Math.ceil(n / 1000)}\u00a0kB` : n < 1e9 ? `${(n / 1e6).toFixed(1)}\u00a0MB` : `${(n / 1e9).toFixed(1)}\u00a0GB`);

export class Outbox extends EventTarget {
  constructor() {
    super();
    this.channel = new BroadcastChannel(CHANNEL);
    this.channel.onmessage = (e) => this.dispatchEvent(new CustomEvent(e.data.type, { detail: e.data.detail }));
  }

  /** tell says something here and on every other page. */
  tell(type, detail) {
    this.dispatchEvent(new CustomEvent(type, { detail }));
    this.channel.postMessage({ type, detail });
  }

  /** list gives the ops in the order in which they were begun. */
  async list() {
    const ops = await transact(['ops'], 'readonly', ({ ops }) => ask(ops.getAll()));
    return ops.sort((a, b) => a.seq - b.seq);
  }

  get(key) { return transact(['ops'], 'readonly', ({ ops }) => ask(ops.get(key))); }

  /** knows tells whether a thing waits here or was sent from here. */
  async knows(key) {
    return transact(['ops', 'notes'], 'readonly', async ({ ops, notes }) => (await ask(ops.getKey(key))) !== undefined || (await ask(notes.getKey(key))) !== undefined);
  }

  /** change replaces one op by what update makes of it and of the note of what was sent last; undefined is none yet, null or undefined as the result removes it. */
  async change(key, update, more = () => {}) {
    const op = await transact(['ops', 'pieces', 'pictures', 'notes'], 'readwrite', async (stores) => {
      const now = await ask(stores.ops.get(key)), next = update(now, now ? null : await ask(stores.notes.get(key))) ?? null;
      if (next) {
        if (!next.seq) Object.assign(next, { seq: await this.count(stores.notes), at: Date.now() });
        stores.ops.put(next);
      } else {
        stores.ops.delete(key);
        if (now?.kind === 'photo') this.drop(stores, now.id);
      }
      await more(stores, next);
      return next;
    });
    this.tell('change', { key, op });
    return op;
  }

  /** unused tells whether nothing was ever kept in this phone's database: it is new, or the browser has removed it. */
  unused() { return transact(['notes'], 'readonly', async ({ notes }) => (await ask(notes.get('seq'))) === undefined); }

  async count(notes) {
    const n = ((await ask(notes.get('seq'))) ?? 0) + 1;
    notes.put(n, 'seq');
    return n;
  }

  drop(stores, photo) {
    stores.pieces.delete(range(photo));
    stores.pictures.delete(photo);
  }

  /** wish says how a pin, a fact or a survey shall be. about is {kind, survey, id, …}; base and version are the server's as far as they are known here. */
  async wish(about, want, base, version) {
    const key = `${about.kind}:${about.kind === 'fact' ? `${about.survey}:` : ''}${about.id}`;
    const op = await this.change(key, (now, note) => {
      const next = { ...this.fresh(key, note, base, version), ...now, ...about, want };
      next.rev++;
      if (next.state !== 'conflict') next.state = 'waiting';
      delete next.errors;
      const nothing = next.state !== 'conflict' && next.tried.length === 0 && same(next.kind, next.base, want);
      return nothing && !next.create ? null : next;
    });
    this.tell('wake', {});
    return op;
  }

  // fresh begins an op. A page may be older than what was sent from here meanwhile: the note of that stands then, and the page's version is known, too.
  fresh(key, note, base, version) {
    const newer = note?.version > (version ?? 0), op = { key, state: 'waiting', rev: 0, tried: [], known: [], base, version };
    if (note) op.known = [note.want, base].filter((v) => v !== null && v !== undefined);
    if (newer) Object.assign(op, { base: note.want, version: note.version });
    return { ...op, restore: op.base === null && op.version > 0 };
  }

  /** photo keeps a photo with what was made of it here. about is {id, survey, name, width, height}; bytes, screen and thumb are ArrayBuffers, the last two may be missing. */
  async photo(about, bytes, screen, thumb) {
    const key = `photo:${about.id}`;
    await this.change(key, () => ({ key, kind: 'photo', state: 'waiting', rev: 1, total: bytes.byteLength, sent: 0, shown: Boolean(screen), ...about }), (stores) => {
      for (let n = 0; n * PIECE < bytes.byteLength; n++) stores.pieces.put(bytes.slice(n * PIECE, (n + 1) * PIECE), [about.id, n]);
      if (screen) stores.pictures.put({ screen, thumb: thumb ?? screen }, about.id);
    });
    const kept = await transact(['pieces'], 'readonly', ({ pieces }) => ask(pieces.count(range(about.id))));
    if (kept !== Math.ceil(bytes.byteLength / PIECE)) throw new Error('The photo could not be read back from this phone.');
    this.tell('wake', {});
  }

  /** piece gives the bytes of a photo from offset on, at most one piece of them; null when they are not there any more. */
  async piece(photo, offset) {
    const n = Math.floor(offset / PIECE), bytes = await transact(['pieces'], 'readonly', ({ pieces }) => ask(pieces.get([photo, n])));
    return bytes?.slice(offset - n * PIECE) ?? null;
  }

  /** picture gives the picture that was made of a photo here, "screen" or "thumb"; null when there is none. */
  async picture(photo, size) {
    return (await transact(['pictures'], 'readonly', ({ pictures }) => ask(pictures.get(photo))))?.[size] ?? null;
  }

  /** trying remembers what is about to be sent. */
  trying(op) {
    return this.change(op.key, (now) => now && { ...now, tried: [...(now.tried ?? []), op.want].slice(-REMEMBERED) });
  }

  /** arrived takes the server's answer to what was sent. What was changed here meanwhile waits on, from the new version. */
  async arrived(op, body) {
    const left = await this.change(op.key, (now) => {
      if (!now || now.rev === op.rev) return null;
      const gone = op.want === null;
      return { ...now, base: gone ? null : op.want, version: body?.version ?? op.version, create: false, number: body?.number ?? now.number, tried: [], restore: gone };
    }, ({ notes }) => { if (op.kind !== 'photo') notes.put({ want: op.want, version: body?.version ?? op.version }, op.key); });
    this.tell('sent', { key: op.key, kind: op.kind, survey: op.survey, id: op.id, want: op.want, body, left: Boolean(left) });
  }

  /** clash deals with another version on the server: one that was sent from here is no other one, all else is shown and waits for a person. */
  clash(op, { theirs, version, message }) {
    if (same(op.kind, theirs, op.want)) return this.arrived(op, theirs ? { ...(op.kind === 'pin' ? theirs : {}), version } : null);
    return this.change(op.key, (now) => {
      if (!now) return null;
      const own = [...(now.tried ?? []), ...(now.known ?? [])].some((t) => same(op.kind, t, theirs)) || same(op.kind, now.base, theirs);
      if (own && version !== op.version) return { ...now, base: theirs, version, create: false, tried: [], restore: theirs === null };
      return { ...now, state: 'conflict', theirs, version, message };
    });
  }

  /** settle ends a conflict: with mine what waits here replaces the version that was shown, without it that one stands. */
  async settle(key, mine) {
    let theirs = null, was = null;
    await this.change(key, (now) => {
      if (!now) return null;
      ({ theirs } = now);
      was = now;
      if (!mine || same(now.kind, now.theirs, now.want)) return null;
      const { theirs: base, message, ...rest } = now;
      return { ...rest, base, state: 'waiting', create: false, tried: [], restore: base === null, rev: now.rev + 1 };
    });
    if (was && !mine) this.tell('sent', { key, kind: was.kind, survey: was.survey, id: was.id, want: theirs, body: theirs && was.kind === 'pin' ? theirs : null, left: false, settled: true });
    this.tell('wake', {});
  }

  /** stop marks an op as one that a person must look at. */
  stop(op, state, message, errors) {
    return this.change(op.key, (now) => now && (now.rev === op.rev ? { ...now, state, message, errors } : now));
  }

  /** again lets an op that was stopped be sent once more. */
  async again(key) {
    await this.change(key, (now) => now && { ...now, state: now.state === 'conflict' ? 'conflict' : 'waiting', tries: 0, message: undefined });
    this.tell('wake', {});
  }

  /** cancel forgets what waits: a photo goes with its pins, a new survey with all that is in it. */
  async cancel(key) {
    const gone = await transact(['ops', 'pieces', 'pictures'], 'readwrite', async (stores) => {
      const all = await ask(stores.ops.getAll()), op = all.find((o) => o.key === key);
      const with_ = all.filter((o) => o.key === key || (op?.kind === 'photo' && o.photo === op.id) || (op?.create && o.survey === op.survey));
      for (const o of with_) {
        stores.ops.delete(o.key);
        if (o.kind === 'photo') this.drop(stores, o.id);
      }
      return with_.map((o) => o.key);
    });
    for (const k of gone) this.tell('change', { key: k, op: null, cancelled: true });
  }
}

/** outbox is this page's way to what waits on the phone. */
export const outbox = new Outbox();
