// Forms that were sent while there was no connection: what they say about a survey goes to the outbox, and the browser goes on as if it had been
// saved. Works for every form whose fields are named as survey/web/form.go reads them: f.KEY, the saved text it was made from in was.KEY.

import { outbox } from './outbox.js';

const FORM = /^\/surveys(?:\/([0-9a-f-]{36})\/([a-z]+))?$/;
const UUID = /^[0-9a-f-]{36}$/;

/**
 * typed gives the fields that a form changed: [{key, want, base}], null when the form is of another sort: its fields do not say what they were made from. A
 * choice between one's own and another person's text is followed.
 */
function typed(form) {
  const fields = [];
  for (const [name, value] of form) {
    if (!name.startsWith('f.')) continue;
    if (!form.has(`was.${name.slice(2)}`)) return null;
    const key = name.slice(2), want = String(value).replaceAll('\r\n', '\n').trim(), base = String(form.get(`was.${key}`) ?? '').replaceAll('\r\n', '\n').trim();
    if (form.has(`ask.${key}`) ? form.get(`pick.${key}`) === 'mine' : want !== base) fields.push({ key, want, base });
  }
  return fields;
}

const record = (fields, side) => Object.fromEntries(fields.map((f) => [f.key, f[side]]));

/**
 * caught keeps what a form says and gives the address to go on to; null when this form cannot be kept. path is where it was sent, from the
 * page it stood on.
 */
export async function caught(path, form, from) {
  const [fits, survey, part] = FORM.exec(path) ?? [];
  if (!fits) return null;
  if (!survey) {
    const id = String(form.get('id'));
    if (!UUID.test(id)) return null;
    const want = Object.fromEntries([...form].filter(([name]) => name.startsWith('f.')).map(([name, value]) => [name.slice(2), String(value).trim()]));
    await outbox.wish({ kind: 'survey', survey: id, id, create: true }, want, null, 0);
    return `/surveys/${id}/walk`;
  }
  const fields = typed(form);
  if (!fields || form.has('settle') || ![...form.keys()].some((name) => name.startsWith('f.'))) return null; // a choice between two sources is made of what the server knows
  if (part === 'site') await site(survey, fields);
  else for (const f of fields) await outbox.wish({ kind: 'fact', survey, id: f.key }, f.want, f.base, undefined);
  return from;
}

/** site changes what waits about a survey's site. Fields that wait already keep what they were made from. */
async function site(survey, fields) {
  if (fields.length === 0) return;
  const now = await outbox.get(`survey:${survey}`);
  const want = { ...now?.want, ...record(fields, 'want') }, base = now?.create ? null : { ...record(fields, 'base'), ...now?.base };
  await outbox.wish({ kind: 'survey', survey, id: survey, base }, want, base, now?.version);
}
