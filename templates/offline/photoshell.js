// A photo that waits on this phone: the empty photo page is given its picture's size, then the editor starts. Its pins come from the outbox.

import { set } from '../photo/dom.js';
import { outbox } from './outbox.js';

/** size gives the page the upright picture's size, in px of the original. */
function size(el, { width, height }) {
  Object.assign(el.dataset, { width, height });
  for (const picture of el.querySelectorAll('.view img, .mag image')) {
    set(picture, 'width', width);
    set(picture, 'height', height);
  }
  for (const layer of el.querySelectorAll('.view > svg[viewBox]')) set(layer, 'viewBox', `0 0 ${width} ${height}`);
}

async function open(el) {
  const op = await outbox.get(`photo:${el.dataset.photo}`), about = el.querySelector('[data-part="here"]');
  for (const words of document.querySelectorAll('[data-part="herename"]')) words.textContent = op?.name ?? '';
  if (!op?.shown) {
    about.textContent = op ? 'This browser cannot open this picture. It is kept and sent as it is; pins can be placed once the server has it.' : 'This photo is not on this phone, and the server cannot be reached.';
    el.querySelector('.canvas').hidden = true;
    return;
  }
  size(el, op);
  el.querySelector('[data-part="list"] .aside').hidden = true; // how many of the survey's pins these are is known to the server only
  outbox.addEventListener('sent', (e) => {
    if (e.detail.key !== op.key) return;
    about.textContent = 'This photo has arrived. Open the page again to see what the server makes of it.';
    delete el.dataset.here;
  });
  Object.assign(el.dataset, { widget: 'photo', here: '' });
  await import('../photo/photo.js');
}

for (const el of document.querySelectorAll('[data-widget="photo-shell"]')) open(el);
