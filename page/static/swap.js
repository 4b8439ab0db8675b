// A form marked data-swap is sent without leaving the page: what comes back
// replaces the part with the same id. A field is sent when it is left. Nothing
// typed meanwhile is lost: a field is clean only when the notebook has it.
let line = Promise.resolve() // one form after another, in the order they were sent
let waiting = 0

const swapping = (form) => form?.matches?.('form[data-swap]')
const dirty = (e) => e.matches('input:not([type=hidden], [type=checkbox], [type=radio]), textarea') && e.value !== e.defaultValue

function enqueue(work) {
  waiting++
  line = line.then(work).finally(() => { waiting-- })
  return line
}

// send posts a form; its fields count as clean from here on, unless it goes wrong.
function send(form, submitter, enter) {
  const body = new URLSearchParams(new FormData(form, submitter))
  const action = submitter?.getAttribute('formaction') || form.getAttribute('action')
  const sent = [...form.elements].filter(dirty)
  const before = sent.map((e) => e.defaultValue)
  for (const e of sent) e.defaultValue = e.value
  enqueue(async () => {
    try {
      const answer = await fetch(action, { method: 'POST', body, keepalive: true, headers: { Accept: 'text/html' } })
      const next = new DOMParser().parseFromString(await answer.text(), 'text/html')
      const id = form.dataset.swap
      if (!next.getElementById(id)) return leave(answer, next)
      swap(document.getElementById(id), next.getElementById(id), enter && form)
    } catch {
      sent.forEach((e, i) => { e.defaultValue = before[i] })
      tell('Not kept: the notebook did not answer. Your words are still in the field; press Enter to try again.')
    }
  })
}

// leave goes where the answer came from: another page, or a refusal to be read.
function leave(answer, next) {
  if (answer.ok) return location.assign(answer.url)
  tell(`Not kept. ${[...next.querySelectorAll('main p')].map((p) => p.textContent).slice(0, 2).join(' ')}`)
}

function swap(old, fresh, from) {
  const at = document.activeElement
  const kept = [...old.querySelectorAll('input, textarea')].filter((e) => e.id && dirty(e)).map((e) => [e.id, e.value])
  const caret = at && old.contains(at) && editable(at) ? [at.selectionStart, at.selectionEnd] : null
  const open = [...old.querySelectorAll('details[open][data-stay]')].map((d) => d.id)
  const turn = from && from.contains(at)
  old.replaceWith(document.adoptNode(fresh))
  for (const id of open) document.getElementById(id)?.setAttribute('open', '')
  for (const [id, value] of kept) {
    const field = document.getElementById(id)
    if (field) field.value = value
  }
  const focus = (turn && fresh.querySelector('[data-next]')) || (at?.id && fresh.querySelector(`#${CSS.escape(at.id)}`))
  if (focus) {
    focus.focus({ preventScroll: !turn })
    if (turn) focus.scrollIntoView({ block: 'center' })
    else if (caret && caret[0] !== null) focus.setSelectionRange(...caret)
  }
  document.dispatchEvent(new CustomEvent('swapped'))
}

const editable = (e) => e instanceof HTMLTextAreaElement || (e instanceof HTMLInputElement && e.type === 'text')

function tell(words) {
  let p = document.getElementById('told')
  if (!p) {
    p = Object.assign(document.createElement('p'), { id: 'told', className: 'flash told' })
    p.setAttribute('role', 'alert')
    document.getElementById('main').prepend(p)
  }
  p.textContent = words
}

document.addEventListener('submit', (event) => {
  const form = event.target
  if (swapping(form)) {
    event.preventDefault()
    send(form, event.submitter, true)
  } else if (waiting) { // an ordinary form waits until what was typed before it is kept
    event.preventDefault()
    const { submitter } = event
    line.then(() => form.isConnected && form.requestSubmit(submitter?.isConnected ? submitter : undefined))
  }
})
document.addEventListener('focusout', (event) => {
  if (event.target.isConnected && swapping(event.target.form) && dirty(event.target) && !event.target.form.dataset.ask) send(event.target.form)
})
document.addEventListener('change', (event) => {
  if (swapping(event.target.form) && !event.target.form.dataset.ask && event.target.matches('select, [type=checkbox], [type=radio]')) send(event.target.form)
})
