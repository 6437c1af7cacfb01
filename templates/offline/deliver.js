// How each kind of op reaches the server. deliver gives {done: body}, {clash: {theirs, version, message}}, {stop: [state, message, errors]} or {again: true}; it
// throws NoConnection when nothing can be sent now, SignedOut when nobody is signed in who could send it, and Later when this op alone cannot.

import { outbox } from './outbox.js';

const TIMEOUT = 10000, LONG = 40000; // ms for one request, and for one with bytes of a photo; a piece takes the latter at 7 kB a second

export class NoConnection extends Error {}
export class SignedOut extends NoConnection {}
export class Later extends Error {}

/** call sends one request and gives {status, body, headers}. An answer that is not the server's own, such as a public network's sign-in page, is no connection. */
async function call(url, options) {
  let answer, body = null;
  try {
    answer = await fetch(url, { ...options, cache: 'no-store', redirect: 'error', signal: AbortSignal.timeout(options.body instanceof ArrayBuffer ? LONG : TIMEOUT), headers: { Accept: 'application/json', ...options.headers } });
    if (answer.headers.get('Content-Type')?.includes('json')) body = await answer.json();
  } catch (err) {
    throw new NoConnection(String(err));
  }
  const { status, headers } = answer;
  if (status === 401) throw new SignedOut(body?.detail ?? 'Nobody is signed in.');
  if (status === 408 || status === 429 || status >= 500) throw new Later(body?.detail ?? `The server answered ${status}.`);
  if (!headers.has('X-Request-Id')) throw new NoConnection('not the server');
  return { status, body, headers };
}

const json = (method, value) => ({ method, headers: { 'Content-Type': 'application/json' }, body: JSON.stringify(value) });

/** rest is what follows from the answers that mean the same for every kind. */
function rest({ status, body }) {
  if (status === 422) return { stop: ['invalid', body?.detail, body?.errors ?? body?.fields ?? {}] };
  return { stop: ['refused', body?.detail ?? `The server answered ${status}.`] };
}

async function pin(op) {
  const url = `/api/surveys/${op.survey}/pins/${op.id}`;
  await outbox.trying(op);
  const query = op.restore ? '?restore=1' : '';
  const answer = op.want ? await call(url + query, json('PUT', { ...op.want, version: op.version ?? 0 })) : await call(`${url}?version=${op.version || 1}`, { method: 'DELETE' });
  const { status, body } = answer;
  if (status === 200 || status === 204 || (status === 404 && !op.want)) return { done: body };
  if (status !== 409) return rest(answer);
  return { clash: { theirs: body?.current && !body.current.deleted ? body.current : null, version: body?.current?.version, message: body?.detail } };
}

/** deliverFacts sends facts of one survey together, all or none; it gives what became of some of them, by key. Those it says nothing about are sent again. */
export async function deliverFacts(ops) {
  for (const op of ops) await outbox.trying(op);
  const facts = ops.map((op) => ({ key: op.id, text: op.want, version: op.version ?? 0 }));
  const answer = await call(`/api/surveys/${ops[0].survey}/facts`, json('PUT', { facts })), { status, body } = answer;
  if (status === 200) return new Map(ops.map((op) => [op.key, { done: body?.facts?.find((f) => f.key === op.id) ?? null }]));
  const some = new Map(), errors = body?.errors ?? body?.fields ?? {};
  for (const op of ops) {
    const current = [body?.current ?? []].flat().find((f) => f.key === op.id);
    if (status === 409 && current) some.set(op.key, { clash: { theirs: current.text ?? '', version: current.version ?? 0, message: body.detail } });
    if (status === 422 && errors[op.id]) some.set(op.key, { stop: ['invalid', errors[op.id], errors] });
  }
  if (some.size === 0 && status === 409) throw new Later(body?.detail); // what differed is the same again by now
  return some.size > 0 ? some : new Map(ops.map((op) => [op.key, rest(answer)]));
}

