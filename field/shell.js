// The shell is the one document on the phone. It hands links, forms and the
// pages' own fetches to the worker and puts up the page that comes back. Its
// address is /field followed by the page's own, so that reload and back work.
const base = '/field'
const { worker: workerAt, core, exec } = document.body.dataset
const waiting = new Map() // by number: what was asked of the worker
let asked = 0
let state = {} // where things stand, as the worker told last
let shown = '' // the page that was put up last

const inner = (url) => (url.pathname.startsWith(base + '/') ? url.pathname.slice(base.length) : url.pathname) + url.search
const outer = (path) => base + path
const here = () => inner(location) // the page that stands: a script of its own may have changed it

// ---- the worker ----

const worker = new Worker(workerAt)
worker.postMessage({ begin: { core, exec } })
worker.onmessage = ({ data }) => ({ ready, progress, trouble, second, answer })[data.kind ?? 'answer'](data)

function answer(data) {
  state = data.state
  waiting.get(data.answer)(data)
  waiting.delete(data.answer)
}

// ask has the worker answer, and gives the answer.
function ask({ method = 'GET', path, body, type = '', accept = 'text/html' }) {
  const id = ++asked
  return new Promise((resolve) => {
    waiting.set(id, resolve)
    worker.postMessage({ id, method, path, body, type, accept, from: here() })
  })
}

function ready() { go({ path: inner(location) + location.hash }, 'replace') }

function progress({ progress: { says, Done, Of } }) {
  if (!says) return refresh()
  let p = document.getElementById('progress')
  if (!p) {
    p = Object.assign(document.createElement('p'), { id: 'progress', className: 'flash' })
    p.setAttribute('role', 'status')
    document.getElementById('main').prepend(p)
  }
  p.textContent = Of ? `${says}: ${Math.floor((100 * Done) / Of)} %` : `${says} …`
}

// refresh asks anew for a page that tells of long work which has ended.
function refresh() {
  document.getElementById('progress')?.remove()
  if (here() === '/kept') go({ path: '/kept' }, 'stay')
}

function trouble({ trouble: why }) {
  note('The notebook does not open', why, 'What was kept is kept. Load the page again; if it stays so, send this text to whoever looks after the program.')
}

function second() {
  note('The notebook is open in another tab', 'One tab at a time writes, so that no line is written twice.',
    'Go to that tab, or close it and try again here.', 'try again')
}

// note is a page of the shell's own.
function note(title, says, then, button) {
  const main = document.getElementById('main')
  main.replaceChildren(...[['h1', title], ['p', says], ['p', then]].map(([tag, text]) => Object.assign(document.createElement(tag), { textContent: text })))
  document.title = title
  if (!button) return
  const b = Object.assign(document.createElement('button'), { textContent: button, className: 'press', onclick: anew })
  main.append(b)
}

// anew loads the document itself, and with it another worker.
function anew() {
  moving = true
  location.reload()
}

// ---- pages ----

// go asks for a page, or sends a form, and puts up what comes back.
async function go(request, history = 'push') {
  document.body.setAttribute('aria-busy', 'true')
  const got = await ask(request)
  document.body.removeAttribute('aria-busy')
  if (got.file) return save(got)
  const picture = got.type.startsWith('image/')
  const path = got.path.includes('#') || !request.path?.includes('#') ? got.path : got.path + request.path.slice(request.path.indexOf('#'))
  moving = true
  if (history === 'replace' || outer(path) === location.pathname + location.search + location.hash) window.history.replaceState(null, '', outer(path))
  else if (history === 'push') window.history.pushState(null, '', outer(path))
  moving = false
  if (picture) return look(got, path)
  show(unsent(new TextDecoder().decode(got.body)), path)
}

// show puts up a page in place of the one that stands.
function show(html, path) {
  const page = new DOMParser().parseFromString(html, 'text/html')
  document.dispatchEvent(new Event('going'))
  const old = shown
  shown = path.split('#')[0]
  document.title = page.title
  light(page)
  document.body.dataset.now = page.body.dataset.now ?? ''
  document.body.replaceChildren(...[...page.body.childNodes].map((n) => document.adoptNode(n)))
  strip()
  document.dispatchEvent(new Event('came'))
  document.dispatchEvent(new CustomEvent('swapped'))
  if (state.open) scripts(page) // they take the programme's zone from the page they begin with
  const at = path.includes('#') && document.getElementById(decodeURIComponent(path.split('#')[1]))
  if (at) at.scrollIntoView()
  else if (old !== shown) scrollTo(0, 0)
  if (retype()) return
  const first = document.querySelector('[autofocus]') ?? document.getElementById('main')
  first?.focus({ preventScroll: true })
}

