// Keeps every file of the page, so that it works where there is no network. The two lines below are written when it is built.
const name = 'cubby-BUILD';
const files = [];

self.addEventListener('install', (e) => e.waitUntil(caches.open(name).then((c) => c.addAll(files)).then(() => self.skipWaiting())));
self.addEventListener('activate', (e) => e.waitUntil(caches.keys().then((all) => Promise.all(all.filter((n) => n.startsWith('cubby-') && n !== name).map((n) => caches.delete(n)))).then(() => self.clients.claim())));
self.addEventListener('fetch', (e) => e.respondWith(caches.match(e.request, { cacheName: name, ignoreSearch: true }).then((kept) => kept || fetch(e.request))));