/** survey creates a survey, or changes those of its fields that were changed here; a field that somebody else changed, too, is a clash. */
async function survey(op) {
  const url = `/api/surveys/${op.survey}`;
  if (op.create) await outbox.trying(op);
  const now = op.create ? null : await call(url, { method: 'GET' });
  if (now && now.status !== 200) return rest(now);
  const stored = now?.body.survey, theirs = stored && Object.fromEntries(Object.keys(op.want).map((k) => [k, stored[k] ?? '']));
  const clashing = stored && Object.keys(op.want).some((k) => op.want[k] !== op.base?.[k] && theirs[k] !== op.base?.[k] && theirs[k] !== op.want[k]);
  if (clashing) return { clash: { theirs, version: stored.version, message: 'Somebody else changed this survey meanwhile.' } };
  const mine = Object.fromEntries(Object.entries(op.want).filter(([k, v]) => op.create || v !== op.base?.[k]));
  const answer = await call(url, json('PUT', { ...stored, ...mine, id: op.survey, version: stored?.version ?? 0 })), { status, body } = answer;
  if (status === 200 || status === 201) return { done: body };
  if (status === 409 && stored) return { again: true };
  if (status !== 409) return rest(answer);
  const current = body?.current ?? {};
  return { clash: { theirs: Object.fromEntries(Object.keys(op.want).map((k) => [k, current[k] ?? ''])), version: current.version, message: body?.detail } };
}

async function sha256(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return btoa(String.fromCharCode(...sum));
}

/** photo sends the pieces that the server does not have, then the picture made here when the server cannot make one. */
async function photo(op) {
  const url = `/api/surveys/${op.survey}/photos/${op.id}`;
  let body = op.body;
  if (!body) {
    const answer = await pieces(op, url);
    if (answer.stop) return answer;
    ({ body } = answer);
    if (!body.shown && op.shown) await outbox.change(op.key, (now) => now && { ...now, body });
  }
  const picture = !body.shown && (await outbox.picture(op.id, 'screen'));
  if (picture) {
    const shown = await call(`${url}/preview`, { method: 'PUT', headers: { 'Content-Type': 'image/jpeg' }, body: picture });
    if (shown.status === 200) ({ body } = shown);
  }
  return { done: body };
}

async function pieces(op, url) {
  const known = op.began ? await call(`${url}/upload`, { method: 'HEAD' }) : null; // what was never begun is not asked for
  if (!known) await outbox.change(op.key, (now) => now && { ...now, began: true });
  let offset = Number(known?.headers.get('Upload-Offset') ?? 0), wrong = 0;
  if (offset >= op.total) offset = 0; // it is complete; its last piece is sent for the answer's sake
  const query = new URLSearchParams({ name: op.name, caption: op.caption ?? '' });
  for (;;) {
    const from = offset, bytes = await outbox.piece(op.id, from);
    if (!bytes) return { stop: ['refused', 'The photo is not on this phone any more: the browser has removed it to make room.'] };
    outbox.tell('progress', { key: op.key, sent: from });
    const answer = await call(`${url}/upload?${query}`, {
      method: 'PATCH', body: bytes,
      headers: { 'Content-Type': 'application/offset+octet-stream', 'Upload-Offset': from, 'Upload-Length': op.total, 'Upload-Checksum': `sha256 ${await sha256(bytes)}` },
    });
    if (answer.status === 200 || answer.status === 201) return { body: answer.body };
    if (answer.status === 204 || answer.status === 409) offset = Number(answer.headers.get('Upload-Offset'));
    else if (answer.status !== 460) return rest(answer);
    if (answer.status !== 204 && ++wrong > 5) throw new Later('The pieces do not arrive as they were sent.');
    if (answer.status === 409 && !answer.headers.has('Upload-Offset')) return rest(answer);
    if (!(await outbox.get(op.key))) return { stop: ['refused', 'cancelled'] };
    outbox.tell('progress', { key: op.key, sent: offset });
  }
}

const KINDS = { pin, survey, photo };

/** deliver sends one op that is not a fact. */
export const deliver = (op) => KINDS[op.kind](op);
