// The service worker of a debug build: takes away what a release build left behind, and itself.
self.addEventListener("install", (event) => event.waitUntil(self.skipWaiting()));
self.addEventListener("activate", (event) => event.waitUntil(leave()));

async function leave() {
  for (const name of await caches.keys()) {
    if (name.startsWith("hingeline-")) await caches.delete(name);
  }
  await self.registration.unregister();
}
