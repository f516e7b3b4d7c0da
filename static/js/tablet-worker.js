// The service worker: with the network gone, pages of the walk-round load again from what this tablet keeps.
// Pages: the network first, then the same page as last seen, then the last page seen, which shows what it kept.
// Where nothing was seen yet, a slow answer is waited for.
const FILES = "files";
const PAGES = "pages";
const LAST = "/inspection/last";
const SLOW = 5000;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => event.waitUntil(keep(event.data)));

async function keep({ files, page }) {
  const cache = await caches.open(FILES);
  const asked = files.map((file) => cache.add(file)); // the browser's own cache answers most of these
  if (page.startsWith("/inspection/")) asked.push(fetch(page).then((answer) => keepPage(page, answer)));
  await Promise.allSettled(asked);
}

async function keepPage(path, answer) {
  if (!answer.ok || answer.redirected) return;
  const cache = await caches.open(PAGES);
  await Promise.all([cache.put(path, answer.clone()), cache.put(LAST, answer.clone())]);
}

self.addEventListener("fetch", (event) => {
  const { pathname, origin } = new URL(event.request.url);
  if (event.request.method !== "GET" || origin !== location.origin) return;
  if (event.request.mode === "navigate" && pathname.startsWith("/inspection/")) event.respondWith(page(event, pathname));
  if (pathname.startsWith("/static/")) event.respondWith(file(event.request));
});

async function page(event, path) {
  const answer = fetch(event.request);
  event.waitUntil(answer.then((it) => keepPage(path, it.clone())).catch(() => null));
  const late = new Promise((_, gone) => setTimeout(gone, SLOW, new Error("no answer")));
  return Promise.race([answer, late]).catch(async () => (await lastSeen(path)) ?? answer);
}

async function lastSeen(path) {
  const cache = await caches.open(PAGES);
  return (await cache.match(path)) ?? cache.match(LAST);
}

async function file(request) {
  try {
    return await fetch(request);
  } catch (gone) {
    const found = (await caches.match(request)) ?? (await caches.match(request, { ignoreSearch: true }));
    if (found) return found;
    throw gone;
  }
}
