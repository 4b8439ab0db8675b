// The desk by hand and eye: every page on a phone and a desk, dark and light,
// without scripts, and an evening settled with the keyboard alone.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { assertFit, look, screenshot, serve } from './harness.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--last', '2026-05-13', '--grow-only']] })

// pen says who writes, as whoever opens the pages does first.
async function pen(page) {
  await page.goto('/pen?back=/evening')
  await page.getByLabel('Initials').fill('AB')
  await page.getByRole('button', { name: 'take the pen' }).click()
}

// data gives what a page shows, as data.
async function data(page, path) {
  const response = await page.request.get(path, { headers: { accept: 'application/json' } })
  assert.equal(response.status(), 200, path)
  return response.json()
}

// paths are the desk's pages: of the animal with the longest life, and of an
// evening with something open.
async function paths(page) {
  const { animals } = await data(page, '/animals?sex=female&stage=adult')
  const longest = animals.reduce((a, b) => (b.captures > a.captures ? b : a))
  const life = await data(page, `/animal/${longest.id}`)
  const last = life.captures.at(-1).capture
  const { lines } = await data(page, `/capture/${last}`)
  const line = lines.at(-1)
  return {
    evening: '/evening', night: '/evening?night=2026-05-12', animals: '/animals', life: `/animal/${longest.id}`, capture: `/capture/${last}`,
    line: `/line/${line.line}?field=${encodeURIComponent(line.values[0].pointer)}`, trips: '/trip', trip: '/trip/2026-05', programme: '/programme', sheets: '/sheets', answers: '/answers',
    many: '/answers/how-many', survive: '/answers/survival', dense: '/answers/density?site=K', densenot: '/answers/density', breeding: '/answers/breeding', health: '/answers/health', enough: '/answers/enough', behind: '/answers/how-many/captures',
  }
}

for (const device of ['phone', 'desk']) {
  for (const dark of [false, true]) {
    test(`every page is fit: ${device}, ${dark ? 'dark' : 'light'}`, async () => {
      const page = await look(program, { device, dark, javaScript: false })
      await pen(page)
      for (const [name, path] of Object.entries(await paths(page))) {
        await page.goto(path)
        await assertFit(page)
        for (const fold of await page.locator('main summary').all()) await fold.click()
        await assertFit(page)
        await page.goto(path)
        await screenshot(page, `desk-${name}-${device}-${dark ? 'dark' : 'light'}`)
      }
    })
  }
}

test('an evening is settled with the keyboard alone', async () => {
  const page = await look(program, { device: 'desk', javaScript: false })
  await pen(page)
  await page.goto('/evening')
  const unseen = page.locator('[data-kind="trap not seen"]')
  const before = await unseen.count()
  assert.ok(before > 0, 'the last trip stops half done')
  await tabTo(page, 'write what was in them')
  await page.keyboard.press('Enter')
  await tabTo(page, 'write it')
  await Promise.all([page.waitForNavigation(), page.keyboard.press('Enter')])
  assert.equal(await unseen.count(), before - 1)
  assert.match(await page.locator('.flash').innerText(), /Written for those traps/)
})

// tabTo walks on with the Tab key until what says so has the focus.
async function tabTo(page, says) {
  for (let n = 0; n < 200; n++) {
    await page.keyboard.press('Tab')
    if ((await page.evaluate(() => document.activeElement.textContent)).trim() === says) return
  }
  assert.fail(`no way to “${says}” with the keyboard`)
}

test('a correction goes from the number in a life to its line and back', async () => {
  const page = await look(program, { device: 'phone', javaScript: false })
  await pen(page)
  await page.goto((await paths(page)).life)
  await page.locator('table.captures th a').first().click()
  await page.getByRole('link', { name: 'correct or strike this line' }).last().click()
  await page.locator('.values li a').first().click()
  const field = page.locator('form.correct #value')
  const was = await field.inputValue()
  const options = await field.evaluate((e) => (e.tagName === 'SELECT' ? [...e.options].map((o) => o.value) : null))
  if (options) await field.selectOption(options.find((o) => o && o !== was))
  else await field.fill(/^\d{4}-/.test(was) ? was.slice(0, -2) + (was.endsWith('00') ? '01' : '00') : `${was}1`)
  await page.locator('form.correct #why').fill('read again from the sheet')
  await page.getByRole('button', { name: 'correct it' }).click()
  await page.waitForSelector('.flash')
  assert.match(await page.locator('.values').innerText(), /read again from the sheet/)
  await assertFit(page)
})

// pages counts the sheets of a PDF.
const pages = (pdf) => pdf.toString('latin1').match(/\/Type\s*\/Page\b/g).length

test('an ordinary life prints on one A4 page', async () => {
  const page = await look(program, { device: 'desk', javaScript: false })
  const { animals } = await data(page, '/animals?sex=female&stage=adult')
  for (const animal of animals.sort((a, b) => b.captures - a.captures).slice(0, 5)) {
    await page.goto(`/animal/${animal.id}`)
    const sheets = pages(await page.pdf({ preferCSSPageSize: true }))
    assert.equal(sheets, 1, `${animal.name ?? animal.id}, ${animal.captures} captures`)
  }
})

test('a trip prints on A4 without forms', async () => {
  const page = await look(program, { device: 'desk', javaScript: false })
  await page.goto('/trip/2026-05')
  await page.emulateMedia({ media: 'print' })
  assert.equal(await page.locator('nav.hours').isVisible(), false)
  assert.equal(await page.locator('button:visible').count(), 0)
  await screenshot(page, 'desk-trip-print')
})
