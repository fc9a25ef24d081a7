// The service worker: keeps one whole build of the app, so that it starts without a network.
// The version and the names are written in by `workbench precache` from the files that were really built.
const VERSION = "{{version}}";
const NAMES = {{names}};

const PREFIX = "hingeline-";
const CACHE = PREFIX + VERSION;
const at = (name) => new URL(name, self.registration.scope).href;
const HOME = at("./");
const KNOWN = new Set(NAMES.map(at));

self.addEventListener("install", (event) => event.waitUntil(fill()));
self.addEventListener("activate", (event) => event.waitUntil(settle()));

// An update waits until the page asks for it.
self.addEventListener("message", (event) => {
  if (event.data?.type === "take-over") event.waitUntil(self.skipWaiting());
});

self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const url = new URL(request.url);
  const bare = url.origin + url.pathname;
  if (KNOWN.has(bare)) event.respondWith(kept(bare, request));
  else if (request.mode === "navigate" && bare.startsWith(HOME)) event.respondWith(kept(HOME, request));
});

// All files of this build or none: one that cannot be fetched, or that this browser cannot run, leaves the worker before in charge.
async function fill() {
  const cache = await caches.open(CACHE);
  await cache.addAll([...KNOWN].map((url) => new Request(url, { cache: "reload" })));
  for (const url of KNOWN) {
    if (!url.endsWith(".wasm")) continue;
    const module = await cache.match(url, { ignoreVary: true });
    if (WebAssembly.validate(await module.arrayBuffer())) continue;
    await caches.delete(CACHE);
    throw new Error(`this browser cannot run ${url}`);
  }
}

async function settle() {
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  }
  await self.clients.claim();
}

async function kept(url, request) {
  const cache = await caches.open(CACHE);
  return (await cache.match(url, { ignoreVary: true })) ?? fetch(request);
}
