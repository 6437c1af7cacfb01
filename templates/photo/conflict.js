// Two people changed the same pin: both versions side by side, and the person chooses. Nothing is overwritten before that.

import { html, svg } from './dom.js';

/** moveWords says how far two places of a pin are apart. */
function moveWords(mine, theirs, photo) {
  const d = Math.hypot((mine.x - theirs.x) * photo.width, (mine.y - theirs.y) * photo.height);
  const d2 = Math.hypot(((mine.x2 ?? 0) - (theirs.x2 ?? 0)) * photo.width, ((mine.y2 ?? 0) - (theirs.y2 ?? 0)) * photo.height);
  return Math.max(d, d2) < 0.005 ? null : `${Math.round(Math.max(d, d2) * 10) / 10} px of the photo apart`;
}

/** differences lists what two versions of a pin say differently: [{label, mine, theirs}]. */
function differences(mine, theirs, photo, words) {
  const rows = [];
  for (const { key, label } of words.fields(mine.kind)) {
    const a = mine.values?.[key] ?? '', b = theirs.values?.[key] ?? '';
    if (a !== b) rows.push({ label, mine: words.value(mine, key) || 'nothing', theirs: words.value(theirs, key) || 'nothing' });
  }
  if ((mine.note ?? '') !== (theirs.note ?? '')) rows.push({ label: 'Note', mine: mine.note || 'nothing', theirs: theirs.note || 'nothing' });
  const moved = moveWords(mine, theirs, photo);
  if (moved) rows.push({ label: 'Place', mine: `yours, ${moved}`, theirs: 'theirs' });
  return rows;
}

export class Conflicts {
  /** @param on.settle(entry, mine) is called with what the person chose. */
  constructor(place, words, photo, on) {
    Object.assign(this, { place, words, photo, on, shown: null, queue: [] });
  }

  /** follow shows the conflict of an entry, or keeps it until the one before it is settled; one that was settled on another page is taken away. */
  follow(entry) {
    if (entry.state !== 'conflict') this.drop(entry);
    if (entry.state !== 'conflict' || this.shown === entry || this.queue.includes(entry)) return;
    if (this.shown) this.queue.push(entry);
    else this.show(entry);
  }

  drop(entry) {
    this.queue = this.queue.filter((e) => e !== entry);
    if (this.shown === entry) this.next();
  }

  next() {
    this.place.replaceChildren();
    this.shown = null;
    const next = this.queue.shift();
    if (next) this.show(next);
  }

  /** asking is the row of buttons that a person is asked to choose from, if any. */
  asking() { return this.place.querySelector('.row'); }

  show(entry) {
    this.shown = entry;
    const mine = entry.want, theirs = entry.theirs, name = this.words.name(mine ?? theirs ?? entry.base);
    const rows = mine && theirs ? differences(mine, theirs, this.photo, this.words) : [];
    const box = html('section', { class: 'caut warn conflict', role: 'alert', tabindex: '-1' },
      svg('svg', { class: 'w', viewBox: '0 0 28 28', 'aria-hidden': 'true' }, svg('use', { href: '#w-warn' })),
      html('p', {}, html('span', { class: 'word' }, 'Check.'), ' ', html('b', {}, headWords(name, mine, theirs))),
      html('p', {}, 'Nothing is overwritten until you choose. Your version stays on this phone until then.'),
      ...(rows.length ? [versions(rows)] : []),
      html('div', { class: 'row' }, this.button(entry, true, mine ? 'Keep A, mine' : 'Delete it'), this.button(entry, false, theirs ? 'Keep B, theirs' : 'Leave it deleted')));
    this.place.replaceChildren(box);
    box.scrollIntoView({ block: 'nearest' });
    box.focus({ preventScroll: true });
  }

  button(entry, mine, text) {
    const b = html('button', { class: 'btn', type: 'button' }, text);
    b.addEventListener('click', () => {
      this.next();
      this.on.settle(entry, mine);
    });
    return b;
  }
}

function headWords(name, mine, theirs) {
  if (!mine) return `You deleted ${name}, but someone else changed it meanwhile.`;
  return theirs ? `${name} was changed by someone else while you changed it.` : `${name} was deleted by someone else while you changed it.`;
}

function versions(rows) {
  return html('table', { class: 'tbl versions' },
    html('thead', {}, html('tr', {}, html('th', {}, ''), html('th', {}, 'A · yours'), html('th', {}, 'B · saved meanwhile'))),
    html('tbody', {}, ...rows.map((r) => html('tr', {}, html('th', { scope: 'row' }, r.label), html('td', {}, r.mine), html('td', {}, r.theirs)))));
}
