// The scribe's dawn in a real browser: the round, the bench, a reader that
// types, and what happens to words when the notebook is slow or silent.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { assertFit, look, screenshot, serve, takeTroubles } from './harness.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--grow-only']] })
const [known, second, third] = knownMarks()

// knownMarks are transponders of animals of earlier trips only, whose tails are
// nobody else's.
function knownMarks() {
  const [head, ...rows] = program.run('export', 'captures', '--csv').trim().split('\n').map((row) => row.split(','))
  const at = (name) => head.indexOf(name)
  const latest = rows.map((r) => r[at('trip')]).sort().at(-1)
  const chip = (r) => r[at('mark transponder')] || r[at('put mark transponder')]
  const lately = new Set(rows.filter((r) => r[at('trip')] === latest).map(chip))
  const chips = rows.filter((r) => r[at('species')] === 'RW' && r[at('fate')] === 'released').map(chip)
    .filter((c) => /^\d{15}$/.test(c) && !lately.has(c))
  return [...new Set(chips)].filter((c, _, all) => all.filter((o) => o.slice(-3) === c.slice(-3)).length === 1)
}

const flying = new WeakMap() // page to the number of requests under way

function count(page) {
  flying.set(page, 0)
  const add = (n) => () => flying.set(page, flying.get(page) + n)
  page.on('request', add(1))
  page.on('requestfinished', add(-1))
  page.on('requestfailed', add(-1))
}

// settled waits until everything that was sent has been answered.
async function settled(page) {
  for (let still = 0; still < 3; still++) {
    await page.waitForTimeout(40)
    if (flying.get(page) > 0) still = -1
  }
  await page.locator('body:not([aria-busy])').waitFor({ state: 'attached' })
  await page.waitForLoadState('load')
}

// assertFitToTheEnd looks at the page from its end, where nothing lies under the
// foot.
async function assertFitToTheEnd(page) {
  await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight))
  await assertFit(page)
}

async function press(page, name) {
  await page.getByRole('button', { name }).first().click()
  await settled(page)
}

// dawn opens the round of one site with the pen in hand.
async function dawn(how, site) {
  const page = await look(program, how)
  count(page)
  await page.goto('/pen?back=/round')
  await page.getByLabel('Initials').fill('MO')
  await press(page, 'take the pen')
  await page.getByRole('navigation', { name: 'Rounds' }).getByRole('link', { name: new RegExp(`^${site} `) }).click()
  await settled(page)
  const begin = page.getByRole('button', { name: /^begin round 1/ })
  if (await begin.count()) await press(page, /^begin round 1/)
  return page
}

// caught writes a capture in the trap in hand and opens its card.
async function caught(page) {
  const trap = (await page.locator('.in-hand h2').innerText()).match(/\w\d+/)[0]
  await press(page, /capture$/)
  await page.locator(`.waiting [data-trap="${trap}"] a`).last().click()
  await settled(page)
  return trap
}

async function type(page, field, words) {
  await page.locator(field).fill(words)
  await page.keyboard.press('Enter')
  await settled(page)
}

test('a dawn on a phone in the dark: round, reader, card, release', async () => {
  const page = await dawn({ device: 'phone', dark: true }, 'K')
  await assertFitToTheEnd(page)
  await press(page, /empty$/)
  assert.match(await page.locator('.strip [data-trap="K01"]').innerText(), /– empty/)
  const trap = await caught(page)
  assert.equal(trap, 'K02')
  await assertFitToTheEnd(page)

  await page.evaluate(() => document.activeElement.blur())
  await page.keyboard.type(`${known}\n`, { delay: 5 })
  await page.locator('[data-mark]').waitFor({ state: 'attached' })
  assert.match(await page.locator('h1').innerText(), new RegExp(`…${known.slice(-4)} [♀♂]`))
  await assertFitToTheEnd(page)
  await screenshot(page, 'bench-phone-dark')

  const pressed = await page.locator('[data-row="sex"] .last').innerText()
  await page.locator('[data-row="sex"]').getByRole('button', { name: new RegExp(` ${pressed.replace(/last time\s*/, '').trim()}$`) }).click()
  await settled(page)
  await type(page, '#f-weighing-gross', '3600')
  await type(page, '#f-weighing-bag', '100')
  assert.match(await page.locator('[data-row="weight"] .now').first().innerText(), /3500 g/)
  await type(page, '#f-measures-pes', '40')
  assert.match(await page.locator('[data-row="pes"] .flag').first().innerText(), /Cannot be|Look again/)
  await assertFitToTheEnd(page)
  await screenshot(page, 'bench-phone-dark-flag')
  await press(page, 'undo')
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '')
  await press(page, /keep/)
  if (await page.getByRole('button', { name: 'keep all the same' }).count()) await press(page, 'keep all the same')
  assert.match(await page.locator('h1').innerText(), /^Kept: K02/)
  await assertFitToTheEnd(page)
})

