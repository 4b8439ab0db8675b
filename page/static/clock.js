// Clocks tick: <time data-since="…"> tells how long, <time data-clock> what time it is.
// The page says when it was written, so a clock that is wrong here stays wrong everywhere alike.
const zone = (document.body.dataset.now || '').match(/([+-])(\d\d):(\d\d)$/)
const offset = zone ? (zone[1] === '-' ? -1 : 1) * (zone[2] * 60 + +zone[3]) : 0
let written = Date.parse(document.body.dataset.now)
let loaded = Date.now()

const now = () => (written ? written + Date.now() - loaded : Date.now())
const two = (n) => String(n).padStart(2, '0')

function waited(ms) {
  const minutes = Math.max(0, Math.floor(ms / 60000))
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${two(minutes % 60)} min`
}

function tick() {
  for (const e of document.querySelectorAll('time[data-since]')) {
    const said = waited(now() - Date.parse(e.dataset.since))
    if (e.textContent !== said) e.textContent = said
  }
  const here = new Date(now() + offset * 60000)
  for (const e of document.querySelectorAll('time[data-clock]')) {
    const said = `${two(here.getUTCHours())}:${two(here.getUTCMinutes())}`
    if (e.textContent !== said) e.textContent = said
  }
}

document.addEventListener('swapped', tick)
setInterval(tick, 5000)
