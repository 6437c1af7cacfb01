// Two people changed the same pin: both versions side by side, and the person chooses. Nothing is overwritten before that.

import { html } from './dom.js';

/** moveWords says how far two places of a pin are apart. */
function moveWords(mine, theirs, photo) {
  const d = Math.hypot((mine.x - theirs.x) * photo.width, (mine.y - theirs.y) * photo.height);
  const d2 = Math.hypot(((mine.x2 ?? 0) - (theirs.x2 ?? 0)) * photo.width, ((mine.y2 ?? 0) - (theirs.y2 ?? 0)) * photo.height);
  return Math.max(d, d2) < 0.005 ? null : `${Math.round(Math.max(d, d2) * 10) / 10} px of the photo apart`;
}

/** differences lists what two versions of a pin say differently: [{label, mine, theirs}]. words(pin, key) gives the words of a value. */
export function differences(mine, theirs, photo, fields, words) {
  const rows = [];
  for (const { key, label } of fields) {
    const a = mine.values?.[key] ?? '', b = theirs.values?.[key] ?? '';
    if (a !== b) rows.push({ label, mine: words(mine, key) || 'nothing', theirs: words(theirs, key) || 'nothing' });
  }
  if ((mine.note ?? '') !== (theirs.note ?? '')) rows.push({ label: 'Note', mine: mine.note || 'nothing', theirs: theirs.note || 'nothing' });
  const moved = moveWords(mine, theirs, photo);
  if (moved) rows.push({ label: 'Place', mine: `yours, ${moved}`, theirs: 'theirs' });
  return rows;
}

/** showConflict puts the two versions into place; choose(mine) is called with what the person chose. */
export function showConflict(place, { name, mine, theirs, rows, choose }) {
  const head = html('p', {}, html('span', { class: 'word' }, 'Check.'), ' ', html('b', {}, theirs && mine
    ? `${name} was changed by someone else while you changed it.` : theirs
      ? `You deleted ${name}, but someone else changed it meanwhile.` : `${name} was deleted by someone else while you changed it.`));
  const body = html('p', {}, 'Nothing is overwritten until you choose. Your version stays here until then.');
  const table = html('table', { class: 'tbl versions' },
    html('thead', {}, html('tr', {}, html('th', {}, ''), html('th', {}, 'A · yours'), html('th', {}, 'B · saved meanwhile'))),
    html('tbody', {}, ...rows.map((r) => html('tr', {}, html('th', { scope: 'row' }, r.label), html('td', {}, r.mine), html('td', {}, r.theirs)))));
  const button = (own, text) => {
    const b = html('button', { class: 'btn', type: 'button' }, text);
    b.addEventListener('click', () => choose(own));
    return b;
  };
  const pick = html('div', { class: 'row' }, button(true, mine ? 'Keep A, mine' : 'Delete it'), button(false, theirs ? 'Keep B, theirs' : 'Leave it deleted'));
  const box = html('section', { class: 'caut warn conflict', role: 'alert', tabindex: '-1' }, head, body, ...(rows.length ? [table] : []), pick);
  place.replaceChildren(box);
  return box;
}
