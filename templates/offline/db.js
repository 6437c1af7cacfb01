// The database on this phone: what waits to be sent (ops), the bytes of photos (pieces, by photo and number), the pictures made of them here
// (pictures, by photo) and small notes. Its shape must stay readable for later versions, since things may wait in it for days.

const NAME = 'undercroft', VERSION = 1;

let opened = null;

function connect() {
  return new Promise((give, fail) => {
    const request = indexedDB.open(NAME, VERSION);
    request.onupgradeneeded = () => {
      request.result.createObjectStore('ops', { keyPath: 'key' });
      for (const store of ['pieces', 'pictures', 'notes']) request.result.createObjectStore(store);
    };
    request.onsuccess = () => {
      const db = request.result;
      db.onversionchange = () => {
        opened = null;
        db.close();
      };
      db.onclose = () => { opened = null; };
      give(db);
    };
    request.onerror = () => fail(request.error);
  });
}

/** ask makes a promise of a request; inside of transact, only such promises may be awaited. */
export function ask(request) {
  return new Promise((give, fail) => {
    request.onsuccess = () => give(request.result);
    request.onerror = () => fail(request.error);
  });
}

/**
 * transact runs work(stores) in one transaction: all of it is kept, or nothing. What it gives is given when the bytes are on the disk as far as
 * the browser can tell. It is rejected with a QuotaExceededError when the phone has no room.
 */
export async function transact(names, mode, work) {
  const db = await (opened ??= connect().catch((err) => {
    opened = null;
    throw err;
  }));
  const tx = db.transaction(names, mode, { durability: 'strict' });
  const ended = new Promise((give, fail) => {
    tx.oncomplete = give;
    tx.onabort = () => fail(tx.error ?? new DOMException('taken back', 'AbortError'));
  });
  ended.catch(() => {}); // an error of the work is told first
  let result;
  try {
    result = await work(Object.fromEntries(names.map((name) => [name, tx.objectStore(name)])));
  } catch (err) {
    try {
      tx.abort();
    } catch {
      // it has ended by itself
    }
    throw tx.error ?? err;
  }
  await ended;
  return result;
}

/** range is all keys of one photo's pieces. */
export const range = (photo) => IDBKeyRange.bound([photo], [photo, []]);
