// How pins reach the server: through the outbox on this phone, which keeps them until the server has answered. And pages of this site as documents.

import { outbox } from '../offline/outbox.js';

const TIMEOUT = 20000;

/** transport keeps the pins of the page's photo; base is "/api/surveys/…/pins/". */
export function transport(base, photo = document.querySelector('[data-photo]')?.dataset.photo) {
  const survey = base.split('/')[3], mine = (d) => d.kind === 'pin' || d.key?.startsWith('pin:');
  return {
    photo,
    /** wish keeps how a pin shall be (null: deleted) until it has arrived. */
    wish: (id, want, base, version) => outbox.wish({ kind: 'pin', survey, id, photo }, want, base, version),
    /** waiting gives what waits for this photo. */
    waiting: async () => (await outbox.list()).filter((op) => op.kind === 'pin' && op.photo === photo),
    settle: (id, mine) => outbox.settle(`pin:${id}`, mine),
    retry: () => outbox.tell('wake', {}),
    /** listen calls on.change(id, op, cancelled), on.sent({id, want, body, left}) and on.stuck(). */
    listen(on) {
      outbox.addEventListener('change', (e) => { if (mine(e.detail)) on.change(e.detail.key.slice(4), e.detail.op, e.detail.cancelled); });
      outbox.addEventListener('sent', (e) => { if (mine(e.detail)) on.sent(e.detail); });
      outbox.addEventListener('stuck', () => on.stuck());
    },
  };
}

/** page fetches a page of this site as a document. */
export async function page(url) {
  const answer = await fetch(url, { signal: AbortSignal.timeout(TIMEOUT) });
  if (!answer.ok) throw new Error(`status ${answer.status}`);
  return new DOMParser().parseFromString(await answer.text(), 'text/html');
}
