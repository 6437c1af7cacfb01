// Taking photos in: each is kept on this phone with a picture made of it, in the order in which they were chosen, before anything is sent.

import { outbox } from '../offline/outbox.js';
import { makeRoom } from '../offline/pagecache.js';
import { uuid7 } from '../part/uuid.js';
import { makePreview } from './preview.js';

export class Taking {
  /** @param on.refused(file, why) is called for a photo that is not kept. */
  constructor(survey, maxBytes, maxText, on) {
    Object.assign(this, { survey, maxBytes, maxText, on, last: Promise.resolve() });
  }

  /** add keeps files, after those that were added before. It gives the id of the last one, undefined when that was not kept. */
  add(files) {
    for (const file of files) this.last = this.last.then(() => this.keep(file));
    return this.last;
  }

  async keep(file) {
    if (file.size > this.maxBytes) return this.on.refused(file, `Not kept: it is more than the ${this.maxText} that are taken.`);
    if (file.size === 0) return this.on.refused(file, 'Not kept: the file is empty.');
    try {
      const bytes = await file.arrayBuffer(), made = (await makePreview(new Blob([bytes], { type: file.type }))) ?? {};
      const id = uuid7();
      const keep = () => outbox.photo({ id, survey: this.survey, name: file.name || 'photo', width: made.width, height: made.height }, bytes, made.screen, made.thumb);
      await keep().catch(async (err) => {
        if (err?.name !== 'QuotaExceededError' || !(await makeRoom())) throw err;
        await keep();
      });
      return id;
    } catch (err) {
      return this.on.refused(file, await this.why(err));
    }
  }

  // why says what went wrong in keeping a photo, and what to do.
  async why(err) {
    if (err?.name === 'QuotaExceededError') {
      const waiting = (await outbox.list().catch(() => [])).filter((o) => o.kind === 'photo').length;
      const send = waiting > 0 ? ` Or find a connection first: ${waiting} ${waiting === 1 ? 'photo is' : 'photos are'} waiting, and each that has been sent makes room.` : '';
      return `Not kept: this phone has no room left. Delete what you do not need on the phone, then take it again.${send}`;
    }
    if (err?.name === 'NotReadableError' || err?.name === 'NotFoundError') return 'Not kept: the phone does not let this file be read any more. Choose it again.';
    return `Not kept: this browser keeps nothing on this phone (${err?.name ?? 'unknown'}). Use a normal window, not a private one.`;
  }
}