test('Enter goes on to the next row in the calling order', async () => {
  const page = await dawn({ device: 'desk' }, 'K')
  await caught(page)
  await page.locator('[data-row="species"] summary').click()
  await page.locator('[data-row="species"]').getByRole('button', { name: 'rock-wallaby' }).click()
  await page.locator('#f-measures-pes').waitFor()
  await type(page, '#f-weighing-gross', '3600')
  await type(page, '#f-weighing-bag', '100')
  await type(page, '#f-measures-pes', '131')
  const next = await page.evaluate(() => document.activeElement.closest('[data-row]')?.dataset.row)
  assert.equal(next, await page.locator('.card-row.next').getAttribute('data-row'))
  await assertFitToTheEnd(page)
})

// focused is the id of what the keyboard is at.
const focused = (page) => page.evaluate(() => document.activeElement.id)

// wallaby opens the card of an animal just caught whose species is told.
async function wallaby(page) {
  const trap = await caught(page)
  await page.locator('[data-row="species"] summary').click()
  await page.locator('[data-row="species"]').getByRole('button', { name: 'rock-wallaby' }).click()
  await page.locator('#f-measures-pes').waitFor()
  return trap
}

test('weights typed fast are gross and bag, and no second Enter presses a button', async () => {
  const page = await dawn({ device: 'desk' }, 'K')
  await wallaby(page)
  await page.locator('#f-weighing-gross').focus()
  await page.keyboard.type('1065\n100\n\n')
  await settled(page)
  assert.match(await page.locator('[data-row="weight"] .now').first().innerText(), /965 g/)
  assert.match(await page.locator('[data-row="pouch"] .now').first().innerText(), /…/, 'nobody spoke of the pouch')
  assert.equal(await focused(page), 'row-pouch')
  await assertFitToTheEnd(page)
})

test('again: the old value is selected, and the focus stays until the new one is taken', async () => {
  const page = await dawn({ device: 'desk' }, 'K')
  await wallaby(page)
  await type(page, '#f-measures-pes', '40')
  await page.locator('[data-row="pes"] .flag').getByRole('link', { name: 'again' }).first().click()
  await page.keyboard.type('60.553.5\n')
  await settled(page)
  assert.equal(await focused(page), 'f-measures-pes')
  assert.match(await page.locator('#f-measures-pes-wrong').innerText(), /60\.553\.5/)
  await page.keyboard.type('131\n')
  await settled(page)
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '131')
  assert.notEqual(await focused(page), 'f-measures-pes')
})

test('keys without a field are seen at any speed, on the round and after a change of page', async () => {
  const page = await dawn({ device: 'phone', dark: true }, 'K')
  await page.keyboard.type(second, { delay: 110 })
  assert.equal(await page.locator('#call').inputValue(), second)
  await page.keyboard.press('Enter')
  await page.locator('#asked').waitFor()
  const trap = (await page.locator('.in-hand h2').innerText()).match(/\w\d+/)[0]
  await press(page, /capture$/)
  await page.locator(`.waiting [data-trap="${trap}"] a`).last().evaluate((a) => a.click())
  await page.keyboard.type(`${second}\n`)
  await page.locator(`[data-mark="${second}"]`).waitFor({ state: 'attached' })
  assert.equal(await page.locator('[data-mark]').count(), 1)
})

test('young stay in sight, Enter stays with them; the animal and the round stay on screen', async () => {
  const page = await dawn({ device: 'phone', dark: true }, 'K')
  for (let n = 0; n < 3; n++) await press(page, /capture$/)
  await page.locator('.newcomer').waitFor()
  await wallaby(page)
  await page.locator('[data-row="sex"] summary').click()
  await page.locator('[data-row="sex"]').getByRole('button', { name: '♀ female' }).click()
  await settled(page)
  await page.locator('[data-row="young"] summary').first().click()
  for (const n of [1, 2, 3]) {
    await press(page, 'a young not met before')
    assert.match(await focused(page), new RegExp(`^f-young-${n}-measures-`))
    await page.locator(`#f-young-${n}-measures-crown-rump`).focus()
    await page.keyboard.type(`4${n}\n`)
    await settled(page)
    assert.match(await focused(page), new RegExp(`^f-young-${n}-measures-`))
  }
  for (const shown of ['.bags [aria-current]', '.bags .all', '#foot']) {
    const { x, y, width, height } = await page.locator(shown).boundingBox()
    assert.ok(x >= 0 && x + width <= 391 && y >= 0 && y + height <= 845, `${shown} is off the screen: ${x} ${y} ${width} ${height}`)
  }
  const box = await page.locator('[data-young="3"]').boundingBox()
  assert.ok(box.height < 260, `a young, with its age, is ${box.height} px high`)
  await screenshot(page, 'bench-phone-dark-young')
  await press(page, 'done with the young')
  await assertFitToTheEnd(page)
})

