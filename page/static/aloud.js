// The phrase said last is read out by the browser's own voice, numbers with their
// digits apart, if this device was told to. It is off until somebody says so.
const voice = window.speechSynthesis
const told = () => localStorage.getItem('aloud') === 'yes'
let last = heard() // what stood there when the page came is old

function heard() {
  const { phrase, aloud } = document.getElementById('echo')?.dataset ?? {}
  return phrase && phrase !== '0' ? `${location.pathname} ${phrase} ${aloud}` : ''
}

function show() {
  const button = voice && document.querySelector('button[data-speaker]')
  if (!button) return
  button.hidden = false
  button.setAttribute('aria-pressed', String(told()))
}

function speak() {
  const now = heard()
  if (!now || now === last) return
  last = now
  if (!told() || !voice) return
  voice.cancel()
  voice.speak(Object.assign(new SpeechSynthesisUtterance(document.getElementById('echo').dataset.aloud), { lang: 'en' }))
}

document.addEventListener('click', ({ target }) => {
  if (!target.closest?.('button[data-speaker]')) return
  localStorage.setItem('aloud', told() ? 'no' : 'yes')
  if (!told()) voice.cancel()
  show()
})
document.addEventListener('swapped', () => { show(); speak() })
show()
