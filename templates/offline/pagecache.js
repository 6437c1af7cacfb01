// What the service worker keeps: the shell (all static files and empty pages of this version), the pages that were opened, and pictures up to a bound.

const PAGES = 80, PICTURES = 400; // entries kept
const PATIENCE = 6000; // ms for a page from the network while an older copy is there

// The screens of a survey that are worth having on site; opening one of them fetches the others once.
const SCREENS = ['', '/walk', '/photos', '/cover', '/plan', '/ceiling', '/leave', '/review', '/questions'];

/** version is the hash of the static files that this worker came with. */
export const version = /\/static\/([0-9a-f]+)\//.exec(import.meta.url)?.[1] ?? 'none';

const SHELL = `shell-${version}`, OPENED = `pages-${version}`, PICTURE = 'pictures';

/** install fills the shell, and fetches the pages that an older version has kept anew, since they need this version's files. */
export async function install() {
  const list = await (await fetch('/shell', { cache: 'no-store' })).json();
  if (list.hash !== version) throw new Error('another version is being served');
  const shell = await caches.open(SHELL);
  await shell.addAll([...list.files, ...list.pages]);
  const mine = await caches.open(OPENED);
  for (const name of await caches.keys()) {
    if (!name.startsWith('pages-') || name === OPENED) continue;
    for (const request of await (await caches.open(name)).keys()) await keep(mine, request.url).catch(() => {});
  }
}

/** clean removes what older versions have kept. */
export async function clean() {
  for (const name of await caches.keys()) if (/^(shell|pages)-/.test(name) && name !== SHELL && name !== OPENED) await caches.delete(name);
}

async function keep(cache, url) {
  const answer = await fetch(url, { headers: { Accept: 'text/html' } });
  if (answer.ok && isPage(answer)) await put(cache, url, answer, PAGES);
}

const isPage = (answer) => answer.type === 'basic' && !answer.redirected && answer.headers.get('Content-Type')?.startsWith('text/html') && !answer.headers.has('Content-Disposition');

// put keeps an answer as the newest and lets the oldest go.
async function put(cache, url, answer, most) {
  await cache.delete(url);
  await cache.put(url, answer);
  const keys = await cache.keys();
  for (const old of keys.slice(0, Math.max(0, keys.length - most))) await cache.delete(old);
}

/** file gives a static file. */
export async function file(request) {
  return (await caches.match(request)) ?? fetch(request);
}

/** empty gives an empty page of the shell, its text changed by fill; null when it is not kept. */
export async function empty(name, fill = (text) => text, status = 200) {
  const kept = await (await caches.open(SHELL)).match(`/shell/${name}`);
  if (!kept) return null;
  const headers = new Headers(kept.headers);
  for (const name of ['Content-Length', 'Content-Encoding']) headers.delete(name);
  return new Response(await fill(await kept.text()), { status, headers });
}

/** opened gives the kept copy of a page, whatever its query. */
export async function opened(url) {
  return (await caches.open(OPENED)).match(url, { ignoreSearch: true });
}

/** fromNetwork fetches a page and keeps it. It is rejected when there is no connection, and when it takes long and a copy is there. */
export async function fromNetwork(event, url) {
  const copy = event.request.method === 'GET' && (await opened(url.pathname));
  const answer = await (copy ? fetch(event.request, { signal: AbortSignal.timeout(PATIENCE) }) : fetch(event.request));
  if (event.request.method !== 'GET' || !answer.ok || !isPage(answer) || !url.pathname.startsWith('/surveys')) return answer;
  const cache = await caches.open(OPENED);
  if (url.search === '') event.waitUntil(put(cache, url.pathname, answer.clone(), PAGES));
  else if (!url.searchParams.has('q')) event.waitUntil(keep(cache, url.pathname).catch(() => {}));
  const home = /^\/surveys\/[0-9a-f-]{36}/.exec(url.pathname)?.[0];
  if (home) event.waitUntil(others(cache, home));
  return answer;
}

// others fetches the screens of a survey that are not kept yet.
async function others(cache, home) {
  for (const screen of SCREENS) {
    if (!(await cache.match(home + screen))) await keep(cache, home + screen).catch(() => {});
  }
}

/** remember keeps what has just been sent from here as pages and pictures, so that it can be gone on with when the connection is lost again. */
export async function remember(sent) {
  const pages = await caches.open(OPENED), pictures = await caches.open(PICTURE);
  for (const { kind, survey, id, body } of sent) {
    const home = `/surveys/${survey}`;
    if (kind === 'survey') await others(pages, home);
    if (kind !== 'photo') continue;
    for (const page of [`${home}/photos/${id}`, `${home}/photos`]) await keep(pages, page).catch(() => {});
    for (const url of [body?.screen, body?.thumb].filter(Boolean)) await fetch(url).then((answer) => answer.ok && put(pictures, url, answer, PICTURES), () => {});
  }
}

/** makeRoom lets all pictures go that can be had from the server again. */
export const makeRoom = () => caches.delete(PICTURE);

/** forget removes the kept pages and pictures of surveys, as when somebody signs out. What waits to be sent stays. */
export async function forget() {
  for (const name of await caches.keys()) if (name === PICTURE || name.startsWith('pages-')) await caches.delete(name);
}

/** picture gives a photo's picture from the network, once and for ever when its address names its bytes; null when there is none. */
export async function picture(event, url) {
  const cache = await caches.open(PICTURE), kept = await cache.match(url);
  if (kept) return kept;
  const answer = await fetch(event.request).catch(() => null);
  if (answer?.ok && url.searchParams.has('v')) event.waitUntil(put(cache, url, answer.clone(), PICTURES));
  return answer;
}
