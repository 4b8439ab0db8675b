// The call line in a real browser, on a phone: a recaptured bandicoot with her
// litter by calls only, with a question and a flag; the same animal by fields and
// taps; and how many keys and taps each of the two needs.

import assert from 'node:assert/strict'
import { mkdirSync, readFileSync } from 'node:fs'
import { test } from 'node:test'
import { serve } from './harness.mjs'
import { captures, cast, checks, chip, dawn, fit, row, scan, settled, toWaiting } from './scribe.mjs'

const demo = { before: [['demo', '--seed', '1', '--grow-only']] }
const program = await serve(demo)
const twin = await serve(demo) // the same invented programme, for the other way of writing
const { site, mother } = cast(program)
const pes = mother['measure pes']
const young = ['24', '25', '23', '24', '22', '25', '24']

// picture keeps what the window shows, for a person to see.
async function picture(page, name) {
  mkdirSync('out', { recursive: true })
  await page.screenshot({ path: `out/call-${name}.png` })
}

// A hand counts what it does: a key is one, a tap is one, and a field that has
// the focus already needs no tap.
class Hand {
  keys = 0
  taps = 0
  constructor(page) { this.page = page }

  async tap(what) {
    this.taps++
    await what.first().click()
    await settled(this.page)
  }

  async press(key) {
    this.keys++
    await this.page.keyboard.press(key)
    await settled(this.page)
  }

  // write writes into a field and presses Enter.
  async write(what, words) {
    const field = this.page.locator(what)
    if (!(await field.evaluate((e) => e === document.activeElement))) await this.tap(field)
    await field.selectText().catch(() => {})
    this.keys += [...words].length
    await this.page.keyboard.type(words)
    await this.press('Enter')
  }

  // say says one phrase on the call line.
  say(words) { return this.write('#call', words) }

  // unfold opens what is folded.
  async unfold(details) {
    if (!(await details.evaluate((d) => d.open))) await this.tap(details.locator('summary'))
  }

  // choose takes a word of a row.
  async choose(key, word) {
    await this.unfold(row(this.page, key).locator('details').first())
    await this.tap(row(this.page, key).getByRole('button', { name: word }))
  }
}

// toMother writes an empty trap and hers, and goes to her card.
async function toMother(program, how) {
  const page = await dawn(program, how, site)
  const [trap] = await checks(page, 'empty', 3)
  await toWaiting(page, trap)
  return page
}

const answered = (page, selector) => page.locator(selector).first().innerText()

// seen finds that an element lies in the window and under nothing.
async function seen(page, selector) {
  const hidden = await page.evaluate((s) => {
    const e = document.querySelector(s)
    const { left, top, bottom, width, height } = e.getBoundingClientRect()
    const at = document.elementFromPoint(left + Math.min(width / 2, 40), top + height / 2)
    return top < 0 || bottom > innerHeight || !(e.contains(at) || at?.contains(e)) ? `${s}: ${top}–${bottom} of ${innerHeight}, under ${at?.outerHTML.slice(0, 80)}` : ''
  }, selector)
  assert.equal(hidden, '')
}

