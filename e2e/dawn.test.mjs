// One dawn from the trap to the trip page: a mother with three young in the
// pouch, a new subadult two traps on and a retrap, all waiting at once and let
// go in another order; then what the evening, the lives and the trip make of it.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { assertFit, followLink, look, screenshot, serve } from './harness.mjs'
import { captures, cast, checks, chip, choose, dawn, fit, follow, openRound, row, scan, takePen, tap, toWaiting, type, unfold } from './scribe.mjs'

const demo = { before: [['demo', '--seed', '1', '--grow-only']] }
const newChip = '999000099990001' // borne by nobody: the demo's numbers end otherwise
const crownRumps = ['41.5', '42', '40.5']

// data gives what a page shows, as data.
async function data(page, path) {
  const response = await page.request.get(path, { headers: { accept: 'application/json' } })
  assert.equal(response.status(), 200, path)
  return response.json()
}

// toBag goes to the animal that waits from a trap, by the bags on the bench.
async function toBag(page, trap) {
  await follow(page, new RegExp(`^${trap}`), page.getByRole('navigation', { name: 'Animals waiting' }))
}

// keep lets the animal go, insisting if something has stopped it, and gives
// the capture's id.
async function keep(page) {
  const id = new URL(page.url()).pathname.split('/').at(-1)
  await tap(page, /keep/)
  if (await page.getByRole('button', { name: 'keep all the same' }).count()) await tap(page, 'keep all the same')
  assert.match(await page.locator('h1').innerText(), /^Kept: /)
  await fit(page)
  return id
}

// motherBegins reads her chip with no field in focus, weighs her and measures
// three young on the teat.
async function motherBegins(page, mother) {
  await scan(page, chip(mother))
  assert.match(await page.locator('h1').innerText(), new RegExp(`…${chip(mother).slice(-4)} ♀`))
  assert.match(await page.locator('.waits').first().innerText(), /in bag 3/)
  assert.equal(await row(page, 'pes').locator('.last').innerText().then((t) => t.replace(/last time\s*/, '').trim()), mother['measure pes'])
  await choose(page, 'sex', '♀ female')
  await choose(page, 'stage', 'adult')
  await type(page, '#f-weighing-gross', '1095')
  await type(page, '#f-weighing-bag', '100')
  assert.match(await row(page, 'weight').locator('.now').first().innerText(), /995 g/)
  await choose(page, 'pouch', 'occupied')
  for (const [i, mm] of crownRumps.entries()) {
    const young = page.locator(`[data-young="${i + 1}"]`)
    await choose(page, 'young', 'a young not met before')
    await tap(page, 'yes', young.getByRole('form', { name: /^attached/ }))
    await type(page, `#f-young-${i + 1}-measures-crown-rump`, mm)
  }
  assert.equal(await page.locator('[data-young]').count(), 3)
  await fit(page)
}

// retrapOnTheShortPath is weighed, checked and let go.
async function retrapOnTheShortPath(page, retrap) {
  await type(page, '#call', chip(retrap).slice(-4))
  await tap(page, new RegExp(chip(retrap).slice(-4)), page.locator('#pick'))
  assert.deepEqual(await page.locator('[data-row]').evaluateAll((rows) => rows.map((r) => r.dataset.row)), ['weight', 'marks', 'release'])
  assert.match(await page.locator('#card').innerText(), /Caught on this trip already: weigh, check, release\./)
  await type(page, '#f-weighing-gross', String(Number(retrap.mass) + 100))
  await type(page, '#f-weighing-bag', '100')
  await fit(page)
  return keep(page)
}

// newSubadult gets a chip and gives an ear biopsy with the label that is offered.
async function newSubadult(page) {
  await choose(page, 'species', 'northern brown bandicoot')
  await scan(page, newChip)
  await tap(page, 'it was put on now')
  await choose(page, 'sex', '♂ male')
  await choose(page, 'stage', 'subadult')
  await type(page, '#f-weighing-gross', '620')
  await type(page, '#f-weighing-bag', '100')
  await type(page, '#f-measures-pes', '58.4')
  await unfold(page, 'samples')
  const offer = row(page, 'samples').locator('form.offer').filter({ hasText: 'ear biopsy' })
  const label = await offer.locator('input[name=typed]').inputValue()
  assert.match(label, /^B\d{3}$/)
  await tap(page, 'taken', offer)
  assert.match(await row(page, 'samples').locator('.now').first().innerText(), new RegExp(`ear biopsy ${label}`))
  await fit(page)
  return { label, subadult: await keep(page) }
}

