// Sends what waits, one after another, on one page at a time. Small things first, photos in the order in which they
// were taken, nothing before what it belongs to.

import { Later, NoConnection, SignedOut, deliver, deliverFacts } from './deliver.js';
import { outbox } from './outbox.js';
import { turn } from './turn.js';

const RETRY = [1000, 2000, 5000, 10000, 30000];
const TRIES = 8; // answers of a failing server after which an op no longer holds up the ones after it

// ready gives the ops that wait for nothing but a connection: not for their survey, nor for the photo that they are on or name.
function ready(ops) {
  const surveys = new Set(ops.filter((o) => o.kind === 'survey' && o.create).map((o) => o.survey)), photos = new Set(ops.filter((o) => o.kind === 'photo').map((o) => o.id));
  return ops.filter((o) => o.state === 'waiting' && (o.kind === 'survey' || !surveys.has(o.survey)) && !photos.has(o.kind === 'pin' ? o.photo : o.kind === 'fact' && o.want));
}

/** next chooses what is sent now; not names the ops that are left for later. */
export function next(ops, not = new Set()) {
  const waiting = ready(ops), small = waiting.find((o) => o.kind !== 'photo' && !not.has(o.key));
  if (small) return small;
  const behind = new Set();
  for (const o of waiting) {
    if (o.kind !== 'photo' || behind.has(o.survey)) continue;
    if (!not.has(o.key)) return o;
    behind.add(o.survey);
  }
  return null;
}

export class Sender {
  constructor() {
    Object.assign(this, { running: false, asked: false, fails: 0 });
  }

  /** start sends now, and whenever there is something new or a connection again. */
  start() {
    outbox.addEventListener('wake', () => this.wake());
    addEventListener('online', () => this.wake());
    addEventListener('pageshow', (e) => { if (e.persisted) this.wake(); });
    document.addEventListener('visibilitychange', () => { if (!document.hidden) this.wake(); });
    this.wake();
  }

  /** once sends what waits and is rejected when something is left for later. */
  async once() {
    const all = await turn.take(() => this.drain());
    clearTimeout(this.timer);
    if (!all) throw new Error('something is left for later');
  }

  /** wake sends what waits, at once. */
  async wake() {
    clearTimeout(this.timer);
    this.asked = true;
    if (this.running) return;
    this.running = true;
    try {
      while (this.asked) {
        this.asked = false;
        await turn.take(() => this.drain());
      }
    } finally {
      this.running = false;
    }
  }

  // drain sends until nothing is left that can be sent now, and comes back later for the rest.
  async drain() {
    const not = new Set();
    try {
      for (let op = next(await outbox.list(), not); op; op = next(await outbox.list(), not)) {
        try {
          await this.send(op);
          this.fails = 0;
        } catch (err) {
          if (!(err instanceof Later)) throw err;
          not.add(op.key);
          await outbox.change(op.key, (now) => now && { ...now, tries: (now.tries ?? 0) + 1, message: err.message, state: now.tries >= TRIES ? 'refused' : now.state });
        }
      }
    } catch (err) {
      not.add('');
      outbox.tell('stuck', { signedOut: err instanceof SignedOut });
      if (!(err instanceof NoConnection)) throw err;
    } finally {
      if (not.size > 0) this.timer = setTimeout(() => this.wake(), RETRY[Math.min(this.fails++, RETRY.length - 1)]);
    }
    return not.size === 0;
  }

  async send(op) {
    if (op.kind !== 'fact') {
      await this.take(op, await deliver(op));
      return;
    }
    const together = ready(await outbox.list()).filter((o) => o.kind === 'fact' && o.survey === op.survey);
    if (together.length === 0) return; // they are not there any more
    const answers = await deliverFacts(together);
    for (const one of together) if (answers.has(one.key)) await this.take(one, answers.get(one.key));
  }

  async take(op, answer) {
    if ('done' in answer) await outbox.arrived(op, answer.done);
    else if (answer.clash) await outbox.clash(op, answer.clash);
    else if (answer.stop) await outbox.stop(op, ...answer.stop);
  }
}
