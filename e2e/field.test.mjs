// The field program in a real browser: from an empty phone to captures kept with
// no network at all, a browser that dies in the middle of one, a second tab, and
// a new version that comes in the middle of a trip.

import assert from 'node:assert/strict'
import { readFileSync, writeFileSync } from 'node:fs'
import { createServer, get } from 'node:http'
import { join } from 'node:path'
import { after, test } from 'node:test'
import { assertFit, look, screenshot, serve, takeTroubles, watch } from './harness.mjs'
import { begin, confirmed, fromFile, installed, joins, phone, unlock } from './phone.mjs'
import { captures, checks, chip, follow, row, scan, tap, toWaiting, type } from './scribe.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--grow-only']] })
const file = join(program.folder, 'notebook.lines')
program.run('export', 'lines', '-o', file)
const known = strangers()

// strangers are transponders of released animals of earlier trips, whose last
// four digits no other mark has.
function strangers() {
  const all = captures(program)
  const trip = all.map((c) => c.trip).sort().at(-1)
  const lately = new Set(all.filter((c) => c.trip === trip).map(chip))
  const chips = [...new Set(all.filter((c) => c.species === 'RW' && c.fate === 'released').map(chip))]
  const tails = chips.filter(Boolean).map((c) => c.slice(-4))
  return chips.filter((c) => c && !lately.has(c) && tails.filter((t) => t === c.slice(-4)).length === 1)
}

// ready is a phone with the notebook on it, the pen in hand, and the program on
// its shelf: from here on it needs nobody.
async function ready(how, origin = program.origin) {
  const it = await phone(how)
  await begin(it.page, origin, file)
  await installed(it.page)
  return it
}

// offline takes the network away: nothing that is asked of it is answered.
async function offline(it) {
  await it.context.setOffline(true)
  it.page.on('response', (r) => { if (!r.fromServiceWorker()) it.fromNetwork.push(r.url()) })
  it.fromNetwork = []
}

// round opens the round of a site by the page's own links.
async function round(page, site) {
  await follow(page, /^Round$/, page.locator('.hours'))
  await follow(page, new RegExp(`^${site} `), page.getByRole('navigation', { name: 'Rounds' }))
  if (await page.getByRole('button', { name: /^begin round 1/ }).count()) await tap(page, /^begin round 1/)
}

// keep lets the animal in the hand go.
async function keep(page) {
  await tap(page, /keep/)
  if (await page.getByRole('button', { name: 'keep all the same' }).count()) await tap(page, 'keep all the same')
  assert.match(await page.locator('h1').innerText(), /^Kept: /)
}