// shrunkenFoot is caught in its row before she is let go: last value, by whom,
// and the limit. It is measured again, and the first number stays, struck.
async function shrunkenFoot(page, mother) {
  await type(page, '#f-measures-pes', '52.1')
  const flag = row(page, 'pes').locator('.flag').first()
  const says = await flag.innerText()
  for (const evidence of ['Bone does not shrink', mother['measure pes'], 'by ', '52.1 now', 'limit 1.5 mm']) assert.ok(says.includes(evidence), `${evidence} in: ${says}`)
  await fit(page)
  await follow(page, 'again', flag)
  assert.equal(await page.evaluate(() => document.activeElement.id || location.hash.slice(1)), 'f-measures-pes')
  await type(page, '#f-measures-pes', mother['measure pes'])
  assert.equal(await row(page, 'pes').locator('.flag').count(), 0)
  assert.match(await row(page, 'pes').locator('s').innerText(), /52\.1/)
}

// threeWait are caught in one round and let go in another order than they came.
async function threeWait(page, { mother, retrap }) {
  const kept = {}
  const [hers, his, again] = await checks(page, 'empty', 3, 'empty', 4, 5)
  await fit(page)
  await toWaiting(page, hers)
  await motherBegins(page, mother)
  await toBag(page, again)
  kept.retrap = await retrapOnTheShortPath(page, retrap)
  await follow(page, new RegExp(`^${his}`))
  Object.assign(kept, await newSubadult(page))
  await follow(page, new RegExp(`^${hers}`))
  assert.equal(await page.locator('[data-young]').count(), 3, 'her young waited with her')
  await shrunkenFoot(page, mother)
  await choose(page, 'release', 'pouch closed')
  kept.mother = await keep(page)
  return kept
}

async function herLife(page, kept, { mother }) {
  const { animal } = await data(page, `/capture/${kept.mother}`)
  await page.goto(`/animal/${animal}`)
  await assertFit(page)
  assert.match(await page.locator('table.captures tbody tr').last().innerText(), /recapture[\s\S]*3 young/)
  const life = await data(page, `/animal/${animal}`)
  const young = life.young.filter((y) => y.seen?.some((s) => s.capture === kept.mother))
  assert.equal(young.length, 3)
  for (const [i, y] of young.entries()) {
    const shown = await page.locator(`.young-table [data-young="${y.animal}"]`).innerText()
    assert.ok(shown.includes(crownRumps[i]), `${crownRumps[i]} in: ${shown}`)
    assert.ok(shown.includes(y.seen.at(-1).says), shown)
  }
  const now = life.captures.at(-1)
  assert.deepEqual([now.capture, now.status, now.mass, now.young], [kept.mother, 'recapture', '995', 3])
  assert.ok(now.values.includes(mother['measure pes']) && !now.values.includes('52.1'), now.values.join(' '))
}

async function hisLife(page, kept, device) {
  const { animal } = await data(page, `/capture/${kept.subadult}`)
  await page.goto(`/animal/${animal}`)
  await assertFit(page)
  const words = await page.locator('main').innerText()
  for (const said of [newChip, 'new', 'subadult', `ear biopsy ethanol 70 % ${kept.label}`]) assert.ok(words.includes(said), said)
  const life = await data(page, `/animal/${animal}`)
  assert.deepEqual(life.marks.map((m) => [m.text, m.put, m.capture]), [[newChip, true, kept.subadult]])
  assert.deepEqual(life.samples.map((s) => s.label), [kept.label])
  await screenshot(page, `dawn-life-${device}`)
}

// struckAndCorrected: a number struck at the bench and one corrected at the
// desk stay readable, with who and why.
async function struckAndCorrected(page, kept) {
  await page.goto(`/capture/${kept.mother}`)
  await assertFit(page)
  const steps = await page.locator('.steps li').allInnerTexts()
  const said = steps.filter((s) => /pes$/.test(s.trim()))
  assert.deepEqual([said.length, /52\.1/.test(said[0])], [2, true], `both numbers in: ${said}`)
  await page.goto(`/capture/${kept.subadult}`)
  await follow(page, 'correct or strike this line', page.locator('.stated').filter({ has: page.locator('[data-field$="/measures/pes"]') }))
  await follow(page, /correct pes/)
  await page.locator('form.correct #value').fill('54.8')
  await page.locator('form.correct #why').fill('sheet says 54.8')
  await assertFit(page)
  await tap(page, 'correct it')
  await page.goto(`/capture/${kept.subadult}`)
  await assertFit(page)
  const pes = page.locator('dd[data-field$="/measures/pes"]')
  assert.match(await pes.locator('s').first().innerText(), /58\.4/)
  assert.match(await pes.innerText(), /54\.8[\s\S]*\(MO,[\s\S]*sheet says 54\.8\)/)
}

