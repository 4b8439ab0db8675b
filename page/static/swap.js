// A form marked data-swap is sent without leaving the page: what comes back
// replaces the part with the same id. A field is sent when it is left, unless
// its form is marked data-ask. Nothing typed meanwhile is lost: a field counts
// as clean only while the notebook has it or is about to. From a field Enter
// goes to the one named by data-then: at once, or when what is mended was taken.
const queue = [] // what has been sent and not answered yet, in order
let line = Promise.resolve()
let changing = false // a field that goes because its part is replaced is not left

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
    home: form.dataset.home,
    page: location.pathname,
    line: 'call' in form.dataset, // empty as soon as it is sent, for the next phrase
  }
  for (const e of sent) e.defaultValue = job.line ? (e.value = '') : e.value
  queue.push(job)
  document.body.setAttribute('aria-busy', 'true')
  line = line.then(() => answer(job))
  return job
}

// enter sends the field that Enter was pressed in, and goes on.
function enter(field, form) {
  const { then } = field.dataset
  const [blank, mended] = [field.value === '', field.defaultValue !== '']
  if (blank && !mended) return // nothing was said: stay
  const job = send(form, null, true)
  if (mended || blank) Object.assign(job, { then, origin: field.id })
  else attend(document.getElementById(then))
}

const attend = (e) => e?.dispatchEvent(new Event('turn', { bubbles: true }))
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
    const stays = !reply.redirected || new URL(reply.url).pathname === job.page // and goes to no other animal
    const fresh = stays && page.getElementById(job.part)
    const here = job.page === location.pathname // and not gone on to another animal
    if (fresh && here) return swap(document.getElementById(job.part), fresh, job)
    if (reply.ok) return here && location.assign(reply.url)
    giveBack(job, `Not kept. ${[...page.querySelectorAll('main p')].slice(0, 2).map((p) => p.textContent).join(' ')}`)
  } catch {
    queue.splice(queue.indexOf(job), 1)
    giveBack(job, 'Not kept: the notebook did not answer. Your words are still in the field; press Enter to try again.')
  }
}

// giveBack makes the fields dirty again, so that they can be sent once more.
function giveBack(job, words) {
  for (const { id, value, before } of job.fields) {
    const field = document.getElementById(id)
    if (field) Object.assign(field, { defaultValue: before }, job.line && { value: `${value} ${field.value}`.trim() })
  }
  tell(words)
}

function swap(old, fresh, job) {
  const at = document.activeElement
  const turn = job.from && (job.from.contains(at) || (job.origin && at?.id === job.origin))
  const typed = [...old.querySelectorAll('input, textarea')].filter((e) => e.id && dirty(e)).map((e) => [e.id, e.value])
  const caret = at && old.contains(at) && texts(at) ? [at.selectionStart, at.selectionEnd] : null
  const open = [...old.querySelectorAll('details[open][data-stay]')].map((d) => d.id)
  const height = at && old.contains(at) ? at.getBoundingClientRect().top : null
  const same = at && old.contains(at) ? twin(at) : () => null
  document.getElementById('told')?.remove()
  changing = true
  old.replaceWith(document.adoptNode(fresh))
  changing = false
  for (const id of open) document.getElementById(id)?.setAttribute('open', '')
  for (const { id, value } of queue.flatMap((job) => (job.line ? [] : job.fields))) {
    const field = document.getElementById(id)
    if (field) field.defaultValue = field.value = value
  }
  for (const [id, value] of typed) Object.assign(document.getElementById(id) ?? {}, { value })
  const refused = job.fields.map(({ id }) => id && document.getElementById(id)).find((e) => e?.getAttribute('aria-invalid'))
  const next = refused ?? document.getElementById(job.home || job.then) ?? fresh.querySelector('[data-next]')
  const writing = at && typed.some(([id]) => id === at.id)
  if (next && !writing && (turn || (refused && job.from))) attend(next)
  else if (same(fresh)) {
    same(fresh).focus({ preventScroll: true })
    if (caret && caret[0] !== null) same(fresh).setSelectionRange(...caret)
    scrollBy(0, same(fresh).getBoundingClientRect().top - height) // what is written in does not move under the finger
  }
  document.dispatchEvent(new CustomEvent('swapped'))
}

// twin finds, in the part that comes, what stands for an element of the old.
function twin(e) {
  if (e.id) return (fresh) => fresh.querySelector(`#${CSS.escape(e.id)}`)
  const fold = e.matches('summary') && e.parentElement.id
  if (fold) return (fresh) => fresh.querySelector(`#${CSS.escape(fold)} > summary`)
  const about = (b) => [b.form?.getAttribute('action'), b.form?.elements.field?.value, b.name, b.value].join(' ')
  if (e.form) return (fresh) => [...fresh.querySelectorAll('button')].find((b) => about(b) === about(e))
  return () => null
}

const tell = (words) => document.dispatchEvent(new CustomEvent('tell', { detail: words }))
document.addEventListener('submit', (event) => {
  const form = event.target
  if (swapping(form)) {
    event.preventDefault()
    const field = document.activeElement
    if (texts(field) && field.dataset.then && field.form === form) enter(field, form)
    else send(form, event.submitter, true)
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
  if (!changing && target.isConnected && swapping(target.form) && dirty(target) && !('ask' in target.form.dataset)) send(target.form)
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
