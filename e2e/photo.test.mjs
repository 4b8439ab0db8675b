// A photo in a real browser: taken at the bench, upright however the camera held
// it, shown at the desk, kept without a word of where it was taken; without
// scripts too, and with some of its bytes still on another device.

import assert from 'node:assert/strict'
import { readdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { assertFit, look, screenshot, serve } from './harness.mjs'
import { cast, checks, dawn, follow, tap, toWaiting } from './scribe.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--grow-only']] })
const { site, mother } = cast(program)
const secret = 'S19.2500E146.8000'

// stored draws what a camera keeps that holds its sensor so: the scene has red,
// green, blue and white corners, by the clock from the top left.
async function stored(page, orientation, width = 1600, height = 1200) {
  const bytes = await page.evaluate(async ({ orientation, width, height }) => {
    const canvas = document.createElement('canvas')
    const turned = orientation >= 5
    canvas.width = turned ? height : width
    canvas.height = turned ? width : height
    const pen = canvas.getContext('2d')
    // from the scene to what is stored: TIFF 6.0, page 36
    const to = [, [1, 0, 0, 1, 0, 0], [-1, 0, 0, 1, width, 0], [-1, 0, 0, -1, width, height], [1, 0, 0, -1, 0, height],
      [0, 1, 1, 0, 0, 0], [0, -1, 1, 0, 0, width], [0, -1, -1, 0, height, width], [0, 1, -1, 0, height, 0]]
    pen.setTransform(...to[orientation])
    for (const [x, y, colour] of [[0, 0, '#e00000'], [1, 0, '#00a000'], [1, 1, '#0000e0'], [0, 1, '#ffffff']]) {
      pen.fillStyle = colour
      pen.fillRect((x * width) / 2, (y * height) / 2, width / 2, height / 2)
    }
    const blob = await new Promise((resolve) => canvas.toBlob(resolve, 'image/jpeg', 0.95))
    return [...new Uint8Array(await blob.arrayBuffer())]
  }, { orientation, width, height })
  const tiff = Buffer.concat([
    Buffer.from('II*\0\x08\0\0\0\x02\0', 'latin1'), // two entries: what made it, and how it was held
    Buffer.from([0x10, 1, 2, 0, secret.length, 0, 0, 0, 38, 0, 0, 0]), Buffer.from([0x12, 1, 3, 0, 1, 0, 0, 0, orientation, 0, 0, 0]),
    Buffer.from([0, 0, 0, 0]), Buffer.from(secret),
  ])
  const exif = Buffer.concat([Buffer.from('Exif\0\0'), tiff])
  const length = Buffer.from([(exif.length + 2) >> 8, (exif.length + 2) & 255])
  return Buffer.concat([Buffer.from(bytes.slice(0, 2)), Buffer.from([0xff, 0xe1]), length, exif, Buffer.from(bytes.slice(2))])
}

// corners are the colours of a picture as the browser shows it, by the clock.
const corners = (page, source) => page.evaluate(async (source) => {
  const bytes = typeof source === 'string' ? await (await fetch(source)).blob() : new Blob([new Uint8Array(source)], { type: 'image/jpeg' })
  const picture = await createImageBitmap(bytes)
  const canvas = Object.assign(document.createElement('canvas'), { width: picture.width, height: picture.height })
  const pen = canvas.getContext('2d')
  pen.drawImage(picture, 0, 0)
  return [[1, 1], [3, 1], [3, 3], [1, 3]].map(([x, y]) => {
    const [r, g, b] = pen.getImageData((x * picture.width) / 4, (y * picture.height) / 4, 1, 1).data
    return r > 200 && g > 200 ? 'white' : r > 150 ? 'red' : g > 100 ? 'green' : b > 150 ? 'blue' : 'black'
  }).concat(picture.width > picture.height ? 'wide' : 'tall')
}, source)

// atPhotos brings a scribe to the photos of an animal that waits.
async function atPhotos(how) {
  const page = await dawn(program, how, site)
  const [trap] = await checks(page, 1)
  await toWaiting(page, trap)
  await follow(page, /^photo$/)
  return page
}

async function keep(page, name, file, shows, caption = '') {
  await page.getByLabel('Picture').setInputFiles({ name, mimeType: 'image/jpeg', buffer: file })
  await page.getByLabel('It shows').selectOption({ label: shows })
  await page.getByLabel('What is to be seen').fill(caption)
  await page.locator('form[enctype] button:not([disabled])').waitFor()
  await tap(page, 'keep the photo')
}