async function theEvening(page, kept, device) {
  const { night } = await data(page, `/capture/${kept.mother}`)
  await page.goto(`/evening?night=${night}`)
  await assertFit(page)
  const evening = await data(page, `/evening?night=${night}`)
  const shown = await page.locator('main').innerText()
  for (const id of [kept.mother, kept.subadult, kept.retrap]) {
    const lines = evening.page.filter((l) => l.capture === id)
    assert.ok(lines.length > 0, `${id} is on the day's page`)
    for (const l of lines) assert.ok((await page.locator(`[data-line="${l.line}"] .says`).innerText()).includes(l.says))
  }
  for (const said of ['58.4', 'sheet says 54.8', kept.label]) assert.ok(shown.includes(said), said)
  assert.equal(await page.locator('[data-kind]').count(), evening.open.length)
  assert.deepEqual(evening.open.filter((item) => item.kind === 'never released'), [])
  await screenshot(page, `dawn-evening-${device}`)
}

async function theTrip(page, kept, trip, program) {
  await page.goto(`/trip/${trip}`)
  await assertFit(page)
  const summary = await data(page, `/trip/${trip}`)
  assert.equal(await page.locator('.trip-animals tbody tr').count(), summary.animals.length)
  assert.ok(summary.quality.corrections > 0)
  const all = captures(program)
  const again = all.find((c) => c.capture === kept.retrap).animal
  const caught = new Set(all.filter((c) => c.trip === trip && c.animal === again).map((c) => c.night))
  for (const [id, status, nights, said] of [[kept.mother, 'recapture', 1, '3'], [kept.subadult, 'new', 1, kept.label], [kept.retrap, '', caught.size, '']]) {
    const { animal } = await data(page, `/capture/${id}`)
    const shown = await page.locator(`[data-animal="${animal}"]`).innerText()
    const row = summary.animals.find((a) => a.animal === animal)
    assert.equal(row.nights, nights)
    if (status) assert.equal(row.status, status)
    for (const words of [row.name, row.status, row.young, row.samples, said]) assert.ok(shown.includes(words ?? ''), `${words} in: ${shown}`)
  }
}

for (const how of [{ device: 'phone', dark: true }, { device: 'desk', dark: false }]) {
  test(`a dawn from the trap to the trip page: ${how.device}`, async () => {
    const program = await serve(demo)
    const who = cast(program)
    const page = await dawn(program, how, who.site)
    const kept = await threeWait(page, who)
    await herLife(page, kept, who)
    await hisLife(page, kept, how.device)
    await struckAndCorrected(page, kept)
    await theEvening(page, kept, how.device)
    await theTrip(page, kept, who.trip, program)
  })
}

test('a draft outlives a reload and a program that stops in the middle', async () => {
  const program = await serve(demo)
  const { site, mother } = cast(program)
  const page = await dawn(program, { device: 'phone', dark: true }, site)
  await toWaiting(page, ...await checks(page, 3))
  await motherBegins(page, mother)
  await type(page, '#f-measures-pes', '52.1')
  const bench = page.url()
  const written = async () => ({
    young: await page.locator('[data-young] input[id$="crown-rump"]').evaluateAll((all) => all.map((e) => e.value)),
    pes: await page.locator('#f-measures-pes').inputValue(),
    weight: await row(page, 'weight').locator('.now').first().innerText(),
    flags: await row(page, 'pes').locator('.flag').count(),
  })
  const before = await written()
  assert.deepEqual(before.young, crownRumps)
  assert.ok(before.flags > 0)
  await page.reload()
  assert.deepEqual(await written(), before)

  await page.goto('about:blank')
  await program.restart()
  await followLink(page, program.link)
  await takePen(page, 'MO')
  await page.goto(bench)
  assert.deepEqual(await written(), before)
  await choose(page, 'release', 'pouch closed')
  await keep(page)
  assert.equal(captures(program).at(-1)['measure pes'], '52.1', 'it was left as it was said')
})

test('the bench works without JavaScript', async () => {
  const program = await serve(demo)
  const { site, mother } = cast(program)
  const page = await look(program, { device: 'phone', dark: true, javaScript: false })
  await takePen(page, 'MO')
  await openRound(page, site)
  await toWaiting(page, ...await checks(page, 3))
  await type(page, '#call', chip(mother))
  await choose(page, 'sex', '♀ female')
  await type(page, '#f-weighing-gross', '1095')
  await type(page, '#f-weighing-bag', '100')
  await choose(page, 'pouch', 'occupied')
  await choose(page, 'young', 'a young not met before')
  await tap(page, 'yes', page.locator('[data-young="1"]').getByRole('form', { name: /^attached/ }))
  await type(page, '#f-young-1-measures-crown-rump', '41.5')
  await type(page, '#f-measures-pes', '52.1')
  assert.match(await row(page, 'pes').locator('.flag').first().innerText(), /Bone does not shrink/)
  await type(page, '#f-measures-pes', mother['measure pes'])
  assert.match(await row(page, 'pes').locator('s').innerText(), /52\.1/)
  await choose(page, 'release', 'pouch closed')
  await fit(page)
  await keep(page)
})
