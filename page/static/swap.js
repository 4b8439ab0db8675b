// A form marked data-swap is sent without leaving the page: what comes back
// replaces the part with the same id. A field is sent when it is left, unless
// its form is marked data-ask. Nothing typed meanwhile is lost: a field counts
// as clean only while the notebook has it or is about to.
const queue = [] // what has been sent and not answered yet, in order
let line = Promise.resolve()

const swapping = (form) => form?.matches?.('form[data-swap]')
const dirty = (e) => e.matches('input:not([type=hidden], [type=checkbox], [type=radio]), textarea') && e.value !== e.defaultValue
const texts = (e) => e instanceof HTMLTextAreaElement || (e instanceof HTMLInputElement && e.type === 'text')

// send puts a form in the queue; one is answered before the next is sent.
function send(form, submitter, entered) {
  const sent = [...form.elements].filter(dirty)
  const job = {
    action: submitter?.getAttribute('formaction') || form.getAttribute('action'),
    body: new URLSearchParams(new FormData(form, submitter)),
    part: form.dataset.swap,
    fields: sent.map((e) => ({ id: e.id, value: e.value, before: e.defaultValue })),
    from: entered && form,
  }
  for (const e of sent) e.defaultValue = e.value
  queue.push(job)
  document.body.setAttribute('aria-busy', 'true')
  line = line.then(() => answer(job))
}

async function answer(job) {
  await exchange(job)
  if (!queue.length) document.body.removeAttribute('aria-busy')
}

async function exchange(job) {
  try {
    job.begun = true
    const reply = await fetch(job.action, { method: 'POST', body: job.body, keepalive: true, headers: { Accept: 'text/html' } })
    const page = new DOMParser().parseFromString(await reply.text(), 'text/html')
    queue.splice(queue.indexOf(job), 1)
    const fresh = page.getElementById(job.part)
    if (fresh) return swap(document.getElementById(job.part), fresh, job.from)
    if (reply.ok) return location.assign(reply.url)
    giveBack(job, `Not kept. ${[...page.querySelectorAll('main p')].slice(0, 2).map((p) => p.textContent).join(' ')}`)
  } catch {
    queue.splice(queue.indexOf(job), 1)
    giveBack(job, 'Not kept: the notebook did not answer. Your words are still in the field; press Enter to try again.')
  }
}

// giveBack makes the fields dirty again, so that they can be sent once more.
function giveBack(job, words) {
  for (const { id, before } of job.fields) {
    const field = document.getElementById(id)
    if (field) field.defaultValue = before
  }
  tell(words)
}

function swap(old, fresh, from) {
  const at = document.activeElement
  const turn = from && from.contains(at)
  const typed = [...old.querySelectorAll('input, textarea')].filter((e) => e.id && dirty(e)).map((e) => [e.id, e.value])
  const caret = at && old.contains(at) && texts(at) ? [at.selectionStart, at.selectionEnd] : null
  const open = [...old.querySelectorAll('details[open][data-stay]')].map((d) => d.id)
  document.getElementById('told')?.remove()
  old.replaceWith(document.adoptNode(fresh))
  for (const id of open) document.getElementById(id)?.setAttribute('open', '')
  for (const { id, value } of queue.flatMap((job) => job.fields)) {
    const field = document.getElementById(id)
    if (field) field.defaultValue = field.value = value
  }
  for (const [id, value] of typed) {
    const field = document.getElementById(id)
    if (field) field.value = value
  }
  const focus = (turn && fresh.querySelector('[data-next]')) || (at?.id && fresh.querySelector(`#${CSS.escape(at.id)}`))
  if (focus) {
    focus.focus({ preventScroll: true })
    if (turn) focus.scrollIntoView({ block: 'center' })
    else if (caret && caret[0] !== null) focus.setSelectionRange(...caret)
  }
  document.dispatchEvent(new CustomEvent('swapped'))
}

function tell(words) {
  const p = document.getElementById('told') ?? Object.assign(document.createElement('p'), { id: 'told', className: 'flash told' })
  p.setAttribute('role', 'alert')
  p.textContent = words
  document.getElementById('main').prepend(p)
}

document.addEventListener('submit', (event) => {
  const form = event.target
  if (swapping(form)) {
    event.preventDefault()
    send(form, event.submitter, true)
  } else if (queue.length) { // an ordinary form waits until what was typed before it is kept
    event.preventDefault()
    const { submitter } = event
    line.then(() => document.getElementById('told') || again(form, submitter))
  }
})

// again presses the button that has meanwhile taken the place of another.
function again(form, submitter) {
  const now = form.isConnected ? form : document.querySelector(`form[action="${form.getAttribute('action')}"]`)
  now?.requestSubmit(submitter?.isConnected ? submitter : null)
}

const leave = ({ target }) => {
  if (target.isConnected && swapping(target.form) && dirty(target) && !('ask' in target.form.dataset)) send(target.form)
}
document.addEventListener('focusout', leave)
document.addEventListener('change', ({ target }) => {
  if (swapping(target.form) && !('ask' in target.form.dataset) && target.matches('select, [type=checkbox], [type=radio]')) send(target.form)
})

// When the page goes, what waits or is being written goes to the notebook first.
addEventListener('pagehide', () => {
  if (document.activeElement) leave({ target: document.activeElement })
  for (const job of queue) if (!job.begun) navigator.sendBeacon(job.action, job.body)
})
