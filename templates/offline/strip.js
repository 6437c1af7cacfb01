// The strip under the title: what waits on this phone, on every page. It also starts what every page needs: the service worker and the sender.

import { html } from '../photo/dom.js';
import { Fields } from './fields.js';
import { SurveysHere } from './here.js';
import { outbox } from './outbox.js';
import { remember } from './pagecache.js';
import { Sender } from './sender.js';
import { sign } from './sign.js';

const KINDS = [['photo', 'photo', 'photos'], ['pin', 'pin', 'pins'], ['fact', 'answer', 'answers'], ['survey', 'survey', 'surveys']];
const COUNT = 'undercroft.waiting'; // how many wait, kept elsewhere than they are, so that it shows when the phone has removed them
const DAY = 86400000, QUICK = 2000; // ms: what is sent within this is not worth a word

/** counted says how many of each kind there are: "3 photos and 5 pins". */
export function counted(ops) {
  const parts = KINDS.map(([kind, one, many]) => [ops.filter((o) => o.kind === kind).length, one, many]).filter(([n]) => n > 0).map(([n, one, many]) => `${n} ${n === 1 ? one : many}`);
  return parts.length > 1 ? `${parts.slice(0, -1).join(', ')} and ${parts.at(-1)}` : parts[0] ?? '';
}

export class WaitStrip {
  constructor(el) {
    this.el = el;
    document.querySelector('.work .canvas, .door')?.append(el); // where it does not push the photo, or the button, from under the finger
    Object.assign(this, { stuck: false, signedOut: false, gone: 0 });
    for (const event of ['change', 'sent', 'stuck']) {
      outbox.addEventListener(event, ({ detail }) => {
        if (event !== 'change') Object.assign(this, { stuck: event === 'stuck', signedOut: event === 'stuck' && (this.signedOut || Boolean(detail.signedOut)) });
        this.later();
      });
    }
    this.arrived = []; // since something waited
    outbox.addEventListener('sent', (e) => { if (['photo', 'survey'].includes(e.detail.kind)) this.arrived.push(e.detail); });
    outbox.addEventListener('wake', () => this.keep());
    addEventListener('online', () => this.later());
    addEventListener('offline', () => this.later());
    this.work();
    this.start();
  }

  async start() {
    try {
      await this.show();
    } catch (err) {
      this.say('warn', `This browser keeps nothing on this phone (${err.name}): stay on a page until it says saved.`);
      return;
    }
    this.fields = new Fields();
    if (location.pathname === '/surveys') this.here = new SurveysHere(document.querySelector('main'));
    new Sender().start();
  }

  // work registers the service worker; without one, pages need a connection, and what waits is still kept.
  work() {
    navigator.serviceWorker?.register('/sw.js', { type: 'module', updateViaCache: 'none' }).catch(() => { this.el.dataset.worker = 'none'; });
  }

  // keep asks the browser not to remove what waits, and to send it in the background where it can.
  async keep() {
    navigator.storage?.persist?.().catch(() => {});
    const registration = await navigator.serviceWorker?.getRegistration();
    await registration?.sync?.register('send').catch(() => {});
  }

  later(pause = 50) {
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.show(), pause);
  }

  async show() {
    const ops = await outbox.list(), before = Number(localStorage.getItem(COUNT) ?? 0);
    if (ops.length === 0 && before > 0 && (await outbox.unused())) this.gone = before; // else it was sent, here or by the worker
    if (ops.length === 0 && this.gone > 0) {
      localStorage.setItem(COUNT, '0');
      this.say('stop', `${this.gone} ${this.gone === 1 ? 'thing' : 'things'} that waited on this phone ${this.gone === 1 ? 'is' : 'are'} gone: the browser has removed what it kept, to make room or because it was told to. Look through the survey and do again what is missing.`);
      return;
    }
    localStorage.setItem(COUNT, String(ops.length));
    this.el.dataset.waiting = String(ops.length);
    if (ops.length === 0) {
      this.el.hidden = true;
      this.el.replaceChildren();
      if (navigator.serviceWorker?.controller) remember(this.arrived.splice(0)).catch(() => {}); // without it a connection is needed
      return;
    }
    const settle = ops.filter((o) => o.state === 'conflict').length, look = ops.filter((o) => ['invalid', 'refused'].includes(o.state)).length;
    const quick = navigator.onLine && !this.stuck && settle + look === 0 && ops.every((o) => Date.now() - o.at < QUICK);
    if (quick && this.el.hidden) {
      this.later(QUICK);
      return;
    }
    const old = ops.some((o) => o.state === 'waiting' && Date.now() - o.at > DAY);
    let words = `${counted(ops)} ${ops.length === 1 ? 'is' : 'are'} waiting on this phone`;
    if (old) words += ', some for more than a day: find a connection';
    if (settle > 0) words += `. ${settle} ${settle === 1 ? 'was' : 'were'} changed by someone else: choose which stands`;
    if (look > 0) words += `. ${look} could not be saved: look again`;
    if (this.signedOut) this.say('warn', `${words}. Nothing of it is lost: sign in again to send it.`, location.pathname !== '/signin' && `/signin?to=${encodeURIComponent(location.pathname)}`, 'Sign in');
    else this.say(settle + look > 0 ? 'warn' : 'note', `${words}.`, location.pathname !== '/waiting' && '/waiting');
  }

  say(weight, words, href = '', link = 'Show') {
    const text = html('span', {}, words);
    this.el.className = `waitstrip ${weight}`;
    this.el.replaceChildren(sign(weight), text, ...(href ? [html('a', { href }, link)] : []));
    this.el.hidden = false;
  }
}
