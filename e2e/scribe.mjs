// What a scribe does at dawn, as steps that the browser tests share: take the
// pen, open the round, write what a trap held, fill a card.

import { assertFit, look } from './harness.mjs'

const flying = new WeakMap() // page to the number of requests under way

function count(page) {
  flying.set(page, 0)
  const add = (n) => () => flying.set(page, flying.get(page) + n)
  page.on('request', add(1))
  page.on('requestfinished', add(-1))
  page.on('requestfailed', add(-1))
}

// settled waits until everything that was sent has been answered.
export async function settled(page) {
  for (let still = 0; still < 3; still++) {
    await page.waitForTimeout(40)
    if (flying.get(page) > 0) still = -1
  }
  await page.locator('body:not([aria-busy])').waitFor({ state: 'attached' })
  await page.waitForLoadState('load')
}

// fit looks at the page from its end, where nothing lies under the foot, and with
// the bags where they began, so that they hide half of no button.
export async function fit(page) {
  const bags = (position) => page.locator('.bags').evaluateAll((all, p) => { for (const e of all) e.style.position = p }, position)
  const top = await page.evaluate(() => scrollY)
  await bags('static')
  await page.evaluate(() => scrollTo(0, document.documentElement.scrollHeight))
  await assertFit(page)
  await bags('')
  await page.evaluate((y) => scrollTo(0, y), top)
}

// tap presses the first button of a name, on the page or in a part of it.
export async function tap(page, name, part = page) {
  await part.getByRole('button', { name }).first().click()
  await settled(page)
}

// follow goes where the first link of a name leads.
export async function follow(page, name, part = page) {
  await part.getByRole('link', { name }).first().click()
  await settled(page)
}

// takePen says who writes.
export async function takePen(page, initials) {
  count(page)
  page.setDefaultTimeout(10_000)
  await page.goto('/pen?back=/round')
  await page.getByLabel('Initials').fill(initials)
  await tap(page, 'take the pen')
}

// openRound opens the round of a site, begun if nobody has.
export async function openRound(page, site) {
  await page.goto('/round')
  await follow(page, new RegExp(`^${site} `), page.getByRole('navigation', { name: 'Rounds' }))
  if (await page.getByRole('button', { name: /^begin round 1/ }).count()) await tap(page, /^begin round 1/)
}

// dawn is a device with the pen in hand and the round of a site open.
export async function dawn(program, how, site) {
  const page = await look(program, how)
  await takePen(page, 'MO')
  await openRound(page, site)
  return page
}

// checks writes what traps held, from the one in hand on along those that were
// set; a number is an animal into that bag. It gives the traps with an animal.
export async function checks(page, ...held) {
  const caught = []
  for (const what of held) {
    const bagged = typeof what === 'number'
    if (bagged) {
      caught.push((await page.locator('.in-hand h2').innerText()).match(/\w\d+/)[0])
      await page.locator('.outcomes input[name=bag]').fill(String(what))
    }
    await page.locator(`.in-hand form.outcomes button[value="${bagged ? 'capture' : what}"]`).click()
    await settled(page)
  }
  return caught
}

// toWaiting goes from the round to the animal that waits from a trap.
export async function toWaiting(page, trap) {
  await follow(page, new RegExp(`^${trap}`), page.locator('.waiting'))
}

// row is one row of the card.
export const row = (page, key) => page.locator(`[data-row="${key}"]`)

// unfold opens a row of the card, if it is folded.
export async function unfold(page, key) {
  const details = row(page, key).locator('details').first()
  if (!(await details.evaluate((d) => d.open))) await details.locator('summary').first().click()
}

// choose takes a word of a row.
export async function choose(page, key, word) {
  await unfold(page, key)
  await tap(page, word, row(page, key))
}

// type writes into a field of the card and presses Enter.
export async function type(page, field, words) {
  await page.locator(field).fill(words)
  await page.locator(field).press('Enter')
  await settled(page)
}

// scan is a reader that types while no field is focused. A machine with too
// much to do stretches the burst until it looks like a hand; then it is read
// again, as one does.
export async function scan(page, number) {
  const mark = page.locator(`[data-mark="${number}"]`)
  for (let times = 0; times < 3 && !(await mark.count()); times++) {
    await page.evaluate(() => document.activeElement.blur())
    await page.keyboard.type(`${number}\n`)
    await mark.waitFor({ state: 'attached', timeout: 3000 }).catch(() => {})
  }
  await mark.waitFor({ state: 'attached' })
  await settled(page)
}

// captures are the rows of a programme's table of captures, by column.
export function captures(program) {
  const [head, ...rows] = program.run('export', 'captures', '--csv').trim().split('\n').map(cells)
  return rows.map((r) => Object.fromEntries(head.map((name, i) => [name, r[i]])))
}

// cells are the cells of a line of CSV without line breaks in quotes.
function cells(line) {
  return [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map((m) => (m[1] ?? m[2]).replaceAll('""', '"'))
}

// chip is the transponder read or put on a capture, if any.
export const chip = (c) => [c['mark transponder'], c['put mark transponder']].find((t) => /^\d{15}$/.test(t))

// cast chooses the animals of a dawn at one site: a bandicoot mother of earlier
// trips whose foot was measured, and a male caught on this trip already.
export function cast(program) {
  const all = captures(program)
  const trip = all.map((c) => c.trip).sort().at(-1)
  const now = all.filter((c) => c.trip === trip && chip(c) && c.fate === 'released')
  const lately = new Set(now.map(chip))
  for (const mother of all.toReversed()) {
    if (mother.species !== 'NB' || mother.sex !== 'female' || mother.stage !== 'adult' || !(Number(mother['measure pes']) > 0)) continue
    if (!chip(mother) || lately.has(chip(mother)) || all.findLast((c) => chip(c) === chip(mother)) !== mother) continue
    const retrap = now.find((c) => c.site === mother.site && c.sex === 'male' && alone(all, chip(c)))
    if (retrap) return { trip, site: mother.site, mother, retrap }
  }
  throw new Error('the demo has no mother and retrap to choose')
}

// alone tells whether no other mark ends in the same four digits.
function alone(all, number) {
  const tails = new Set(all.map(chip).filter((c) => c?.endsWith(number.slice(-4))))
  return tails.size === 1
}
