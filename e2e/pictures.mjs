// The README's pictures, made from the demo at a dawn of its own: `make pictures`.
// The program runs by a clock in a file, so that they can be made at any hour
// and come out alike.

import { mkdirSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { after, test } from 'node:test'
import assert from 'node:assert/strict'
import { look, serve } from './harness.mjs'
import { confirmed, installed, joins, phone as pocket, unlock } from './phone.mjs'
import { captures, cast, checks, chip, choose, follow, openRound, row, scan, takePen, tap, toWaiting, type } from './scribe.mjs'

const folder = join(import.meta.dirname, '..', 'docs', 'pictures')
const heaviest = 125_000 // bytes
const last = '2026-05-13' // the last night set in the demo; its dawn is the next morning
const temp = mkdtempSync(join(tmpdir(), 'dawnround-clock-'))
process.env.CLOCK = join(temp, 'now')
after(() => rmSync(temp, { recursive: true }))

// clock sets the program's time, in the demo's zone.
const clock = (at) => writeFileSync(process.env.CLOCK, `${at}:00+10:00`)

const screens = {
  phone: { viewport: { width: 390, height: 844 }, deviceScaleFactor: 1.5 },
  desk: { viewport: { width: 1040, height: 900 }, deviceScaleFactor: 1 },
}

// open is a page with the pen in hand, in a window the size of the picture.
async function open(program, device, dark) {
  const page = await look(program, { device, dark, screen: screens[device] })
  await takePen(page, 'MO')
  return page
}

// beginAt scrolls until an element begins where the window does.
async function beginAt(page, selector) {
  await page.locator(selector).evaluate((e) => e.scrollIntoView({ block: 'start' }))
  await page.evaluate(() => scrollBy(0, -16))
}

// take keeps what the window shows; nothing blinks, and no clock ticks on.
async function take(page, name) {
  const file = join(folder, `${name}.png`)
  await page.screenshot({ path: file, animations: 'disabled', caret: 'hide' })
  const { size } = statSync(file)
  console.log(`${file} ${Math.round(size / 1000)} kB`)
  assert.ok(size <= heaviest, `${name}.png has ${size} bytes; make it smaller than ${heaviest}`)
}

// longest is the mother with the most captures.
function longest(program) {
  const of = new Map()
  for (const c of captures(program)) {
    const n = of.get(c.animal) ?? { captures: 0, young: 0 }
    of.set(c.animal, { captures: n.captures + 1, young: n.young + Number(c.young) })
  }
  return [...of].filter(([, n]) => n.young > 0).sort(([, a], [, b]) => b.captures - a.captures)[0][0]
}

test('pictures', async () => {
  mkdirSync(folder, { recursive: true })
  clock('2026-05-13T17:20')
  const program = await serve({ before: [['demo', '--seed', '1', '--last', last, '--grow-only']] })
  const { trip, site, mother } = cast(program)

  const dusk = await open(program, 'phone', false)
  await dusk.goto(`/set?site=${site}&night=${last}&trip=${trip}`)
  await take(dusk, 'set')

  clock('2026-05-13T18:30')
  for (const [name, path, height] of [['evening', '/evening', 480], ['life', `/animal/${longest(program)}`, 800], ['trip', '/trip/2025-11', 840], ['answer', '/answers/how-many?species=RW', 900]]) {
    const desk = await open(program, 'desk', false)
    await desk.setViewportSize({ width: screens.desk.viewport.width, height })
    await desk.goto(path)
    await take(desk, name)
  }

  const phone = await open(program, 'phone', true)
  clock('2026-05-14T05:38')
  await openRound(phone, site)
  const [hers] = await checks(phone, 'empty', 3, 'sprung', 7)
  clock('2026-05-14T05:47')
  await checks(phone, 2, 'empty', 'bait taken')
  clock('2026-05-14T05:52')
  await phone.reload()
  await beginAt(phone, '.in-hand')
  await take(phone, 'round')

  await toWaiting(phone, hers)
  await scan(phone, chip(mother))
  await choose(phone, 'sex', '♀ female')
  await choose(phone, 'stage', 'adult')
  await choose(phone, 'pouch', 'occupied')
  await type(phone, '#f-measures-pes', '52.1')
  await row(phone, 'pes').scrollIntoViewIfNeeded()
  await take(phone, 'bench')

  await phone.locator('#call').fill('pes sixty point two, tail one thirty-nine, hang on she is wriggling')
  await phone.locator('#echo .words span').first().waitFor()
  await take(phone, 'called')
})

test('pictures of the phone', async () => {
  clock('2026-05-13T18:30')
  const program = await serve({ before: [['demo', '--seed', '1', '--last', last, '--grow-only']] })
  const { site, mother } = cast(program)
  const it = await pocket({ dark: true })
  const snap = async (name) => {
    const file = join(folder, `field-${name}.png`)
    await it.page.screenshot({ path: file, animations: 'disabled', caret: 'hide', scale: 'css' })
    assert.ok(statSync(file).size <= heaviest, `${name} is too heavy`)
  }
  await it.page.goto(`${program.origin}/field/`)
  await it.page.getByRole('heading', { name: 'Begin on this phone' }).waitFor()
  await snap('begin')
  await confirmed(program, async (code) => {
    await joins(it.page, program.origin, code)
    await it.page.locator('#kept').waitFor({ timeout: 60_000 })
  })
  await installed(it.page)
  await it.page.goto(`${program.origin}/field/round`)
  await it.page.getByRole('heading', { name: 'Open the notebook' }).waitFor()
  await snap('unlock')
  await unlock(it.page)
  const { page } = it
  await follow(page, new RegExp(`^${site} `), page.getByRole('navigation', { name: 'Rounds' }))
  if (await page.getByRole('button', { name: /^begin round 1/ }).count()) await tap(page, /^begin round 1/)
  const [trap] = await checks(page, 'empty', 3)
  await snap('round')
  await toWaiting(page, trap)
  await scan(page, chip(mother))
  await snap('bench')
  await page.locator('#kept a').click()
  await page.getByRole('heading', { name: /^kept on this phone/ }).waitFor()
  await snap('kept')
  await tap(page, /^exchange lines with/)
  await page.locator('#kept').filter({ hasNotText: 'since' }).waitFor({ timeout: 60_000 })
  await snap('exchanged')
})
