// What is kept on the device: the queue of entries and a few named things. Each
// change is one transaction, on the disk when its promise resolves. Where the
// browser keeps nothing (some private windows), memory stands in and keeps says so.

const memory = () => {
  const queue = new Map();
  const named = new Map();
  let next = 1;
  return {
    keeps: false,
    async get(key) {
      return named.get(key);
    },
    async write(changes) {
      for (const item of changes.add ?? []) {
        item.seq = next++;
        queue.set(item.seq, item);
      }
      for (const item of changes.put ?? []) queue.set(item.seq, item);
      for (const seq of changes.remove ?? []) queue.delete(seq);
      for (const [key, value] of Object.entries(changes.named ?? {})) named.set(key, structuredClone(value));
    },
    async all() {
      return [...queue.values()].sort((a, b) => a.seq - b.seq);
    },
  };
};

const done = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

function openDatabase(name) {
  const request = indexedDB.open(name, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore('queue', { keyPath: 'seq', autoIncrement: true });
    request.result.createObjectStore('named');
  };
  return done(request);
}

/**
 * Opens the store.
 * @returns {Promise<{keeps: boolean, get: Function, write: Function, all: Function}>}
 */
export async function openStore(name = 'bench') {
  let db;
  try {
    db = await openDatabase(name);
  } catch {
    return memory();
  }
  return {
    keeps: true,
    get(key) {
      return done(db.transaction('named').objectStore('named').get(key));
    },
    /**
     * Changes queue and named things together, or nothing.
     * @param {{add?: object[], put?: object[], remove?: number[], named?: object}} changes
     */
    write(changes) {
      return new Promise((resolve, reject) => {
        const t = db.transaction(['queue', 'named'], 'readwrite', { durability: 'strict' });
        const queue = t.objectStore('queue');
        for (const item of changes.add ?? []) queue.add(item).onsuccess = (e) => (item.seq = e.target.result);
        for (const item of changes.put ?? []) queue.put(item);
        for (const seq of changes.remove ?? []) queue.delete(seq);
        for (const [key, value] of Object.entries(changes.named ?? {})) t.objectStore('named').put(value, key);
        t.oncomplete = () => resolve();
        t.onerror = () => reject(t.error);
        t.onabort = () => reject(t.error ?? new Error('the device did not keep it'));
      });
    },
    all() {
      return done(db.transaction('queue').objectStore('queue').getAll());
    },
  };
}

/** A new id for an entry: 128 random bits as letters and digits. */
export function newID() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, '0')).join('');
}