// light takes over by which light a page is written.
function light(page) {
  const scheme = page.querySelector('meta[name=color-scheme]')
  if (scheme) document.querySelector('meta[name=color-scheme]').content = scheme.content
  const night = document.querySelector('link[href*="/night-"]')
  const theirs = page.querySelector('link[href*="/night-"]')
  night.media = theirs ? theirs.media : 'not all'
}

// scripts runs those of a page that have not run yet: once for each document.
const ran = new Set()
function scripts(page) {
  for (const script of page.querySelectorAll('head script[src]')) {
    const src = script.getAttribute('src')
    if (ran.has(src)) continue
    ran.add(src)
    document.head.append(Object.assign(document.createElement('script'), { src, type: script.type, async: false }))
  }
}

// ---- pictures ----

// A picture lies in the worker, and no network is asked for it: its address is
// set aside before the browser sees it, and it is shown under one of the
// document's own, given back once it stands on the page no more.
const unsent = (html) => html.replaceAll(' src="/photo/', ' data-from="/photo/')
const lent = new Map() // from what shows a picture to its address

function lend(img, { body, type }) {
  lent.set(img, URL.createObjectURL(new Blob([body], { type })))
  img.src = lent.get(img)
}

async function pictures() {
  for (const [img, url] of lent) {
    if (img.isConnected) continue
    URL.revokeObjectURL(url)
    lent.delete(img)
  }
  for (const img of document.querySelectorAll('img[data-from]')) {
    const path = img.dataset.from
    delete img.dataset.from
    const got = await ask({ path, accept: 'image/*' })
    if (!img.isConnected) continue
    if (got.type.startsWith('image/')) lend(img, got)
    else img.replaceWith(Object.assign(document.createElement('p'), { className: 'absent', textContent: `${img.alt}: it does not open` }))
  }
}
document.addEventListener('swapped', pictures)

// look puts up a picture that a link leads to.
function look(got, path) {
  shown = path
  const img = Object.assign(document.createElement('img'), { alt: 'the photo' })
  document.getElementById('main').replaceChildren(img)
  lend(img, got)
  strip()
  document.dispatchEvent(new CustomEvent('swapped'))
}

// save gives a file to the phone.
function save({ file, body, type }) {
  const url = URL.createObjectURL(new Blob([body], { type }))
  Object.assign(document.createElement('a'), { href: url, download: file }).click()
  setTimeout(() => URL.revokeObjectURL(url), 60000)
}

// ---- what a browser would send to a server ----

let moving = false // the shell itself changes the address
navigation.addEventListener('navigate', (event) => {
  if (moving || !event.canIntercept || event.hashChange || event.downloadRequest !== null) return
  const url = new URL(event.destination.url)
  if (url.origin !== location.origin) return
  if (event.navigationType === 'traverse' || event.navigationType === 'reload') {
    event.intercept({ handler: () => go({ path: inner(url) + url.hash }, 'stay'), focusReset: 'manual' })
    return
  }
  if (event.destination.sameDocument) return // a script of the page's own has changed the address
  event.preventDefault()
  form(event.formData, inner(url) + url.hash)
})

async function form(data, path) {
  if (!data) return go({ path })
  if ([...data.values()].some((v) => v instanceof File)) {
    const whole = new Response(data)
    return go({ method: 'POST', path, type: whole.headers.get('content-type'), body: new Uint8Array(await whole.arrayBuffer()) })
  }
  go({ method: 'POST', path, ...encoded(new URLSearchParams(data)) })
}

const encoded = (params) => ({ body: new TextEncoder().encode(params), type: 'application/x-www-form-urlencoded' })

// A page's script goes back by loading anew; the worker must not.
addEventListener('popstate', (event) => event.stopImmediatePropagation(), true)

