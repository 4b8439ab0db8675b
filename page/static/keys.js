// Keys that no field has are shown in the call line, or else in the field of the
// form marked data-reader, at whatever speed they come; Enter sends them from there. What is typed while
// a page changes goes along to the next one: this script runs before the page
// stands, and keeps what comes meanwhile.
{
  const going = 5000 // milliseconds that a page change may take
  const moment = 600 // milliseconds after which Enter is meant for this page and not the one before
  let early = sessionStorage.getItem('typed') ?? '' // typed before the page stood
  let left = null // { at, value }: the page is being left, and what the field held then
  sessionStorage.removeItem('typed')

  const field = () => document.querySelector('form[data-call]')?.elements.words ?? document.querySelector('form[data-reader]')?.elements.text
  const editable = (e) => e instanceof HTMLTextAreaElement || e instanceof HTMLSelectElement ||
    (e instanceof HTMLInputElement && !['checkbox', 'radio', 'button', 'submit'].includes(e.type))
  const pressed = () => document.activeElement.matches('button') && performance.now() < moment
  const leaving = () => left && performance.now() - left.at < going

  // shown gives the field, with what came before it stood.
  function shown() {
    const into = field()
    const [text, enter] = early.split('\n')
    if (!into || !text) return into
    early = ''
    into.value = text + into.value
    into.focus({ preventScroll: true })
    const submit = () => into.form.requestSubmit()
    if (enter !== undefined && document.readyState === 'complete') submit()
    else if (enter !== undefined) addEventListener('load', submit, { once: true })
    return into
  }

  document.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return
    if (event.key === 'Enter' && (event.repeat || pressed())) return event.preventDefault()
    const into = shown()
    if (!into && document.readyState === 'loading') {
      if (event.key.length === 1) early += event.key
      if (event.key === 'Enter') early += '\n'
    } else if (into && event.key === 'Enter' && leaving() && document.activeElement === into) {
      left.enter = true
      event.preventDefault()
      event.stopImmediatePropagation()
    } else if (into && event.key.length === 1 && event.key !== ' ' && !editable(document.activeElement)) {
      into.focus({ preventScroll: true }) // the key itself is typed there
      into.setSelectionRange(into.value.length, into.value.length)
    }
  }, true)

  const leave = () => { left = { at: performance.now(), value: field()?.value ?? '' } }
  document.addEventListener('click', ({ target }) => {
    const link = target.closest?.('a[href]')
    if (link && link.pathname !== location.pathname) leave()
  })
  document.addEventListener('submit', ({ target }) => {
    if (!target.matches('[data-swap], [data-reader]')) leave()
  })
  // along is what was typed since the page is being left.
  function along() {
    const value = field()?.value ?? ''
    const typed = leaving() && value.startsWith(left.value) ? value.slice(left.value.length) : ''
    return typed + (typed && left.enter ? '\n' : '')
  }
  addEventListener('pagehide', () => { if (along()) sessionStorage.setItem('typed', along()) })
  document.addEventListener('going', () => { early = along() })
  document.addEventListener('came', () => { left = null; shown() })
  addEventListener('pageshow', () => { left = null })

  document.addEventListener('DOMContentLoaded', shown)
}
