// A photo on the phone: taken at the bench with no network, there again after
// the battery died, and at the laptop once lines and pictures were exchanged,
// without a word of where it was taken.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { assertFit, look, screenshot, serve, takeTroubles } from './harness.mjs'
import { confirmed, installed, joins, phone, unlock } from './phone.mjs'
import { captures, checks, chip, follow, scan, tap, toWaiting, type } from './scribe.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--grow-only']] })
const animal = captures(program).filter((c) => c.species === 'RW' && c.fate === 'released' && chip(c)).map(chip)[0]

// place is a latitude as a camera writes it: degrees, minutes and hundredths of
// a second, each a numerator and a denominator (Exif 2.3, section 4.6.6).
const place = Buffer.from(new Uint32Array([19, 1, 15, 1, 4321, 100]).buffer)

// located draws a picture that says where it was taken, as a camera's does: an
// Exif segment with one entry, which leads to the two of the GPS directory.
async function located(page) {
  const bytes = await page.evaluate(async () => {
    const canvas = Object.assign(document.createElement('canvas'), { width: 1600, height: 1200 })
    const pen = canvas.getContext('2d')
    for (let y = 0; y < 1200; y += 20) for (let x = 0; x < 1600; x += 20) {
      pen.fillStyle = `rgb(${(x * 7 + y * 3) % 256} ${(x * y) % 251} ${(x + y * 5) % 241})`
      pen.fillRect(x, y, 20, 20)
    }
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', 0.9))
    return [...new Uint8Array(await blob.arrayBuffer())]
  })
  const entry = (tag, kind, count, value) => {
    const b = Buffer.alloc(12)
    b.writeUInt16LE(tag, 0)
    b.writeUInt16LE(kind, 2)
    b.writeUInt32LE(count, 4)
    return typeof value === 'string' ? (b.write(value, 8, 'latin1'), b) : (b.writeUInt32LE(value, 8), b)
  }
  const directory = (...entries) => Buffer.concat([Buffer.from([entries.length, 0]), ...entries, Buffer.alloc(4)])
  const tiff = Buffer.concat([Buffer.from('II*\0\x08\0\0\0', 'latin1'), directory(entry(0x8825, 4, 1, 26)), directory(entry(1, 2, 2, 'S\0'), entry(2, 5, 3, 56)), place])
  const exif = Buffer.concat([Buffer.from('Exif\0\0', 'latin1'), tiff])
  return Buffer.concat([Buffer.from(bytes.slice(0, 2)), Buffer.from([0xff, 0xe1, (exif.length + 2) >> 8, (exif.length + 2) & 255]), exif, Buffer.from(bytes.slice(2))])
}

// offline takes the network away: nothing that is asked of it is answered.
async function offline(it) {
  await it.context.setOffline(true)
  it.page.on('response', (r) => { if (!r.fromServiceWorker() && !r.url().startsWith('blob:')) it.fromNetwork.push(r.url()) })
  it.fromNetwork = []
}

// fits looks at a page of a phone that is offline: the only trouble it may have
// is that the laptop does not hear where it is.
async function fits(page) {
  assert.deepEqual(takeTroubles(page).filter((t) => !/ERR_INTERNET_DISCONNECTED .*\/sync$/.test(t)), [])
  await assertFit(page)
}

// round opens the round of a site by the page's own links.
async function round(page, site) {
  await follow(page, /^Round$/, page.locator('.hours'))
  await follow(page, new RegExp(`^${site} `), page.getByRole('navigation', { name: 'Rounds' }))
  if (await page.getByRole('button', { name: /^begin round 1/ }).count()) await tap(page, /^begin round 1/)
}

// seen waits until every photo on the page is drawn, and tells how many there are.
async function seen(page, where) {
  await page.locator(`${where} img`).first().waitFor()
  for (const img of await page.locator(`${where} img`).all()) await img.scrollIntoViewIfNeeded()
  await page.waitForFunction((at) => [...document.querySelectorAll(`${at} img`)].every((i) => i.complete && i.naturalWidth > 0), where)
  return page.locator(`${where} img`).count()
}

