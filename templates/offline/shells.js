// Pages that the server cannot send now, or does not know yet: the empty page of that kind, kept on the phone, with the address's own ids in it.

import { uuid7 } from '../part/uuid.js';
import { outbox } from './outbox.js';

// What stands for the ids and the name in the empty pages; survey/web/shell.go writes the same.
const SURVEY = '00000000-0000-7000-8000-00000000a001', PHOTO = '00000000-0000-7000-8000-00000000b002', HOUSE = 'This survey';

const ID = '([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})';
const KINDS = [
  [/^\/surveys$/, 'surveys'], [/^\/surveys\/new$/, 'newsurvey'], [/^\/waiting$/, 'waiting'],
  [new RegExp(`^/surveys/${ID}$`), 'deck'], [new RegExp(`^/surveys/${ID}/(walk|cover|photos)$`), null], [new RegExp(`^/surveys/${ID}/photos/${ID}$`), 'photo'],
];

/** shellOf names the empty page for a path and the ids in it; null when there is none. */
export function shellOf(path) {
  for (const [pattern, name] of KINDS) {
    const found = pattern.exec(path);
    if (found) return { name: name ?? found[2], survey: found[1], photo: name === 'photo' ? found[2] : undefined };
  }
  return null;
}

const escaped = (text) => text.replace(/[&<>"']/g, (c) => `&#${c.charCodeAt(0)};`);

/** known tells whether the thing that a path names waits on this phone, or is none of the server's. */
export async function known({ survey, photo }) {
  return !survey || Boolean(await outbox.get(photo ? `photo:${photo}` : `survey:${survey}`));
}

/** begun tells whether a survey was begun here, sent since or not: its empty page is better than none. */
export const begun = ({ survey, photo }) => Boolean(survey) && !photo && outbox.knows(`survey:${survey}`);

/** fill writes a page's own ids and name into an empty page. */
export async function fill(html, { survey, photo }) {
  const op = survey && (await outbox.get(`survey:${survey}`));
  let text = html.replaceAll(SURVEY, survey ?? uuid7());
  if (photo) text = text.replaceAll(PHOTO, photo);
  return op?.want?.title ? text.replaceAll(HOUSE, escaped(op.want.title)) : text;
}
