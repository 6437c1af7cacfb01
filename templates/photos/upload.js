// Sending photos: each as one streamed PUT under an id made here, so that sending again is harmless. Two at a time, in the order in which they
// were chosen. Free of the page: whoever listens shows what happens.

import { uuid7 } from '../part/uuid.js';
import { sendPreview } from './preview.js';

const AT_ONCE = 2;

/** States of a job: waiting, sending, opening (all bytes have left, the server opens the picture), done, failed, cancelled, refused. */
export class Uploads extends EventTarget {
  constructor(base, maxBytes) {
    super();
    Object.assign(this, { base, maxBytes, jobs: [] });
  }

  /** add queues files. One that is empty or too large is refused before a byte is sent. */
  add(files) {
    for (const file of files) {
      const job = { id: uuid7(), file, state: 'waiting', sent: 0, total: file.size, why: '' };
      if (file.size > this.maxBytes) Object.assign(job, { state: 'refused', why: 'too large' });
      else if (file.size === 0) Object.assign(job, { state: 'refused', why: 'empty' });
      this.jobs.push(job);
      this.tell(job);
    }
    this.next();
  }

  /** busy tells whether anything is still to be sent. */
  busy() { return this.jobs.some((j) => ['waiting', 'sending', 'opening', 'failed'].includes(j.state)); }

  cancel(job) {
    if (!['waiting', 'sending', 'failed'].includes(job.state)) return;
    job.request?.abort();
    this.become(job, 'cancelled');
  }

  retry(job) {
    job.sent = 0;
    this.become(job, 'waiting');
  }

  become(job, state, more = {}) {
    Object.assign(job, { state, ...more });
    this.tell(job);
    this.next();
  }

  next() {
    const under = this.jobs.filter((j) => j.state === 'sending' || j.state === 'opening').length;
    for (const job of this.jobs.filter((j) => j.state === 'waiting').slice(0, Math.max(0, AT_ONCE - under))) this.send(job);
  }

  // send uses XMLHttpRequest because fetch cannot count the bytes that have left.
  send(job) {
    const request = new XMLHttpRequest();
    Object.assign(job, { request, state: 'sending', sent: 0 });
    request.open('PUT', this.base + job.id);
    request.setRequestHeader('X-Photo-Name', encodeURIComponent(job.file.name));
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    request.responseType = 'json';
    request.upload.addEventListener('progress', (e) => {
      job.sent = Math.min(e.loaded, job.total);
      this.tell(job);
    });
    request.upload.addEventListener('load', () => {
      if (job.state === 'sending') Object.assign(job, { state: 'opening', sent: job.total });
      this.tell(job);
    });
    request.addEventListener('load', () => this.answered(job, request.status, request.response));
    request.addEventListener('error', () => this.become(job, 'failed', { why: 'The connection broke. Nothing is lost: the photo is still on this phone.' }));
    request.send(job.file);
    this.tell(job);
  }

  answered(job, status, answer) {
    if ((status === 200 || status === 201) && !answer.shown) this.preview(job, answer);
    else if (status === 200 || status === 201) this.become(job, 'done', { photo: answer });
    else if (status === 413 || status === 422 || status === 404) this.become(job, 'refused', { why: answer?.detail ?? `The server answered ${status}.` });
    else this.become(job, 'failed', { why: answer?.detail ?? `The server answered ${status}.` });
  }

  // preview: the photo is safe, but the server cannot show it; perhaps this browser can.
  async preview(job, answer) {
    this.become(job, 'done', { photo: (await sendPreview(this.base + job.id, job.file)) ?? answer });
  }

  tell(job) { this.dispatchEvent(new CustomEvent('change', { detail: job })); }
}