test('a photo taken with no network outlives a dead battery, and follows the lines to the laptop', async () => {
  const laptop = await look(program, { device: 'desk' })
  await laptop.goto('/animals')
  const file = await located(laptop)
  assert.ok(file.includes(place))

  const it = await phone({ dark: true })
  let { page } = it
  await confirmed(program, async (code) => {
    await joins(page, program.origin, code)
    await page.locator('#kept').waitFor({ timeout: 60_000 })
  })
  await installed(page)
  await round(page, 'K')
  await offline(it)
  const [trap] = await checks(page, 1)
  await toWaiting(page, trap)
  await scan(page, animal)
  await follow(page, /^photo$/)
  await fits(page)
  await page.getByLabel('Picture').setInputFiles({ name: 'IMG_0001.jpg', mimeType: 'image/jpeg', buffer: file })
  await page.getByLabel('It shows').selectOption({ label: 'ear' })
  await page.getByLabel('What is to be seen').fill('torn edge')
  await page.locator('form[enctype] button:not([disabled])').waitFor()
  await tap(page, 'keep the photo')
  assert.match(await page.locator('.flash').innerText(), /kept: photo of .*ear: torn edge/)
  assert.equal(await seen(page, '.taken-photos'), 1)
  assert.match(await page.locator('#kept').innerText(), /1 picture nowhere else/)
  await fits(page)
  await screenshot(page, 'field-photo-taken-dark')
  const lent = await page.locator('.taken-photos img').getAttribute('src')
  assert.match(lent, /^blob:/)
  await follow(page, 'back to the animal')
  await page.getByRole('link', { name: '1 photo' }).waitFor()
  assert.equal(await page.evaluate((src) => new Promise((resolve) => {
    Object.assign(new Image(), { src, onload: () => resolve('lent'), onerror: () => resolve('given back') })
  }), lent), 'given back')
  assert.match(takeTroubles(page).join(), /blob:/)
  const at = page.url()
  assert.deepEqual(it.fromNetwork, [], 'asked of a network that is not there')
  await fits(page)
  await it.kill()

  page = await it.start()
  await offline(it)
  await page.goto(at)
  await unlock(page)
  await follow(page, '1 photo')
  assert.equal(await seen(page, '.taken-photos'), 1)
  assert.match(await page.locator('#kept').innerText(), /1 picture nowhere else/)
  const line = await page.locator('[data-photo]').last().getAttribute('data-photo')
  await page.evaluate((href) => { // a link as the desk's pages have
    const a = Object.assign(document.createElement('a'), { href })
    document.getElementById('main').append(a)
    a.click()
  }, `/photo/${line}`)
  assert.equal(await seen(page, '#main >'), 1)
  await page.goBack()
  assert.equal(await seen(page, '.taken-photos'), 1)
  assert.deepEqual(it.fromNetwork, [])
  await follow(page, 'back to the animal')
  await type(page, '#f-weighing-gross', '3600')
  await tap(page, /keep/)
  if (await page.getByRole('button', { name: 'keep all the same' }).count()) await tap(page, 'keep all the same')
  assert.match(await page.locator('h1').innerText(), /^Kept: /)

  await it.context.setOffline(false)
  await page.locator('#kept a').click()
  await fits(page)
  await tap(page, /^exchange lines with/)
  await page.getByText(/Pictures: 1 went, 0 came/).waitFor({ timeout: 60_000 })
  assert.doesNotMatch(await page.locator('#kept').innerText(), /since|nowhere else/)
  await assertFit(page)
  await screenshot(page, 'field-photo-exchanged-dark')

  const id = new URL(at).pathname.split('/').at(-1)
  await laptop.goto(`/capture/${id}`)
  assert.equal(await seen(laptop, '.photos'), 1)
  await screenshot(laptop, 'field-photo-laptop')
  const source = await laptop.locator('.photos img').getAttribute('src')
  const kept = Buffer.from(await laptop.evaluate(async (at) => [...new Uint8Array(await (await fetch(at)).arrayBuffer())], source))
  assert.ok(kept.length > 10_000 && kept.subarray(0, 2).equals(Buffer.from([0xff, 0xd8])), 'it is a JPEG')
  assert.ok(!kept.includes(place) && !kept.includes('Exif'), 'nothing of where it was taken is left')
})
