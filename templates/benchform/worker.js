// Opens the form without a connection: its own files come from the network, and
// from the store when there is none. Entries never pass through here.

const store = 'bench-form-2';

const files = [
  '/', '/tokens.css', '/base.css', '/form.css', '/icon.svg', '/form.mjs', '/api.mjs', '/clock.mjs', '/consent.mjs', '/later.mjs', '/pad.mjs', '/people.mjs', '/photo.mjs',
  '/queue.mjs', '/settings.mjs', '/sheets.mjs', '/store.mjs', '/today.mjs',
];

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(store).then((kept) => kept.addAll(files)).then(() => self.skipWaiting()));
});
self.addEventListener('activate', (event) => {
  const old = (names) => Promise.all(names.filter((n) => n !== store).map((n) => caches.delete(n)));
  event.waitUntil(caches.keys().then(old).then(() => self.clients.claim()));
});

self.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== 'GET' || url.origin !== self.location.origin || !files.includes(url.pathname)) return;
  event.respondWith(
    (async () => {
      const kept = await caches.open(store);
      try {
        const fresh = await fetch(event.request);
        if (fresh.ok) await kept.put(url.pathname, fresh.clone());
        return fresh;
      } catch (error) {
        const old = await kept.match(url.pathname);
        if (old) return old;
        throw error;
      }
    })(),
  );
});