// byCalls records her by what the handler says, typed.
async function byCalls(page, hand, pictures) {
  await picture(page, `empty${pictures}`)
  await scan(page, chip(mother))
  await page.locator('#call').focus()
  await page.keyboard.type('gross 1095, bag 100, pes 9.5, hang on')
  await page.locator('#echo .asked').first().waitFor()
  await settled(page)
  await fit(page)
  await picture(page, `echo${pictures}`)
  await page.locator('#call').fill('')
  await settled(page)

  await page.evaluate(() => document.activeElement.blur()) // the tap that brings the keyboard up counts
  await hand.say('fem,w 1095-100,7 beans,on,closed,cr ' + young.join(','))
  assert.match(await answered(page, '[data-row="weight"] .now'), /995 g/)
  assert.equal(await page.locator('[data-young]').count(), young.length)
  assert.equal(await page.locator('#f-young-7-measures-crown-rump').inputValue(), young[6])
  assert.equal(await page.evaluate(() => document.activeElement.id), 'call')

  await hand.say('9.5')
  assert.match(await answered(page, '[data-row="pes"] .doubt'), /9\.5\? said; asked: pes nine point five: again\?/)
  assert.match(await answered(page, '.missing'), /pes 9\.5\?/)
  await seen(page, '[data-row="pes"] .doubt')
  await seen(page, '#call')
  await fit(page)
  await picture(page, `pending${pictures}`)
  await hand.say('52.1')
  assert.match(await answered(page, '[data-row="pes"] .flag'), /Bone does not shrink/)
  assert.equal(await page.locator('[data-row="pes"] .doubt').count(), 0)
  await seen(page, '[data-row="pes"] .flag')
  await fit(page)
  await picture(page, `flag${pictures}`)
  await hand.say(pes)
  assert.deepEqual(await page.locator('[data-row="pes"] .flag').allInnerTexts(), [])
  for (const words of ['141', '78.2', '31']) await hand.say(words)
  assert.equal(await page.locator('#f-measures-tail').inputValue(), '141')
  await fit(page)
  await picture(page, `filled${pictures}`)
  const id = new URL(page.url()).pathname.split('/').at(-1)
  await hand.say('freed with young')
  await page.locator('h1', { hasText: /^Kept: / }).waitFor()
  return id
}

// byFields records the same by fields and buttons.
async function byFields(page, hand) {
  await scan(page, chip(mother))
  await hand.choose('sex', '♀ female')
  await hand.write('#f-weighing-gross', '1095')
  await hand.write('#f-weighing-bag', '100')
  await hand.choose('pouch', 'occupied')
  for (const [i, mm] of young.entries()) {
    await hand.choose('young', 'a young not met before')
    const one = page.locator(`[data-young="${i + 1}"]`)
    await hand.tap(one.getByRole('form', { name: /^attached/ }).getByRole('button', { name: 'yes' }))
    await hand.write(`#f-young-${i + 1}-measures-crown-rump`, mm)
    await hand.unfold(one.locator('details'))
    for (const word of ['unfurred', 'closed']) await hand.tap(one.getByRole('button', { name: word, exact: true }))
  }
  await hand.tap(page.getByRole('button', { name: 'done with the young' }))
  for (const mm of ['9.5', '52.1', pes]) await hand.write('#f-measures-pes', mm)
  await hand.write('#f-measures-tail', '141')
  await hand.write('#f-measures-head', '78.2')
  await hand.write('#f-measures-ear', '31')
  const id = new URL(page.url()).pathname.split('/').at(-1)
  await hand.tap(page.getByRole('button', { name: 'young followed her' }))
  await hand.tap(page.getByRole('button', { name: /keep$/ }))
  await page.locator('h1', { hasText: /^Kept: / }).waitFor()
  return id
}

// kept is what the notebook holds of a capture that both ways must agree on.
function kept(program, id) {
  const c = captures(program).find((r) => r.capture === id)
  assert.ok(c, `capture ${id} is kept`)
  return { young: youngOf(program, id), ...Object.fromEntries(['species', 'sex', 'mass', 'measure pes', 'measure tail', 'measure head', 'measure ear', 'sign pouch'].map((k) => [k, c[k]])) }
}

// youngOf is what is kept of each of her young.
function youngOf(program, id) {
  const file = program.folder + '/lines.ndjson'
  program.run('export', 'lines', '--o', file)
  const lines = readFileSync(file, 'utf8').trim().split('\n').map((l) => JSON.parse(l))
  const handled = lines.map((l) => l.body).find((b) => b?.capture === id && b.handled).handled
  return handled.young.map(({ attached, signs, measures }) => ({ attached, signs, measures }))
}

