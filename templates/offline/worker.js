// The service worker: pages, pictures and static files while there is no connection, forms that were sent without one, and sending in the background
// where the browser has that. It never keeps answers of /api, and changes nothing by itself.

import { caught } from './formcatch.js';
import { outbox } from './outbox.js';
import { clean, empty, file, forget, fromNetwork, install, opened, picture } from './pagecache.js';
import { Sender } from './sender.js';
import { begun, fill, known, shellOf } from './shells.js';

const PICTURE = /^\/surveys\/[0-9a-f-]{36}\/photos\/([0-9a-f-]{36})\/(screen|thumb)\.jpg$/;
const HERE = 'phone'; // the version of a picture that was made on this phone

addEventListener('install', (event) => event.waitUntil(install().then(() => skipWaiting())));
addEventListener('activate', (event) => event.waitUntil(clean().then(() => clients.claim())));
addEventListener('sync', (event) => event.waitUntil(new Sender().once()));

addEventListener('fetch', (event) => {
  const { request } = event, url = new URL(request.url);
  if (url.origin !== location.origin || url.pathname.startsWith('/api/')) return;
  if (request.mode === 'navigate' && request.method === 'POST') event.respondWith(form(event, url));
  else if (request.method !== 'GET') return;
  else if (url.pathname.startsWith('/static/')) event.respondWith(file(request));
  else if (PICTURE.test(url.pathname)) event.respondWith(pictureOf(event, url));
  else if (request.mode === 'navigate') event.respondWith(page(event, url));
});

// page: the network first; without it the copy that was kept, then the empty page of that kind. What waits here is not on the server yet.
async function page(event, url) {
  const shell = shellOf(url.pathname);
  if (url.pathname === '/signin' && url.searchParams.has('out')) await forget(); // where signing out leads
  let answer = null;
  try {
    answer = await fromNetwork(event, url);
  } catch {
    const copy = await opened(url.pathname);
    if (copy) return copy;
  }
  if (answer && !(answer.status === 404 && shell?.survey && (await known(shell)))) return answer;
  const use = shell && ((await known(shell)) || (await begun(shell)));
  return (use && (await empty(shell.name, (text) => fill(text, shell)))) || ((await empty('offline')) ?? Response.error());
}

// form: a form that cannot be sent now is kept, if it says something about a survey; else the page says that nothing was sent.
async function form(event, url) {
  const copy = event.request.clone();
  try {
    return await fetch(event.request);
  } catch {
    const from = new URL(event.request.referrer || url.href), to = await copy.formData().then((data) => caught(url.pathname, data, from.pathname)).catch(() => null);
    if (to) return Response.redirect(to, 303);
    return (await empty('unsent', undefined, 503)) ?? Response.error();
  }
}

async function pictureOf(event, url) {
  const [, photo, size] = PICTURE.exec(url.pathname);
  const mine = async () => {
    const bytes = await outbox.picture(photo, size);
    return bytes && new Response(bytes, { headers: { 'Content-Type': 'image/jpeg', 'Cache-Control': 'no-store' } });
  };
  if (url.searchParams.get('v') === HERE) return (await mine()) ?? fetch(url.pathname);
  const answer = await picture(event, url);
  return answer?.ok ? answer : (await mine()) ?? answer ?? Response.error();
}
