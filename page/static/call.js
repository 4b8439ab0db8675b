// The call line is echoed while it is typed: its words go to the notebook, and
// what became of each comes back. Nothing is read here. After a phrase the row it
// concerns is brought into sight. Escape in an empty line takes the last back.
// A screen reader is told what became of the words when typing rests, in a place
// that stays: one that is replaced with the card is not read out.
let flying = false
let rest = null // the echo of the last phrase, while another is typed

const part = () => document.getElementById('echo')
const rests = 900 // milliseconds without a key
const voice = Object.assign(document.createElement('p'), { id: 'echoed', className: 'hidden' })
voice.setAttribute('role', 'status')
document.body.append(voice)
let waiting

// tell tells it once; an empty echo is silence.
function tell(wait) {
  clearTimeout(waiting)
  waiting = setTimeout(() => {
    const words = part()?.querySelector('.gives')?.textContent.replace(/\s+/g, ' ').trim() ?? ''
    if (voice.textContent !== words) voice.textContent = words
  }, wait)
}
const isLine = (e) => e?.matches?.('input[data-echo]')

async function asked(line, words) {
  const address = `${line.dataset.echo}?${new URLSearchParams({ words })}`
  const reply = await fetch(address, { headers: { Accept: 'text/html' } }).catch(() => null)
  return reply?.ok ? new DOMParser().parseFromString(await reply.text(), 'text/html').getElementById('echo') : null
}

// echo shows what the line says now; what is typed while the answer is under way
// is asked for when it is here.
async function echo(line) {
  if (flying) return
  const words = line.value
  if (!words.trim()) return forget()
  flying = true
  const fresh = await asked(line, words)
  flying = false
  if (!line.isConnected || !line.value.trim()) return
  if (fresh && part()) {
    rest ??= part()
    part().replaceWith(document.adoptNode(fresh))
    tell(rests)
  }
  if (line.value !== words) echo(line)
}

// forget shows the last phrase again.
function forget() {
  if (rest && !rest.isConnected) part()?.replaceWith(rest)
  rest = null
}

document.addEventListener('input', ({ target }) => { if (isLine(target)) echo(target) })

document.addEventListener('swapped', () => {
  rest = null
  tell(0)
  const line = document.querySelector('input[data-echo]')
  if (!line) return
  if (line.value) echo(line)
  if (document.activeElement === line) [...document.querySelectorAll('[data-heard]')].at(-1)?.scrollIntoView({ block: 'nearest' })
})

document.addEventListener('keydown', (event) => {
  if (event.key !== 'Escape' || event.repeat || !isLine(event.target) || event.target.value) return
  event.preventDefault()
  document.querySelector('form[data-undo]')?.requestSubmit()
})
