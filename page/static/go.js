// A link marked data-go changes the page in place: between two documents keys
// are lost, and a reader may fire as soon as an animal's tab is tapped. What was
// typed before is kept first.
const busy = () => document.body.hasAttribute('aria-busy')
const rest = (ms) => new Promise((done) => setTimeout(done, ms))

async function go(link) {
  try {
    while (busy()) await rest(20)
    const reply = await fetch(link.href, { headers: { Accept: 'text/html' } })
    const page = new DOMParser().parseFromString(await reply.text(), 'text/html')
    const main = reply.ok && page.getElementById('main')
    if (!main) return location.assign(link.href)
    document.dispatchEvent(new Event('going'))
    history.pushState(null, '', reply.url)
    document.title = page.title
    document.querySelector('.colophon')?.replaceWith(document.adoptNode(page.querySelector('.colophon')))
    document.getElementById('main').replaceWith(document.adoptNode(main))
    scrollTo(0, 0)
    main.focus({ preventScroll: true })
    document.dispatchEvent(new Event('came'))
    document.dispatchEvent(new CustomEvent('swapped'))
  } catch {
    location.assign(link.href)
  }
}

document.addEventListener('click', (event) => {
  const link = event.target.closest?.('a[data-go]')
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return
  event.preventDefault()
  document.activeElement?.blur() // a field that is left is sent
  go(link)
})
addEventListener('popstate', ({ state }) => { if (state !== undefined && !location.hash) location.reload() })