test('a reader that fires into another field leaves that field as it was', async () => {
  const page = await dawn({ device: 'phone' }, 'K')
  await caught(page)
  await page.locator('[data-row="species"] summary').click()
  await page.locator('[data-row="species"]').getByRole('button', { name: 'rock-wallaby' }).click()
  await page.locator('#f-measures-pes').fill('13')
  await page.waitForTimeout(200)
  await page.keyboard.type(`${second}\n`, { delay: 5 })
  await page.locator(`[data-mark="${second}"]`).waitFor({ state: 'attached' })
  await settled(page)
  await page.reload()
  assert.match(await page.locator('#f-measures-pes').inputValue(), /^(13)?$/, 'the number went into the mark row alone')
  assert.equal(await page.locator(`[data-mark="${second}"]`).count(), 1)
})

test('a reading that stalls, or whose row is swapped meanwhile, is not split', async () => {
  const page = await dawn({ device: 'desk' }, 'K')
  await caught(page)
  await page.locator('[data-row="species"] summary').click()
  await page.locator('[data-row="species"]').getByRole('button', { name: 'rock-wallaby' }).click()
  await page.locator('#f-measures-pes').fill('131')
  await page.waitForTimeout(150) // a hand that had just typed
  await page.keyboard.type(second.slice(0, 7), { delay: 5 })
  await page.waitForTimeout(250)
  await page.keyboard.type(`${second.slice(7)}\n`, { delay: 5 })
  await page.locator(`[data-mark="${second}"]`).waitFor({ state: 'attached' })
  await settled(page)
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '131')

  const network = await page.context().newCDPSession(page)
  await network.send('Network.enable')
  await network.send('Network.emulateNetworkConditions', { offline: false, latency: 250, downloadThroughput: -1, uploadThroughput: -1 })
  await page.locator('#f-measures-pes').fill('131.5')
  await page.keyboard.press('Enter')
  await page.keyboard.type(`${third}\n`, { delay: 40 }) // the answer comes in its midst
  await page.locator(`[data-mark="${third}"]`).waitFor({ state: 'attached' })
  await settled(page)
  for (const field of await page.locator('.rows input[name="typed"]').all()) {
    const words = await field.inputValue()
    assert.ok(words === '131.5' || !/\d{4}/.test(words) || words === third, `a piece of the reading stands in a row: ${words}`)
  }
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '131.5')
})

test('a reader on the round fills no bag', async () => {
  const page = await dawn({ device: 'phone' }, 'K')
  const trap = await page.locator('.in-hand h2').innerText()
  await page.locator('.outcomes [name="bag"]').fill('7')
  await page.waitForTimeout(500)
  await page.keyboard.type(`${second}\n`, { delay: 5 })
  await page.locator('#asked').waitFor()
  assert.match(await page.locator('#asked').innerText(), new RegExp(`${second}: …${second.slice(-4)}`))
  assert.equal(await page.locator('.outcomes [name="bag"]').inputValue(), '')
  assert.equal(await page.locator('.in-hand h2').innerText(), trap)
})

test('a double tap writes one trap; what was tapped is said, and taken back', async () => {
  const page = await dawn({ device: 'phone', dark: true }, 'M')
  const [first, next] = await page.locator('.strip .unseen').evaluateAll((all) => all.map((a) => a.dataset.trap))
  const empty = page.locator('.outcomes button[value="empty"]')
  await empty.click({ trial: true })
  const { x, y, width, height } = await empty.boundingBox()
  const tap = () => page.mouse.click(x + width / 2, y + height / 2)
  await tap()
  await page.waitForTimeout(150) // as fast as a finger
  await tap()
  await page.waitForTimeout(800)
  assert.match(await page.locator(`.strip [data-trap="${first}"]`).innerText(), /empty/)
  assert.match(await page.locator(`.strip [data-trap="${next}"]`).innerText(), /not seen/)
  assert.match(await page.locator('.last-tap').innerText(), new RegExp(`^${first} empty`))
  await assertFitToTheEnd(page)
  await screenshot(page, 'round-phone-dark-undo')
  await press(page, 'undo')
  assert.match(await page.locator(`.strip [data-trap="${first}"]`).innerText(), /not seen/)

  await page.locator('.outcomes [name="bag"]').fill('3')
  await press(page, /capture$/)
  const waiting = page.locator(`.waiting [data-trap="${first}"]`)
  assert.match(await waiting.innerText(), /in bag 3/)
  await waiting.locator('summary').click()
  await assertFitToTheEnd(page)
  await screenshot(page, 'round-phone-dark-no-animal')
  await waiting.locator('[name="why"]').fill('the bag was empty')
  await press(page, 'strike it')
  assert.equal(await page.locator(`.waiting [data-trap="${first}"]`).count(), 0)
})

