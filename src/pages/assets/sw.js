// Keeps the pages openable without a signal: files by their name for good, pages as they were last seen. Nothing is sent
// from here; messages wait in the page's own list.
"use strict";

const FILES = "files-{{version}}";
const SEEN = "pages";
const ASSETS = {{assets}};
const PAGES = ["/", "/book", "/times", "/week"];

self.addEventListener("install", (event) => {
  event.waitUntil(caches.open(FILES).then((cache) => cache.addAll(ASSETS)).then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => {
  const old = (names) => names.filter((name) => name !== FILES && name !== SEEN);
  event.waitUntil(caches.keys().then((names) => Promise.all(old(names).map((name) => caches.delete(name)))).then(() => self.clients.claim()));
});

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (event.request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/assets/")) {
    event.respondWith(caches.match(event.request).then((kept) => kept ?? fetch(event.request)));
  } else if (event.request.mode === "navigate" && PAGES.includes(url.pathname) && !url.search) {
    event.respondWith(seen(url.pathname));
  }
});

// The page from the server; as it was last seen when no answer comes. Signed out, nothing is kept.
async function seen(path) {
  const cache = await caches.open(SEEN);
  try {
    const answer = await fetch(path, { credentials: "same-origin", headers: { accept: "text/html" }, signal: AbortSignal.timeout(8000) });
    if (answer.ok && !answer.redirected) await cache.put(path, answer.clone());
    if (answer.status === 401) await caches.delete(SEEN);
    return answer;
  } catch (lost) {
    const kept = await cache.match(path);
    if (kept) return kept;
    throw lost;
  }
}
