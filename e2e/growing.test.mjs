// What the sizes of a young tell while she is in the hand, and what a young that
// was thrown leads to.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { screenshot, serve } from './harness.mjs'
import { checks, choose, dawn, scan, settled, tap, toWaiting, type, unfold } from './scribe.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--grow-only']] })

// nothingHangsOut fails where the card is wider than the phone.
async function nothingHangsOut(page) {
  const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth)
  assert.ok(over <= 0, `${over} pixels hang out`)
}

const later = (days) => new Date(Date.now() + days * 86_400_000).toISOString().slice(0, 10)

test('a pouch young shows its age and the next trip within the keystroke; one that is thrown is followed to the dawn', async () => {
  const page = await dawn(program, { device: 'phone' }, 'K')
  await page.goto('/programme')
  const trip = page.locator('form[action="/programme/trip"]')
  await trip.evaluate((form) => { for (let e = form; e; e = e.parentElement) if (e.tagName === 'DETAILS') e.open = true })
  await trip.locator('[name=trip]').fill('next')
  await trip.locator('[name=sites]').fill('K')
  await trip.locator('[name=first]').fill(later(80))
  await trip.locator('[name=last]').fill(later(84))
  await trip.getByRole('button').click()
  await settled(page)

  await page.goto('/round')
  const [trap] = await checks(page, 7)
  await toWaiting(page, trap)
  await choose(page, 'species', 'rock-wallaby')
  await choose(page, 'sex', 'female')
  await choose(page, 'pouch', /^occupied/)
  await unfold(page, 'young')
  if (!(await page.locator('section.young').count())) await tap(page, 'a young not met before')
  await type(page, '[id="f-young-1-measures-head"]', '45.2')
  const aged = await page.locator('.young .aged').innerText()
  assert.match(aged, /^\d+ days .*born \[\d{4}-\d\d-\d\d\.\.\d{4}-\d\d-\d\d\] · leaves the pouch /)
  assert.match(await page.locator('.young').innerText(), /next trip, \d+ \w+: /)
  await nothingHangsOut(page)
  await page.locator('section.young').scrollIntoViewIfNeeded()
  await screenshot(page, 'growing-young-phone-light')

  await page.locator('#more summary').click()
  await type(page, '#f-incident-young-ejected', 'in the bag, pink')
  await page.locator('.guide').getByRole('button', { name: 'in the pouch' }).click()
  await settled(page)
  await nothingHangsOut(page)
  await page.locator('.guide').scrollIntoViewIfNeeded()
  await screenshot(page, 'growing-guide-phone-light')
  for (let i = 0; i < 3 && (await page.locator('form[action$="/keep"] button').count()); i++) {
    await page.locator('form[action$="/keep"] button').last().click()
    await settled(page)
  }
  await page.goto('/evening')
  const tasks = await page.locator('main').innerText()
  assert.match(tasks, /look at the release place at dawn for mother and young/)
  assert.match(tasks, /report to ethics committee: young ejected/)
})
