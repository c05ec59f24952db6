// Keeps the whole page on the phone. One cache a version, filled completely before it is used; what is in it never
// mixes with another version. The list and the version are written by the build from the files themselves.
const VERSION = '__VERSION__';
const FILES = __FILES__; // path -> SHA-256, base64
// What plans the night. The first visit is there without it; it comes when the page is quiet, or when it is asked for.
const LATER = __LATER__;
const CACHE = `drycurb-${VERSION}`;

const digest = async (body) => {
  const bytes = new Uint8Array(await crypto.subtle.digest('SHA-256', body));
  return btoa(String.fromCharCode(...bytes));
};

const fill = async (files) => {
  const cache = await caches.open(CACHE);
  await Promise.all(Object.entries(files).map(async ([path, expected]) => {
    if (await cache.match(path)) return;
    const response = await fetch(path, { cache: 'reload' });
    if (!response.ok) throw new Error(`${path}: ${response.status}`);
    const body = await response.arrayBuffer();
    if (await digest(body) !== expected) throw new Error(`${path}: not the file of this version`);
    // Made anew: a page that came by way of a redirect would be refused when it is opened from the cache.
    const type = response.headers.get('content-type') ?? 'application/octet-stream';
    await cache.put(path, new Response(body, { headers: { 'content-type': type } }));
  }));
};

// A newer version takes over with all that the older one could do without a network.
self.addEventListener('install', (event) => event.waitUntil((async () => {
  try {
    await fill(self.registration.active ? { ...FILES, ...LATER } : FILES);
  } catch (why) {
    await caches.delete(CACHE);
    throw why;
  }
})()));

self.addEventListener('activate', (event) => event.waitUntil((async () => {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith('drycurb-') && name !== CACHE)
    .map((name) => caches.delete(name)));
  await self.clients.claim();
})()));

self.addEventListener('message', (event) => {
  if (event.data === 'take over') self.skipWaiting();
  if (event.data === 'fetch the rest') {
    // Without a network it comes another time; what was got stays.
    event.waitUntil(fill(LATER).then(() => event.source.postMessage('all here'), () => {}));
  }
});

self.addEventListener('fetch', (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== 'GET' || url.origin !== self.location.origin) return;
  event.respondWith((async () => {
    const cache = await caches.open(CACHE);
    const wanted = event.request.mode === 'navigate' ? 'index.html' : event.request;
    const kept = await cache.match(wanted, { ignoreSearch: true });
    if (kept) return kept;
    const path = Object.keys(LATER).find((name) => url.pathname.endsWith(`/${name}`));
    if (path) await fill({ [path]: LATER[path] });
    return (await cache.match(wanted, { ignoreSearch: true })) ?? fetch(event.request);
  })());
});