test('a phone begins with a file, and says plainly what is wrong with one', async () => {
  const it = await phone({ dark: true })
  const { page } = it
  await page.goto(`${program.origin}/field/`)
  await page.getByRole('heading', { name: 'Begin on this phone' }).waitFor()
  await assertFit(page)
  await screenshot(page, 'field-begin-dark')
  const cut = join(program.folder, 'cut.lines')
  writeFileSync(cut, readFileSync(file).subarray(0, 100_000))
  await fromFile(page, cut)
  await page.getByRole('alert').waitFor()
  assert.match(await page.getByRole('alert').innerText(), /cut off; copy it again/)
  await assertFit(page)
  await begin(page, program.origin, file)
  assert.match(await page.locator('#kept').innerText(), /kept on this phone · not yet elsewhere/)
  await page.goto(`${program.origin}/field/round`)
  await page.getByRole('heading', { name: 'Open the notebook' }).waitFor()
  await screenshot(page, 'field-unlock-dark')
  await page.getByLabel('Passphrase').fill('quoll on a wet granite slap')
  await tap(page, 'open the notebook')
  assert.match(await page.locator('.wrong').innerText(), /not the notebook's passphrase/)
  await assertFit(page)
  await unlock(page)
  assert.equal(new URL(page.url()).pathname, '/field/round')
})

test('with no network: cold start, a chip tail, three captures, a dead browser, nothing lost', async () => {
  const it = await ready({ dark: true })
  await it.stop()
  let page = await it.start()
  await offline(it)
  await page.goto(`${program.origin}/field/`)
  await unlock(page)
  await round(page, 'K')
  await assertFit(page)
  await screenshot(page, 'field-round-dark')

  for (const number of known.slice(0, 3)) {
    const [trap] = await checks(page, 1)
    await toWaiting(page, trap)
    await scan(page, number)
    assert.match(await page.locator('h1').innerText(), new RegExp(`…${number.slice(-4)}`))
    await type(page, '#f-weighing-gross', '3600')
    await type(page, '#f-weighing-bag', '110')
    await keep(page)
    await follow(page, /round/i, page.locator('#main'))
  }

  const [trap] = await checks(page, 4)
  await toWaiting(page, trap)
  await scan(page, known[3])
  await type(page, '#f-weighing-gross', '3710')
  await screenshot(page, 'field-bench-dark')
  await page.locator('#f-measures-pes').pressSequentially('13')
  const at = page.url()
  await page.evaluate(() => fetch('/kept')) // answered after the last key lies in the phone's storage
  assert.deepEqual(it.fromNetwork, [], 'asked of a network that is not there')
  takeTroubles(page)
  await it.kill()

  page = await it.start()
  await offline(it)
  await page.goto(at)
  await unlock(page)
  assert.equal(page.url(), at, 'back at the card')
  assert.match(await page.locator('h1').innerText(), new RegExp(`…${known[3].slice(-4)}`))
  assert.equal(await page.locator('#f-weighing-gross').inputValue(), '3710')
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '13', 'a key that was typed and not sent')
  await page.locator('#f-measures-pes').fill('131')
  await page.locator('#f-measures-pes').press('Enter')
  await keep(page)
  assert.deepEqual(it.fromNetwork, [])

  const before = new Set(readFileSync(file, 'utf8').split('\n'))
  const own = (await takenOut(page)).split('\n').filter((l) => l && !l.startsWith('{"head"') && !before.has(l)).map((l) => JSON.parse(l))
  const released = own.filter((l) => l.kind === 'capture' && l.body.released).map((l) => l.body.handled.marks[0].text)
  assert.deepEqual(released, known.slice(0, 4), 'what the phone wrote is in its file, each animal once')
})

// takenOut gives what the phone's file holds.
async function takenOut(page) {
  await page.locator('#kept a').click()
  await page.getByRole('heading', { name: /^kept on this phone/ }).waitFor()
  await assertFit(page)
  await screenshot(page, 'field-kept-dark')
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'every line as plain text' }).click()])
  return readFileSync(await download.path(), 'utf8')
}

