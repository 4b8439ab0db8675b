// A mark reader types like a keyboard, but faster than any hand. Wherever the
// burst lands, it goes to the form marked data-reader and not into a row.
const fast = 80 // milliseconds between keys; no hand types ten characters so evenly fast
const least = 10 // characters
const quiet = 200 // milliseconds after which a burst without an ending is over

let burst = null // { text, last, field, before }
let timer

const editable = (e) => e instanceof HTMLInputElement || e instanceof HTMLTextAreaElement

function begin(event) {
  const field = editable(document.activeElement) ? document.activeElement : null
  return { text: '', last: event.timeStamp, field, before: field?.value }
}

// give puts back what stood in the field and hands the reading over.
function give() {
  const form = document.querySelector('form[data-reader]')
  const read = burst
  burst = null
  clearTimeout(timer)
  if (!form || !looksRead(read.text)) return false
  const into = form.elements.text
  if (read.field && read.field !== into) read.field.value = read.before
  into.value = read.text
  form.elements.how.value = 'scanned'
  form.requestSubmit()
  return true
}

function looksRead(text) {
  return text.length >= least && /^(L[AR] )?[0-9A-F* ]+$/i.test(text) && /\d{4}/.test(text)
}

document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return
  const slow = burst && event.timeStamp - burst.last > fast
  if (event.key === 'Enter' || event.key === 'Tab') {
    if (burst && !slow && burst.text.length >= least && give()) {
      event.preventDefault()
      event.stopImmediatePropagation()
    }
    burst = null
    return
  }
  if (event.key.length !== 1) return
  if (!burst || slow) burst = begin(event)
  burst.text += event.key
  burst.last = event.timeStamp
  clearTimeout(timer)
  if (burst.text.length >= 15) timer = setTimeout(() => burst && give(), quiet)
}, true)
