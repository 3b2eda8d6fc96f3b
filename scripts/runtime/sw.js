// Keeps a complete copy of one build of the site. The build fills in its version and {path: content hash}.
const version = "VERSION", files = {/*FILES*/};
const root = self.registration.scope;
// Two copies of the site on one host share their storage: the address in the name keeps them apart.
const ours = "site " + root + " ", name = ours + version;
const stamp = (path) => new Request(root + ".stamp/" + path);   // remembers the hash of each kept file

// Returns a file of the build before this one if it has not changed: no download.
async function kept(path, older) {
  for (const key of older) {
    const cache = await caches.open(key), hash = await cache.match(stamp(path));
    if (hash && (await hash.text()) === files[path]) return cache.match(root + path);
  }
}

async function install() {
  const cache = await caches.open(name);
  const older = (await caches.keys()).filter((key) => key.startsWith(ours) && key !== name);
  const queue = Object.keys(files);
  const fill = async () => {
    for (let path; (path = queue.pop()) !== undefined;) {
      const reply = (await kept(path, older)) ?? (await fetch(root + path, { cache: "no-cache" }));
      if (!reply.ok) throw new Error(`${path}: ${reply.status}`);   // all or nothing: half a copy is no copy
      await cache.put(root + path, reply);
      await cache.put(stamp(path), new Response(files[path]));
    }
  };
  await Promise.all([fill(), fill(), fill(), fill()]);
}

async function activate() {
  for (const key of await caches.keys()) if (key.startsWith(ours) && key !== name) await caches.delete(key);
  await self.clients.claim();
}

async function answer(request) {
  const cache = await caches.open(name);
  const url = new URL(request.url);
  url.hash = "";
  url.search = "";
  if (url.pathname.endsWith("/index.html")) url.pathname = url.pathname.slice(0, -"index.html".length);
  const copy = await cache.match(url.href);
  if (copy) return copy;
  try {
    return await fetch(request);
  } catch {
    return (request.mode === "navigate" && (await cache.match(root + "404.html"))) || Response.error();
  }
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("fetch", (event) => {
  if (event.request.method === "GET" && event.request.url.startsWith(root)) event.respondWith(answer(event.request));
});
// A new build waits until every tab of the old one is closed, or until the reader asks for it.
self.addEventListener("message", (event) => {
  if (event.data === "use the new version") self.skipWaiting();
});