const network = window.fetch.bind(window)
window.fetch = async (resource, init = {}) => {
  const url = new URL(resource instanceof Request ? resource.url : resource, location.href)
  if (url.origin !== location.origin || url.pathname.startsWith('/static/')) return network(resource, init)
  const request = new Request(url, { ...init, keepalive: false })
  const sent = new Uint8Array(await request.arrayBuffer())
  const got = await ask({ method: request.method, path: inner(url), body: sent, type: request.headers.get('content-type') ?? '', accept: request.headers.get('accept') ?? '*/*' })
  strip()
  watch()
  const body = got.type.startsWith('text/html') ? unsent(new TextDecoder().decode(got.body)) : got.body
  const response = new Response(body, { status: got.status, headers: { 'Content-Type': got.type } })
  return Object.defineProperty(response, 'url', { value: location.origin + outer(got.path) })
}
navigator.sendBeacon = (address, body) => {
  ask({ method: 'POST', path: inner(new URL(address, location.href)), ...encoded(body) })
  return true
}

// ---- what is typed ----

// Every key of a field that is not sent yet goes to the worker, so that a dead
// battery takes none of them; it is put back when the page is shown again.
const texts = 'input:not([type]), input[type=text], input[type=search], input[type=number], textarea'

function typed() {
  if (!state.open) return
  const fields = [...document.querySelectorAll(texts)].filter((e) => e.id && e.value !== e.defaultValue).map((e) => [e.id, e.value])
  const words = fields.length ? JSON.stringify({ path: here(), fields }) : ''
  if (words === lastWords) return
  lastWords = words
  worker.postMessage({ typed: words })
}
let lastWords = ''
addEventListener('input', typed)
document.addEventListener('swapped', () => setTimeout(typed))

let retyped = false
// retype puts back what was typed when the phone stopped, once, and reports
// whether there was anything.
function retype() {
  if (retyped || !state.open) return false
  retyped = true
  if (!state.words) return false
  const { path, fields } = JSON.parse(state.words)
  if (path !== here()) return false
  for (const [id, value] of fields) {
    const field = document.getElementById(id)
    if (!field) continue
    field.closest('details')?.setAttribute('open', '')
    field.value = value
    field.focus()
  }
  return true
}

// When the phone turns to something else, the field in hand is sent.
document.addEventListener('visibilitychange', () => { if (document.hidden) document.activeElement?.blur?.() })

// ---- what stands on the screen at all times ----

// strip tells where what was written lies, and that a new version waits.
function strip() {
  document.getElementById('kept')?.remove()
  if (!state.open) return fresh()
  const p = Object.assign(document.createElement('p'), { id: 'kept' })
  const link = Object.assign(document.createElement('a'), { href: '/kept', textContent: state.says, className: 'target' })
  p.append(link)
  if (state.warns) p.append(Object.assign(document.createElement('b'), { textContent: `Look: ${state.warns}` }))
  document.body.prepend(p)
  fresh()
}

let registration
// fresh offers a new version; it takes effect when nothing is in the hand, and
// only when somebody says so.
function fresh() {
  document.getElementById('fresh')?.remove()
  if (!registration?.waiting) return
  const p = Object.assign(document.createElement('p'), { id: 'fresh' })
  p.setAttribute('role', 'status')
  if (state.inHand) p.textContent = 'A new version is ready; it takes effect after this animal.'
  else {
    p.textContent = 'A new version is ready.'
    p.append(Object.assign(document.createElement('button'), { textContent: 'take it now', onclick: takeOver }))
  }
  document.body.prepend(p)
}

async function takeOver() {
  await ask({ method: 'POST', path: '/close' })
  navigator.serviceWorker.addEventListener('controllerchange', anew, { once: true })
  registration.waiting.postMessage('take over')
}

async function watchVersions() {
  if (!navigator.serviceWorker) return
  registration = await navigator.serviceWorker.register('/field/sw.js', { scope: base + '/', updateViaCache: 'none' })
  registration.addEventListener('updatefound', () => {
    registration.installing?.addEventListener('statechange', () => fresh())
  })
  fresh()
}

// ---- the phone's storage ----

async function watch() {
  if (!navigator.storage?.estimate) return
  const [persisted, { usage, quota }] = await Promise.all([navigator.storage.persisted(), navigator.storage.estimate()])
  worker.postMessage({ room: { persisted, usage, quota } })
}

if (!('navigation' in window)) note('This browser is too old', 'The field program needs the Navigation API.', 'Use Chrome or Edge 102, Firefox 147, Safari 26.2, or a later one.')
navigator.storage?.persist?.().then(watch)
watchVersions()
