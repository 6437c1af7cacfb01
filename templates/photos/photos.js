// The photos page: shows how each chosen photo fares, and puts it into the grid when it has arrived.

import { Uploads } from './upload.js';

/** amount writes a count of bytes for people. */
function amount(n) {
  return n < 1e6 ? `${Math.ceil(n / 1000)} kB` : `${(n / 1e6).toFixed(1)} MB`;
}

/** sign is the sign of a weight. */
function sign(weight) {
  const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg'), use = document.createElementNS('http://www.w3.org/2000/svg', 'use');
  svg.setAttribute('class', 'w');
  svg.setAttribute('viewBox', '0 0 28 28');
  svg.setAttribute('aria-hidden', 'true');
  use.setAttribute('href', `#w-${weight}`);
  svg.append(use);
  return svg;
}

class Photos {
  constructor(el) {
    this.el = el;
    const find = (part) => el.querySelector(`[data-part="${part}"]`);
    Object.assign(this, { sending: find('sending'), grid: find('grid'), saying: find('say'), rows: new Map() });
    this.uploads = new Uploads(el.dataset.base, Number(el.dataset.max));
    this.uploads.addEventListener('change', (e) => this.show(e.detail));
    const input = el.querySelector('input[type="file"]');
    input.required = false;
    input.closest('.file').classList.add('btn', 'main'); // without script the browser's own control shows what was chosen
    input.addEventListener('change', () => {
      this.uploads.add([...input.files]);
      input.value = '';
    });
    for (const part of el.querySelectorAll('[data-nojs]')) part.hidden = true;
    window.addEventListener('beforeunload', (e) => { if (this.uploads.busy()) e.preventDefault(); });
    el.dataset.ready = '';
  }

  row(job) {
    if (!this.rows.has(job)) {
      const li = document.createElement('li'), name = document.createElement('span'), title = document.createElement('span'), words = document.createElement('small');
      const bar = document.createElement('progress'), acts = document.createElement('span');
      title.className = 'nm';
      title.textContent = job.file.name;
      title.style.display = 'block';
      name.append(title, words);
      acts.className = 'acts';
      bar.max = Math.max(1, job.total);
      bar.setAttribute('aria-label', job.file.name);
      const retry = this.button('Try again', () => this.uploads.retry(job)), cancel = this.button('Cancel', () => this.uploads.cancel(job));
      acts.append(retry, cancel);
      li.append(name, acts, bar);
      this.sending.append(li);
      this.rows.set(job, { li, words, bar, retry, cancel });
    }
    return this.rows.get(job);
  }

  button(text, act) {
    const b = document.createElement('button');
    Object.assign(b, { type: 'button', className: 'btn', textContent: text });
    b.addEventListener('click', act);
    return b;
  }

  show(job) {
    const row = this.row(job), { li, words, bar, retry, cancel } = row;
    const say = {
      waiting: `waits its turn · ${amount(job.total)}`, sending: `${amount(job.sent)} of ${amount(job.total)}`,
      opening: `all ${amount(job.total)} sent · being opened`, cancelled: 'cancelled, not sent', failed: job.why, done: 'saved',
      refused: job.why === 'too large' ? `Not sent: ${amount(job.total)} is more than the ${this.el.dataset.maxtext} that are taken.` : job.why === 'empty' ? 'Not sent: the file is empty.' : job.why,
    };
    const stopped = ['refused', 'failed'].includes(job.state);
    words.replaceChildren(...(stopped ? [sign('stop')] : []), say[job.state]);
    words.className = stopped ? 'stop' : '';
    bar.value = job.sent;
    bar.hidden = !['waiting', 'sending', 'opening'].includes(job.state);
    retry.hidden = !['failed', 'cancelled'].includes(job.state);
    cancel.hidden = !['waiting', 'sending', 'failed'].includes(job.state);
    if (job.state === 'done') {
      this.add(job.photo);
      li.remove();
    }
    if (!bar.hidden) return;
    const left = this.uploads.jobs.filter((j) => ['waiting', 'sending', 'opening'].includes(j.state)).length;
    this.saying.textContent = `${job.file.name}: ${say[job.state]}. ${left} still to send.`;
  }

  // add puts a photo into the grid by its number.
  add(photo) {
    this.el.querySelector('[data-none]')?.remove();
    this.el.querySelector('[data-add]').textContent = 'Add photos';
    const li = document.importNode(this.el.querySelector('template[data-shot]').content, true).querySelector('li');
    const [link, img, none, title, words] = ['a', 'img', '.none', 'b', 'small'].map((s) => li.querySelector(s));
    link.href = photo.page;
    link.dataset.number = photo.number;
    img.hidden = !photo.shown;
    none.hidden = photo.shown;
    if (photo.shown) img.src = photo.thumb;
    img.alt = `Photo ${photo.number}`;
    title.textContent = String(photo.number);
    words.textContent = photo.shown ? '0 pins' : `kept, cannot be shown: ${photo.problem ?? ''}`;
    const after = [...this.grid.children].find((other) => Number(other.querySelector('b').textContent.split(' ')[0]) > photo.number);
    this.grid.insertBefore(li, after ?? null);
    const n = this.grid.children.length;
    document.querySelector('[data-photos]').textContent = n === 1 ? '1 photo' : `${n} photos`;
  }
}

for (const el of document.querySelectorAll('[data-widget="photos"]')) new Photos(el);