test('a phone joins by a code, goes without a network, and then the laptop has it all', async () => {
  const it = await phone({ dark: true })
  let { page } = it
  await confirmed(program, async (code) => {
    await joins(page, program.origin, code)
    await page.locator('#kept').waitFor({ timeout: 60_000 })
  })
  assert.match(await page.locator('#kept').innerText(), /also on .* \d\d:\d\d/)
  await installed(page)
  await round(page, 'L')
  const laptop = await look(program, { device: 'desk' })
  await laptop.goto('/fellows')
  for (let i = 0; i < 20 && !(await laptop.locator('main').innerText()).includes("MO's phone"); i++) {
    await laptop.waitForTimeout(500)
    await laptop.reload()
  }
  assert.match(await laptop.locator('main').innerText(), /MO's phone/, 'the laptop hears where the phone is')
  await offline(it)
  const [trap] = await checks(page, 2)
  await toWaiting(page, trap)
  await scan(page, known[6])
  await type(page, '#f-weighing-gross', '3600')
  await keep(page)
  assert.match(await page.locator('#kept').innerText(), /\d+ lines since/)
  await it.context.setOffline(false)
  await page.locator('#kept a').click()
  await tap(page, /^exchange lines with/)
  await page.locator('#kept').filter({ hasNotText: 'since' }).waitFor({ timeout: 60_000 })
  await screenshot(page, 'field-exchanged-dark')
  const last = captures(program).filter((c) => chip(c) === known[6]).at(-1)
  assert.equal(last.trap, trap, 'the laptop has the capture')
})

test('back, forward and reload', async () => {
  const it = await ready({})
  const { page } = it
  await round(page, 'K')
  const [trap] = await checks(page, 1)
  await toWaiting(page, trap)
  const card = page.url()
  await page.goBack()
  await page.locator('.in-hand').waitFor()
  await page.goForward()
  await page.locator('.call, [data-reader]').first().waitFor()
  assert.equal(page.url(), card)
  await page.reload()
  await unlock(page)
  assert.equal(page.url(), card)
  await screenshot(page, 'field-bench-light')
  await round(page, 'K')
  await screenshot(page, 'field-round-light')
  await page.locator('#kept a').click()
  await page.getByRole('heading', { name: /^kept on this phone/ }).waitFor()
  await screenshot(page, 'field-kept-light')
})

test('a second tab says that the notebook is open in another', async () => {
  const it = await ready({})
  const second = await it.context.newPage()
  watch(second)
  await second.goto(`${program.origin}/field/`)
  await second.getByRole('heading', { name: 'The notebook is open in another tab' }).waitFor()
  await assertFit(second)
  await screenshot(second, 'field-second-light')
  await it.page.close()
  await second.getByRole('button', { name: 'try again' }).click()
  await second.getByRole('heading', { name: 'Open the notebook' }).waitFor()
})

// versions stands before the program and gives out its service worker, which to
// a browser is a new version as soon as a byte of it differs.
async function versions() {
  const it = createServer((asked, reply) => {
    const target = new URL(asked.url, program.origin)
    get(target, { headers: { ...asked.headers, host: target.host } }, (answer) => {
      const chunks = []
      answer.on('data', (c) => chunks.push(c)).on('end', () => {
        let body = Buffer.concat(chunks)
        if (it.next && asked.url === '/field/sw.js') body = Buffer.from(body.toString().replace("version = 'field-", "version = 'field-new-"))
        delete answer.headers['content-length']
        reply.writeHead(answer.statusCode, answer.headers).end(body)
      })
    })
  })
  await new Promise((resolve) => it.listen(0, '127.0.0.1', resolve))
  after(() => it.close())
  return Object.assign(it, { origin: `http://127.0.0.1:${it.address().port}` })
}

test('a new version waits while an animal is in the hand, and until somebody takes it', async () => {
  const origin = await versions()
  const it = await ready({}, origin.origin)
  const { page } = it
  await round(page, 'K')
  const [trap] = await checks(page, 1)
  await toWaiting(page, trap)
  await scan(page, known[4])
  await type(page, '#f-weighing-gross', '3600')
  const born = await page.evaluate(() => performance.timeOrigin)
  origin.next = true
  await page.evaluate(async () => { await (await navigator.serviceWorker.ready).update() })
  await page.locator('#fresh').waitFor()
  assert.match(await page.locator('#fresh').innerText(), /takes effect after this animal/)
  assert.equal(await page.locator('#fresh button').count(), 0)
  await screenshot(page, 'field-update-in-hand-light')
  await type(page, '#f-weighing-bag', '110')
  await keep(page)
  await page.locator('#fresh button').waitFor()
  await assertFit(page)
  await screenshot(page, 'field-update-light')
  assert.equal(await page.evaluate(() => performance.timeOrigin), born, 'the document was loaded anew by itself')
  await page.locator('#fresh button').click()
  await page.getByRole('heading', { name: 'Open the notebook' }).waitFor()
  await unlock(page)
  assert.equal(await page.locator('#fresh').count(), 0)
})

test('nothing of a notebook lies in a cache', async () => {
  const it = await ready({})
  await round(it.page, 'K')
  const held = await it.page.evaluate(async () => {
    const found = []
    for (const name of await caches.keys()) {
      for (const request of await (await caches.open(name)).keys()) found.push(new URL(request.url).pathname)
    }
    return found
  })
  assert.ok(held.length > 10)
  for (const path of held) assert.match(path, /^\/(static\/[\w.-]+|field\/[\w.-]*)$/)
  assert.deepEqual(held.filter((p) => /round|bench|set|pen/.test(p)), [])
})
