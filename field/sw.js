// The service worker keeps the shell's own files and answers with them, so that
// the program starts without a network. No page with data ever comes by here: the
// worker writes those, and they lie in no cache.
const version = '{version}'
const files = {files}
const shell = '/field/'

self.addEventListener('install', (event) => {
  event.waitUntil(caches.open(version).then((cache) => cache.addAll(files)))
})

self.addEventListener('activate', (event) => {
  event.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith('field-') && name !== version) await caches.delete(name)
    await self.clients.claim()
  })())
})

self.addEventListener('fetch', (event) => {
  const { request } = event
  const url = new URL(request.url)
  if (request.method !== 'GET' || url.origin !== location.origin) return
  if (request.mode === 'navigate' && url.pathname.startsWith(shell)) return event.respondWith(kept(shell, request))
  if (files.includes(url.pathname)) event.respondWith(kept(url.pathname, request))
})

async function kept(path, request) {
  const cache = await caches.open(version)
  return (await cache.match(path)) ?? fetch(request)
}

// A new version waits until the person takes it: the page asks for it.
self.addEventListener('message', ({ data }) => { if (data === 'take over') self.skipWaiting() })