test('a bandicoot with her litter by calls only, in fewer keys and taps than by fields', async () => {
  const page = await toMother(program, { device: 'phone', dark: true })
  const calls = new Hand(page)
  const called = await byCalls(page, calls, '-dark')
  const other = await toMother(twin, { device: 'phone' })
  const fields = new Hand(other)
  const written = await byFields(other, fields)
  const say = (name, { keys, taps }) => console.log(`${name}: ${keys} keys and ${taps} taps, ${keys + taps} together`)
  say('by calls', calls)
  say('by fields', fields)
  assert.deepEqual(kept(program, called), kept(twin, written))
  assert.ok(calls.keys + calls.taps < fields.keys + fields.taps, 'calls need fewer keys and taps')
})

// typed is what a person types with nothing in focus.
async function typed(page, words) {
  await page.evaluate(() => document.activeElement.blur())
  await page.keyboard.type(words, { delay: 90 })
}

test('by day: keys that no field has, a value under question, Escape, and the voice', async () => {
  const page = await toMother(program, { device: 'phone' })
  await page.evaluate(() => {
    globalThis.spoken = []
    speechSynthesis.speak = (u) => globalThis.spoken.push(u.text)
  })
  await typed(page, chip(mother).slice(-4))
  assert.equal(await page.locator('#call').inputValue(), chip(mother).slice(-4))
  await page.keyboard.press('Enter')
  await settled(page)
  const hand = new Hand(page)
  await hand.say('yes')
  assert.match(await page.locator('h1').innerText(), new RegExp(`…${chip(mother).slice(-4)} ♀`))
  if (await page.getByRole('button', { name: 'all rows' }).count()) await hand.tap(page.getByRole('button', { name: 'all rows' }))
  await hand.say('tail 314')
  await page.reload()
  await settled(page)
  assert.match(await answered(page, '[data-row="tail"] .doubt'), /^314\? said; asked: tail three-one-four: again\?/)
  assert.equal(await page.locator('#f-measures-tail').inputValue(), '')

  await page.evaluate(() => {
    globalThis.spoken = []
    speechSynthesis.speak = (u) => globalThis.spoken.push(u.text)
  })
  await hand.unfold(page.locator('#more'))
  await hand.tap(page.locator('button[data-speaker]'))
  await fit(page)
  await hand.say('ear 31')
  await hand.say('head seventy-eight two')
  assert.deepEqual(await page.evaluate(() => globalThis.spoken), ['ear three-one', 'head seven-eight point two'])
  await hand.press('Escape')
  assert.equal(await page.locator('#f-measures-head').inputValue(), '')
  assert.match(await answered(page, '#echo'), /taken back: *head seventy-eight two/)
  await picture(page, 'undone')

  await hand.tap(page.locator('[data-row="tail"] .doubt').getByRole('button', { name: 'leave it' }))
  assert.equal(await page.locator('#f-measures-tail').inputValue(), '314')
  assert.match(await answered(page, '[data-row="tail"] .flag'), /kept all the same/)
  await fit(page)
})

test('with the keyboard up the row that was filled and the call line are both in sight', async () => {
  const page = await toMother(program, { device: 'phone' })
  await scan(page, chip(mother))
  if (await page.getByRole('button', { name: 'all rows' }).count()) await page.getByRole('button', { name: 'all rows' }).click()
  await settled(page)
  await page.setViewportSize({ width: 390, height: 500 })
  const hand = new Hand(page)
  for (const [words, shown] of [['gross 1095, bag 100', '#f-weighing-bag'], ['tail 141', '#f-measures-tail'], ['pes 9.5', '[data-row="pes"] .doubt b'], ['pes 52.1', '[data-row="pes"] .flag b']]) {
    await hand.say(words)
    await seen(page, shown)
    await seen(page, '#call')
  }
  await picture(page, 'keyboard')
})

test('without JavaScript a phrase is typed and Enter sends it', async () => {
  const page = await toMother(program, { device: 'phone', javaScript: false })
  await page.locator('#call').fill(`chip ${chip(mother)}, tail 141`)
  await page.locator('#call').press('Enter')
  await page.waitForLoadState('load')
  assert.equal(await page.locator('#f-measures-tail').inputValue(), '141')
  assert.match(await answered(page, '#echo'), /tail 141/)
})
