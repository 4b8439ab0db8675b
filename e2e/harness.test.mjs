// The harness's own test: each assert passes on a sound page and fails on one
// with a single fault.

import assert from 'node:assert/strict'
import { createServer } from 'node:http'
import { after, test } from 'node:test'
import { assertAccessible, assertFit, assertNoOverflow, assertQuiet, assertTargets, followLink, look } from './harness.mjs'

const site = createServer((request, response) => {
  const found = request.url === '/'
  response.writeHead(found ? 200 : 404, {
    'content-type': 'text/html; charset=utf-8',
    'content-security-policy': "default-src 'none'; connect-src *; img-src data:; style-src 'unsafe-inline'",
  })
  response.end(found ? sheet(sound) : 'not here')
})
await new Promise((resolve) => site.listen(0, '127.0.0.1', resolve))
after(() => site.close())
const origin = `http://127.0.0.1:${site.address().port}`

const sheet = (body, style = '') => `<!doctype html><html lang="en"><head><title>A round</title>
<link rel="icon" href="data:,"><meta name="viewport" content="width=device-width, initial-scale=1">
<style>body { color: #222; background: #fff } @media (prefers-color-scheme: dark) { body { color: #eee; background: #111 } a { color: #9cf } }
button, .target { display: inline-block; min-height: 48px; line-height: 48px } ${style}</style></head>
<body><main><h1>A round</h1>${body}</main></body></html>`

const sound = `<p>Trap <a href="/b3">B3</a> was seen at dawn.</p>
<a class="target" href="/next">next trap</a>
<label class="target">bait taken <input type="checkbox"></label>
<button>keep</button> <button hidden style="min-height: 0">not shown</button>`

for (const device of ['phone', 'desk']) {
  for (const dark of [false, true]) {
    for (const javaScript of [true, false]) {
      test(`a sound page is fit: ${device}, ${dark ? 'dark' : 'light'}, ${javaScript ? 'with' : 'without'} JavaScript`, async () => {
        const page = await look(null, { device, dark, javaScript })
        await page.setContent(sheet(sound))
        await assertFit(page)
      })
    }
  }
}

test('a sound page is fit under a strict content security policy', async () => {
  const page = await look(null)
  await page.goto(origin)
  await assertFit(page)
})

const faults = [
  ['a button of 20 px', assertTargets, sheet('<button style="min-height: 0; height: 20px; line-height: 1">keep</button>'), /20 px: <button/],
  ['a link that stands alone', assertTargets, sheet('<p><a href="/b3">B3</a></p>'), /px: <a href="\/b3"/],
  ['links side by side', assertTargets, sheet('<nav><a href="/b3">B3</a> · <a href="/b4">B4</a></nav>'), /px: <a href="\/b3".*px: <a href="\/b4"/s],
  ['a field with a low label', assertTargets, sheet('<label>mass, g <input></label>'), /px: <input/],
  ['a box wider than the window', assertNoOverflow, sheet('<div id="wide">.</div>', '#wide { width: 3000px }'), /<div id="wide"/],
  ['a field without a label', assertAccessible, sheet('<input class="target">'), /label: /],
  ['pale grey on white', assertAccessible, sheet('<p style="color: #bbb; background: #fff">sprung</p>'), /color-contrast: /],
  ['a page in no language', assertAccessible, sheet('').replace(' lang="en"', ''), /html-has-lang: /],
]
for (const [name, assertion, html, said] of faults) {
  test(`a fault is found: ${name}`, async () => {
    const page = await look(null)
    await page.setContent(html)
    await assert.rejects(assertion(page), said)
  })
}

for (const [name, script, said] of [
  ['a console error', `console.error('trap B7 is not set')`, /console: trap B7 is not set/],
  ['an exception', `void setTimeout(() => { throw new Error('no such round') })`, /exception: no such round/],
  ['a missing page', `void fetch('/gone')`, /404 GET .*\/gone/],
  ['a server that is away', `fetch('http://127.0.0.1:1/').catch(() => {})`, /net::ERR_\w+ http:\/\/127\.0\.0\.1:1\//],
]) {
  test(`a fault is found: ${name}`, { timeout: 20_000 }, async () => {
    const page = await look(null)
    await page.goto(origin)
    assertQuiet(page)
    await page.evaluate(script)
    for (let heard = ''; !said.test(heard); await page.waitForTimeout(20)) {
      try { assertQuiet(page) } catch (trouble) { heard += trouble.message }
    }
  })
}

test('a link page with two buttons is refused', async () => {
  const page = await look(null)
  const link = `data:text/html,${encodeURIComponent(sheet('<button>open</button><button>leave</button>'))}`
  await assert.rejects(followLink(page, link), /one button/)
})
