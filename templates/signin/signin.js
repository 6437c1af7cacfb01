// After signing out, what this browser keeps of surveys goes: pages and pictures that were opened. What waits to be sent stays.

const KEPT = /^(pages-|pictures$)/;

async function forget() {
  for (const name of (await globalThis.caches?.keys()) ?? []) if (KEPT.test(name)) await caches.delete(name);
}

if (new URLSearchParams(location.search).has('out')) forget();