test('a person who types digits is no reader', async () => {
  const page = await dawn({ device: 'desk' }, 'K')
  await caught(page)
  await page.locator('#call').focus()
  await page.keyboard.type('9990000', { delay: 120 })
  assert.equal(await page.locator('#call').inputValue(), '9990000')
  assert.equal(await page.locator('[data-mark]').count(), 0)
})

test('what is typed while the notebook is slow is not lost, even when the page goes', async () => {
  const page = await dawn({ device: 'desk' }, 'L')
  await caught(page)
  await page.locator('[data-row="species"] summary').click()
  await page.locator('[data-row="species"]').getByRole('button', { name: 'rock-wallaby' }).click()
  await page.locator('#f-measures-pes').waitFor()
  const network = await page.context().newCDPSession(page)
  await network.send('Network.enable')
  await network.send('Network.emulateNetworkConditions', { offline: false, latency: 500, downloadThroughput: -1, uploadThroughput: -1 })
  await page.locator('#f-measures-pes').fill('131.2')
  await page.keyboard.press('Enter')
  await page.locator('#f-measures-tail').fill('455')
  await page.locator('#f-measures-head').fill('96')
  await page.locator('#f-measures-pes[value="131.2"]').waitFor()
  assert.equal(await page.locator('#f-measures-head').inputValue(), '96', 'the field being written in is left alone')
  assert.equal(await page.locator('#f-measures-tail').inputValue(), '455', 'so is one that waits for its answer')
  await page.reload()
  await settled(page)
  await page.reload() // the first may have been answered before the last words arrived
  for (const [field, words] of [['pes', '131.2'], ['tail', '455'], ['head', '96']]) {
    assert.equal(await page.locator(`#f-measures-${field}`).inputValue(), words)
  }
})

test('when the notebook does not answer, the words stay in the field and the page says so', async () => {
  const page = await dawn({ device: 'phone' }, 'L')
  await caught(page)
  await page.locator('[data-row="species"] summary').click()
  await page.locator('[data-row="species"]').getByRole('button', { name: 'rock-wallaby' }).click()
  await page.locator('#f-measures-pes').waitFor()
  await page.route('**/in', (route) => route.abort('connectionrefused'))
  await type(page, '#f-measures-pes', '131.2')
  await page.getByRole('alert').waitFor()
  assert.match(await page.getByRole('alert').innerText(), /Not kept/)
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '131.2')
  await page.unroute('**/in')
  takeTroubles(page)
  await type(page, '#f-measures-pes', '131.2')
  await page.reload()
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '131.2')
})

test('a card without JavaScript: each row is a form of its own', async () => {
  const page = await dawn({ device: 'phone', dark: true, javaScript: false }, 'M')
  await assertFitToTheEnd(page)
  await caught(page)
  await page.locator('#call').fill(third)
  await page.keyboard.press('Enter')
  await settled(page)
  assert.match(await page.locator('h1').innerText(), /…\d{4}/)
  await type(page, '#f-measures-pes', '131.2')
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '131.2')
  await assertFitToTheEnd(page)
  await screenshot(page, 'bench-phone-dark-no-script')
  await press(page, 'undo')
  assert.equal(await page.locator('#f-measures-pes').inputValue(), '')
  await press(page, /keep/)
  if (await page.getByRole('button', { name: 'keep all the same' }).count()) await press(page, 'keep all the same')
  assert.match(await page.locator('h1').innerText(), /^Kept/)
})

for (const dark of [false, true]) {
  for (const device of ['phone', 'desk']) {
    test(`set and round are fit: ${device}, ${dark ? 'dark' : 'light'}`, async () => {
      const page = await dawn({ device, dark }, 'M')
      await assertFitToTheEnd(page)
      await screenshot(page, `round-${device}-${dark ? 'dark' : 'light'}`)
      await page.goto('/set')
      await assertFitToTheEnd(page)
      await screenshot(page, `set-${device}-${dark ? 'dark' : 'light'}`)
    })
  }
}

test('a round does not end while a trap is unseen, and names it', async () => {
  const page = await dawn({ device: 'phone' }, 'L')
  assert.match(await page.locator('#closing .flag.stop').innerText(), /not seen: L/)
  assert.equal(await page.getByRole('button', { name: /end the round/ }).count(), 0)
})
