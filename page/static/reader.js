// A mark reader types like a keyboard, but faster than any hand. Wherever the
// burst lands, it goes whole to the form marked data-reader and not into a row:
// a radio link may stall in its middle, and a row may be swapped under it. Its
// Enter sends it; without one it stays where it can be seen.
const fast = 80 // milliseconds between keys; no hand types ten characters so evenly fast
const pause = 400 // the longest that a reading may stall
const least = 10 // characters

let parts = [] // of the burst, each typed without a pause: { text, from, to, touched: [[field, before]] }

const editable = (e) => e instanceof HTMLInputElement || e instanceof HTMLTextAreaElement
const joined = (list) => list.map((p) => p.text).join('')
const whole = (text) => /^(L[AR] )?\d{3} ?\d{12}$/.test(text) || /^[0-9A-F]{16}$/i.test(text)
const looksRead = (text) => text.length >= least && /^(L[AR] )?[0-9A-F* ]+$/i.test(text) && /\d{4}/.test(text)

// even tells a reader that stalled from a hand that types without a pause.
const even = (list) => list.at(-1).to - list[0].from <= fast * (joined(list).length - 1)

// reading is the part of what was typed that a reader sent: a whole number,
// stalled or not, else the last burst.
function reading() {
  for (let i = 0; i < parts.length; i++) {
    const list = parts.slice(i)
    if (whole(joined(list)) && even(list)) return list
  }
  const last = parts.slice(-1)
  const rest = last.some((p) => p.touched.some(([, before]) => before !== '')) // of a number that was cut
  return last.length && !rest && looksRead(joined(last)) ? last : null
}

// slow is a whole number at the end of a measure or a bag, typed at any speed.
function slow(field) {
  const measure = editable(field) && ('noReader' in field.dataset || field.form?.matches('[data-swap]:not([data-ask])'))
  const [, before, text] = (measure && field.value.match(/^([\d.,]{0,6})(\d{15})$/)) || []
  return text && [{ text, from: 0, to: 0, touched: [[field, before]] }]
}

// restore puts back what stood in every field that the burst touched, whatever
// element bears the field by now.
function restore(list) {
  const before = new Map()
  for (const [field, value] of list.flatMap((p) => p.touched)) {
    const is = field.id || field
    if (!before.has(is)) before.set(is, value)
  }
  for (const [is, value] of before) {
    const field = typeof is === 'string' ? document.getElementById(is) : is
    if (field) field.value = value
  }
}

// give hands the reading over; it reports whether there was one to be kept
// from where it landed.
function give(read) {
  const form = document.querySelector('form[data-reader]')
  const refused = read.some((p) => p.touched.some(([field]) => 'noReader' in field.dataset))
  parts = []
  if (!form && !refused) return false // an ordinary field, such as a search, takes it
  restore(read)
  if (form) {
    form.elements.text.value = joined(read)
    form.elements.how.value = 'scanned'
    form.requestSubmit()
  } else {
    document.dispatchEvent(new CustomEvent('tell', { detail: `A reader sent ${joined(read)}. Open the animal's card, then scan it again.` }))
  }
  return true
}

document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.altKey || event.metaKey) return
  const gap = event.timeStamp - (parts.at(-1)?.to ?? -Infinity)
  if (event.key === 'Enter' || event.key === 'Tab') {
    const read = (gap <= pause && reading()) || slow(document.activeElement)
    if (read && give(read)) {
      event.preventDefault()
      event.stopImmediatePropagation()
    }
    parts = []
    return
  }
  if (event.key.length !== 1) return
  if (gap > pause) parts = []
  if (gap > fast) parts.push({ text: '', from: event.timeStamp, touched: [] })
  const part = parts.at(-1)
  const field = document.activeElement
  if (editable(field) && !part.touched.some(([f]) => f === field)) part.touched.push([field, field.value])
  part.text += event.key
  part.to = event.timeStamp
}, true)
