// The budgets of the field program, measured: a phone whose browser runs for one
// part in four of the time, a notebook of 5,000 animals and 50,000 captures, no
// network. Prints what was measured, by the clock on the wall and by the time
// that the phone's processor worked.
//
//   make bench-field

import { spawnSync } from 'node:child_process'
import { openSync, readFileSync, statSync } from 'node:fs'
import { loadavg } from 'node:os'
import { join } from 'node:path'
import { after, test } from 'node:test'
import { serve } from './harness.mjs'
import { begin, installed, phone, processes, slowed, unlock } from './phone.mjs'
import { checks, follow, tap, toWaiting } from './scribe.mjs'

const slower = 4
const root = join(import.meta.dirname, '..')
const rows = []
const yesterday = new Date(Date.now() - 864e5).toISOString().slice(0, 10)

// large is the file of the notebook; LARGE names one that was made before.
function large(folder) {
  if (process.env.LARGE) return process.env.LARGE
  const name = join(folder, 'large.lines')
  spawnSync('go', ['run', './e2e/large', yesterday], { cwd: root, stdio: ['ignore', openSync(name, 'w'), 'inherit'] })
  return name
}

// worked is how long the processes of a phone's browser have worked, in seconds.
const worked = (it) => processes(it.folder).reduce((sum, pid) => {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1].split(' ')
  return sum + (Number(fields[11]) + Number(fields[12])) / 100
}, 0)

// measured does something and notes how long it took.
async function measured(it, what, budget, work) {
  const [began, busy] = [performance.now(), worked(it)]
  const took = (await work()) ?? performance.now() - began
  console.log(what, Math.round(took), 'ms')
  rows.push({ what, took, 'budget ms': budget, 'on the wall ms': Math.round(took), 'worked ms': Math.round(1000 * (worked(it) - busy)) })
}

// inPage gives how many milliseconds pass in the page from Enter in a field to
// the part that comes back, with what is looked for in it.
const inPage = (page, field, value, wanted) => page.evaluate(async ([field, value, wanted]) => {
  const e = document.querySelector(field)
  e.focus()
  e.value = value
  const began = performance.now()
  const came = new Promise((resolve) => {
    const look = () => {
      if (!document.querySelector(wanted)) return
      document.removeEventListener('swapped', look)
      resolve(performance.now() - began)
    }
    document.addEventListener('swapped', look)
  })
  e.form.requestSubmit()
  return came
}, [field, value, wanted])

test('budgets', async () => {
  const program = await serve({ before: [['demo', '--seed', '1', '--grow-only']] })
  const file = large(program.folder)
  const it = await phone({ dark: true })
  await begin(it.page, program.origin, file, { patience: 900_000 })
  await installed(it.page)
  await it.stop()

  let page = await it.start()
  await it.context.setOffline(true)
  let full = await slowed(it, slower)
  after(() => full())
  await measured(it, 'cold start: to the passphrase', '–', async () => {
    await page.goto(`${program.origin}/field/round`)
    await page.getByLabel('Passphrase').waitFor({ timeout: 120_000 })
  })
  await measured(it, 'cold start: from the passphrase to the round', 3000, () => unlock(page, { patience: 900_000 }))
  await full()

  await follow(page, /^K /, page.getByRole('navigation', { name: 'Rounds' }))
  if (await page.getByRole('button', { name: /^begin round 1/ }).count()) await tap(page, /^begin round 1/)
  const [trap] = await checks(page, 1)
  await toWaiting(page, trap)
  full = await slowed(it, slower)
  for (const animal of [17, 500, 999, 1300, 1800, 2400, 3100, 3333, 3900, 4711]) {
    const number = `999000001${String(animal).padStart(6, '0')}`
    await measured(it, `scan to card, animal ${animal}`, 100, () => inPage(page, 'form[data-reader] [name=text]', number, `[data-mark="${number}"]`))
    await measured(it, 'a field to its row', 50, () => inPage(page, '#f-weighing-gross', String(3600 + animal % 7), '[data-row=weight] .now'))
    await page.waitForTimeout(500)
    await tap(page, 'undo')
    await tap(page, 'undo')
  }
  await full()

  console.log(`\nslowed ${slower} times; load ${loadavg()[0].toFixed(1)} on this machine meanwhile`)
  console.table(rows.map(({ took, ...r }) => r))
  for (const kind of ['scan', 'a field']) {
    const all = rows.filter((r) => r.what.startsWith(kind)).map((r) => r.took).sort((a, b) => a - b)
    console.log(`${kind}: median ${Math.round(all[all.length >> 1])} ms of ${all.length}, slowest ${Math.round(all.at(-1))} ms`)
  }
  const core = ['br', 'gz'].map((e) => join(root, 'field', 'built', `core.wasm.${e}`)).find((n) => statSync(n, { throwIfNoEntry: false }))
  console.log(`core, as it is sent: ${(statSync(core).size / 1e6).toFixed(2)} MB of 3 MB`)
})
