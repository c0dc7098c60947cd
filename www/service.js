// Keeps the whole page on the device, so that it opens without a network, and never changes it unasked.
//
// www/seal writes every file of the build with its SHA-256 in the place of FILES, and a hash over all of them in the place
// of VERSION. Another byte anywhere makes another version: the browser then installs it beside the old one and it waits
// until a person asks for it.

const version = "VERSION";
const files = FILES;

const store = `sledstance-${version}`;
const address = (path) => new URL(path, registration.scope).href;

addEventListener("install", (event) => event.waitUntil(fill()));
addEventListener("activate", (event) => event.waitUntil(settle()));
addEventListener("message", (event) => {
  if (event.data === "use-this-version") skipWaiting();
});
addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && request.url.startsWith(registration.scope)) event.respondWith(answer(request));
});

/** Puts every file in this version's store, or none: a file that is not the one of the list fails the installation. */
async function fill() {
  const now = await caches.open(store);
  const kept = await keptBefore();
  await Promise.all(
    Object.entries(files).map(async ([path, hash]) => {
      const before = kept.get(`${path} ${hash}`);
      // The browser compares the hash with what arrives.
      const response = before ?? (await fetch(address(path), { cache: "no-cache", integrity: `sha256-${hash}` }));
      if (!response.ok) throw new Error(`${path}: ${response.status}`);
      const headers = new Headers(response.headers);
      headers.set("Sledstance-Sha256", hash);
      await now.put(address(path), new Response(await response.blob(), { headers }));
    }),
  );
}

/** What earlier versions kept, by path and hash: unchanged files are not fetched again. */
async function keptBefore() {
  const kept = new Map();
  for (const name of await caches.keys()) {
    if (!name.startsWith("sledstance-") || name === store) continue;
    const old = await caches.open(name);
    for (const path of Object.keys(files)) {
      const response = await old.match(address(path));
      if (response) kept.set(`${path} ${response.headers.get("Sledstance-Sha256")}`, response);
    }
  }
  return kept;
}

async function settle() {
  for (const name of await caches.keys()) {
    if (name.startsWith("sledstance-") && name !== store) await caches.delete(name);
  }
  // The first visit is taken over at once, so that the page can say that it opens without a network.
  await clients.claim();
}

async function answer(request) {
  const url = new URL(request.url);
  url.hash = "";
  url.search = "";
  if (url.href === registration.scope) url.pathname += "index.html";
  const now = await caches.open(store);
  return (await now.match(url.href)) ?? fetch(request);
}
