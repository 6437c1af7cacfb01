// Whose turn it is to send: one page or the worker at a time. Sending twice is harmless, so a lock that does not work only costs time.

import { outbox } from './outbox.js';

const LOCK = 'undercroft-send';
const LOOK = 3000; // ms after which whoever waits looks whether anybody has the lock at all: browsers have been seen to leave it with nobody
const SILENT = 45000; // ms that whoever has it may say nothing, longer than any request takes: it may belong to a page that the browser has put to sleep

class Turn {
  constructor() {
    Object.assign(this, { heard: 0, left: false, place: null });
    for (const event of ['progress', 'sent', 'stuck']) outbox.addEventListener(event, () => { this.heard = Date.now(); });
    addEventListener('pagehide', () => this.leave());
    addEventListener('pageshow', () => { this.left = false; });
  }

  // leave gives up the place in the queue: a page that was left may be kept asleep, and all would wait behind it.
  leave() {
    this.left = true;
    this.place?.abort();
  }

  /** take does the work when nobody else is at it and gives its result; undefined, and nothing done, when the page is left before. */
  async take(work) {
    if (!navigator.locks) return work();
    this.heard = Date.now();
    for (;;) {
      let begun = false;
      const place = new AbortController(), look = setTimeout(() => place.abort(), LOOK);
      this.place = place;
      try {
        return await navigator.locks.request(LOCK, { signal: place.signal }, () => {
          begun = true;
          clearTimeout(look);
          return work();
        });
      } catch (err) {
        if (begun) throw err;
        if (!place.signal.aborted && !this.left) return work(); // there is no lock to be had here
      } finally {
        clearTimeout(look);
      }
      if (this.left) return undefined;
      const { held } = await navigator.locks.query();
      if (!held.some(({ name }) => name === LOCK) || Date.now() - this.heard > SILENT) return work();
    }
  }
}

/** turn is this page's place among those that send. */
export const turn = new Turn();