for (const javaScript of [true, false]) {
  test(`a photo is taken at the bench, ${javaScript ? 'with' : 'without'} scripts`, async () => {
    const page = await atPhotos({ device: 'phone', dark: true, javaScript })
    const camera = await look(program, { device: 'desk' }) // draws what is taken
    await camera.goto('/animals')
    await assertFit(page)
    await screenshot(page, `photo-none-${javaScript ? 'phone-dark' : 'scriptless'}`)
    const file = await stored(camera, 6, 4000, 3000)
    await keep(page, 'IMG.jpg', file, 'ear', 'torn edge')
    assert.match(await page.locator('.flash').innerText(), /kept: photo of .*ear: torn edge/)
    const img = page.locator('.taken-photos img')
    assert.match(await img.getAttribute('alt'), /ear: torn edge/)
    const source = await img.getAttribute('src')
    assert.deepEqual(await corners(camera, source), ['red', 'green', 'blue', 'white', 'wide'])
    const kept = await camera.evaluate(async (at) => [...new Uint8Array(await (await fetch(at)).arrayBuffer())], source)
    assert.ok(!Buffer.from(kept).includes(secret) && Buffer.from(file).includes(secret), 'nothing of where it was taken is left')
    await assertFit(page)
    await screenshot(page, `photo-taken-${javaScript ? 'phone-dark' : 'scriptless'}`)
    await follow(page, 'back to the animal')
    await page.getByRole('link', { name: '1 photo' }).waitFor()
    await assertFit(page)
    await screenshot(page, `photo-bench-${javaScript ? 'phone-dark' : 'scriptless'}`)
  })
}

test('all eight ways to hold a camera come out as this browser shows them', async () => {
  const page = await atPhotos({ device: 'phone', javaScript: false }) // so that the program turns them, not a script
  const camera = await look(program, { device: 'desk' })
  await camera.goto('/animals')
  for (let orientation = 1; orientation <= 8; orientation++) {
    const file = await stored(camera, orientation, 160, 120)
    const asShown = await corners(camera, [...file])
    await keep(page, `${orientation}.jpg`, file, 'the animal', `way ${orientation}`)
    const source = await page.locator('.taken-photos img').last().getAttribute('src')
    assert.deepEqual(await corners(camera, source), asShown, `orientation ${orientation}`)
    assert.deepEqual(asShown, ['red', 'green', 'blue', 'white', 'wide'])
  }
})

test('what is no picture is refused in words', async () => {
  const page = await atPhotos({ device: 'phone', javaScript: false })
  await page.getByLabel('Picture').setInputFiles({ name: 'x.heic', mimeType: 'image/heic', buffer: Buffer.from('\0\0\0\x18ftypheic\0\0\0\0', 'latin1') })
  await tap(page, 'keep the photo')
  assert.match(await page.locator('main').innerText(), /kind "heic"; only JPEG and PNG are read: set the camera to JPEG/)
  await screenshot(page, 'photo-refused')
})

test('the desk shows photos with the capture and in the life, and says which are not here yet', async () => {
  const camera = await look(program, { device: 'desk' })
  await camera.goto('/animals')
  const number = mother['mark transponder'] || mother['put mark transponder']
  await program.stop()
  for (const [i, what] of [['--part', 'hip', '--side', 'left', '--caption', 'wound, healing'], ['--caption', 'pouch closed'], ['--rack', '3']].entries()) {
    const file = join(program.folder, `${i}.jpg`)
    writeFileSync(file, await stored(camera, 1 + i, 2000 + 100 * i, 1500))
    program.run('photo', file, '--at', number, '--who', 'MO', ...what)
  }
  // On another notebook the lines are here and of the pictures only one is.
  const lines = join(program.folder, 'lines.jsonl')
  program.run('export', '-o', lines)
  const [hip] = JSON.parse(program.run('animal', number, '--json')).photos
  for (const file of readdirSync(`${lines}.photos`)) if (!file.startsWith(hip.sha256)) rmSync(join(`${lines}.photos`, file)) // still on their way
  const other = await serve({ before: [['restore', lines]] })
  await program.restart()
  for (const [name, at, here] of [['here', program, 3], ['absent', other, 1]]) {
    for (const device of ['desk', 'phone']) {
      const page = await look(at, { device, dark: device === 'phone' })
      await page.goto(`/animals?mark=${number}`)
      const life = await page.locator('a[href^="/animal/"]').first().getAttribute('href')
      await page.goto(life)
      assert.equal(await page.locator('.photos li').count(), 3)
      assert.equal(await page.locator('.photos img').count(), here)
      assert.equal(await page.locator('.photos .absent').count(), 3 - here)
      for (const img of await page.locator('.photos img').all()) await img.scrollIntoViewIfNeeded()
      await page.waitForFunction(() => [...document.querySelectorAll('.photos img')].every((i) => i.complete && i.naturalWidth > 0))
      await assertFit(page)
      await screenshot(page, `photo-life-${name}-${device}`)
      await page.goto(await page.locator('.photos a[href^="/capture/"]').first().getAttribute('href'))
      await assertFit(page)
      await screenshot(page, `photo-capture-${name}-${device}`)
    }
  }
})
