// Keeps the page's own files, so that it opens without the network. VERSION and FILES stand above: the server writes them.

const NAME = `cutmemo-${VERSION}`;

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(NAME);
    for (const path of FILES) {
      const answer = await fetch(path, { cache: "no-cache" });
      if (!answer.ok || answer.redirected) throw new Error(path);
      await cache.put(path, answer);
    }
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name !== NAME) await caches.delete(name);
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== location.origin) return;
  if (FILES.includes(pathname)) event.respondWith(own(event.request, pathname));
  else if (pathname.startsWith("/clip/")) event.respondWith(clip(event.request));
});

/** The file as it was kept with all others of its version: they belong together. */
async function own(request, pathname) {
  return (await (await caches.open(NAME)).match(pathname)) ?? fetch(request);
}

/** A clip from the network once, kept from then on. */
async function clip(request) {
  const cache = await caches.open(NAME);
  const kept = await cache.match(request.url);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.ok) await cache.put(request.url, answer.clone());
  return answer;
}
