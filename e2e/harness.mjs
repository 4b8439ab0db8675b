// What a browser test needs: the program serving a folder of its own, a phone
// or a desk to look at it with, and asserts that a page is fit to use.
//
//   const program = await serve({ before: [['import', table]] })
//   const page = await look(program, { device: 'phone', dark: true })
//   await page.goto('/round')
//   await assertFit(page)
//
// What a test started is stopped and removed when it ends, the browser when its
// file ends. DAWNROUND names another binary than bin/dawnround, CHROMIUM another
// browser. Pictures lie in e2e/out.

import { spawn, spawnSync } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { after } from 'node:test'
import assert from 'node:assert/strict'
import axe from 'axe-core'
import { chromium } from 'playwright-core'

const root = join(import.meta.dirname, '..')
const pictures = join(import.meta.dirname, 'out')
const binary = process.env.DAWNROUND ?? join(root, 'bin', 'dawnround')
const patience = 30_000 // milliseconds for a verb, a start or a stop

const devices = {
  phone: { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true },
  desk: { viewport: { width: 1280, height: 900 } },
}

// ---- the program ----

// serve starts the program on a new programme folder and waits for its link.
// The verbs in before, each a list of arguments, run first in that folder.
export async function serve({ before = [] } = {}) {
  if (!existsSync(binary)) must(spawnSync('make', ['build'], { cwd: root, encoding: 'utf8' }))
  const temp = mkdtempSync(join(tmpdir(), 'dawnround-'))
  const folder = join(temp, 'programme')
  const env = { ...process.env, DAWNROUND_HOME: join(temp, 'home') }
  mkdirSync(folder)
  mkdirSync(env.DAWNROUND_HOME)
  let child
  const stop = () => interrupt(child)
  after(async () => {
    await stop()
    rmSync(temp, { recursive: true, force: true })
  })

  const run = (...args) => must(spawnSync(binary, ['-C', folder, ...args], { env, encoding: 'utf8', timeout: patience }))
  for (const verb of before) run(...verb)

  const program = { folder, run, stop, binary, env }
  const begin = async (port) => {
    child = spawn(binary, ['-C', folder, 'serve', '--port', port], { env, stdio: ['ignore', 'pipe', 'pipe'] })
    const link = await printedLink(child)
    Object.assign(program, { link, origin: new URL(link).origin, session: undefined })
  }
  // restart stops the program and starts it again on the same folder and port;
  // who was signed in follows its new link.
  program.restart = async () => {
    await stop()
    await begin(new URL(program.origin).port)
  }
  await begin('0')
  return program
}

// must returns what a finished command printed, or throws with all it said.
function must({ status, stdout, stderr, error }) {
  assert.equal(status, 0, error?.message ?? `exit ${status}; it said:\n${stdout}${stderr}`)
  return stdout
}

// printedLink waits for the line on which serve prints its link.
function printedLink(child) {
  return new Promise((resolve, reject) => {
    let said = ''
    const give = (why) => reject(new Error(`dawnround serve ${why}; it said:\n${said}`))
    const timer = setTimeout(() => { child.kill(); give('printed no link') }, patience)
    const hear = (chunk) => {
      said += chunk
      const found = said.match(/open this in your browser within five minutes: (http:\/\/127\.0\.0\.1:\d+\/\S+)\s/)
      if (found) { clearTimeout(timer); resolve(found[1]) }
    }
    child.stdout.on('data', hear)
    child.stderr.on('data', (chunk) => { said += chunk })
    child.on('error', (error) => { clearTimeout(timer); give(error.message) })
    child.on('exit', (code) => { clearTimeout(timer); give(`ended with ${code}`) })
  })
}

// interrupt stops the program as Ctrl-C does, and says so if that fails.
async function interrupt(child) {
  if (!child || child.exitCode !== null || child.signalCode !== null) return
  const ended = new Promise((resolve) => child.once('exit', resolve))
  child.kill('SIGINT')
  const timer = setTimeout(() => child.kill('SIGKILL'), patience)
  await ended
  clearTimeout(timer)
  assert.notEqual(child.signalCode, 'SIGKILL', 'dawnround serve did not stop on Ctrl-C')
}

// ---- the browser ----

let launched

// browser is one Chromium for the whole test file. The flags keep it from
// calling home, which a machine without internet refuses.
export function browser() {
  launched ??= chromium.launch({
    executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
    args: ['--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking',
      '--disable-component-update', '--disable-sync'],
  })
  return launched
}
after(async () => (await launched)?.close())

// look opens a page on a phone or a desk, signed in to the program if one is
// given. The first look uses up the program's link; later ones share its session.
// More options of a browser context go into screen.
export async function look(program, { device = 'phone', dark = false, javaScript = true, screen = {} } = {}) {
  const context = await (await browser()).newContext({
    ...devices[device],
    ...screen,
    colorScheme: dark ? 'dark' : 'light',
    javaScriptEnabled: javaScript,
    baseURL: program?.origin,
    storageState: program?.session,
  })
  const page = await context.newPage()
  watch(page)
  if (!javaScript) scriptless.add(page)
  if (program && !program.session) {
    await followLink(page, program.link)
    program.session = await context.storageState()
  }
  return page
}

// followLink opens a one-time link and presses the only button on its page.
export async function followLink(page, link) {
  await page.goto(link)
  assert.equal(await page.getByRole('button').count(), 1, 'the page behind the link has one button')
  await Promise.all([page.waitForNavigation(), page.getByRole('button').click()])
}

const troubles = new WeakMap() // page to what went wrong on it
const scriptless = new WeakSet() // pages without JavaScript

// watch notes console errors, exceptions and requests that fail.
export function watch(page) {
  const noted = []
  troubles.set(page, noted)
  page.on('console', (m) => { if (m.type() === 'error') noted.push(`console: ${m.text()}`) })
  page.on('pageerror', (e) => noted.push(`exception: ${e.message}`))
  page.on('response', (r) => { if (r.status() >= 400) noted.push(`${r.status()} ${r.request().method()} ${r.url()}`) })
  page.on('requestfailed', (r) => {
    const why = r.failure()?.errorText
    if (why !== 'net::ERR_ABORTED') noted.push(`${why} ${r.url()}`) // aborted: the person went elsewhere, or it was a download
  })
}

// takeTroubles returns what went wrong on the page since it was last asked.
export function takeTroubles(page) {
  return troubles.get(page).splice(0)
}

// screenshot keeps a picture of the whole page in e2e/out for a person to see.
export async function screenshot(page, name) {
  mkdirSync(pictures, { recursive: true })
  await page.screenshot({ path: join(pictures, `${name}.png`), fullPage: true })
}

// ---- asserts ----

// assertFit runs every assert below on the page as it stands.
export async function assertFit(page) {
  assertQuiet(page)
  await assertNoOverflow(page)
  await assertTargets(page)
  await assertAccessible(page)
}

// assertQuiet finds no console error, exception or failed request so far.
export function assertQuiet(page) {
  assert.deepEqual(takeTroubles(page), [], `troubles at ${page.url()}`)
}

// assertAccessible finds no violation of WCAG 2.0 to 2.2, levels A and AA,
// as far as axe can tell.
export async function assertAccessible(page) {
  if (scriptless.has(page)) await page.evaluate(timersAtOnce)
  await page.evaluate(`${axe.source}; 0`)
  const violations = await page.evaluate(async (standards) => {
    const found = await globalThis.axe.run({ runOnly: standards, preload: false })
    return found.violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${v.help}: ${n.html}`))
  }, ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'])
  assert.deepEqual(violations, [], `inaccessible at ${page.url()}`)
}

// timersAtOnce replaces the timers of a page without JavaScript, which never
// fire, and which axe waits for between its steps. Long ones are its alarms.
function timersAtOnce() {
  globalThis.setTimeout = (work, wait = 0, ...given) => {
    if (wait < 100) Promise.resolve().then(() => work(...given))
    return 0
  }
}

// assertNoOverflow finds that the page does not scroll sideways.
export async function assertNoOverflow(page) {
  const wide = await page.evaluate(() => {
    const room = document.documentElement.clientWidth
    if (document.documentElement.scrollWidth <= room) return []
    const sticking = [...document.body.querySelectorAll('*')].filter((e) => e.getBoundingClientRect().right > room + 0.5)
    return [`${document.documentElement.scrollWidth} px in a window of ${room}`,
      ...sticking.slice(0, 5).map((e) => e.outerHTML.slice(0, 120))]
  })
  assert.deepEqual(wide, [], `scrolls sideways at ${page.url()}`)
}

// assertTargets finds that all that can be pressed is at least 48 px high, a
// gloved finger, except links in running text. A field is as high as its label
// if that can be pressed too.
export async function assertTargets(page) {
  const small = await page.evaluate(() => {
    const least = 48

    const seen = (e) => {
      const { width, height, right, bottom } = e.getBoundingClientRect()
      return width > 1 && height > 1 && right > 0 && bottom > 0 && e.checkVisibility({ visibilityProperty: true, opacityProperty: true })
    }
    const height = (e) => {
      const boxes = [e, ...(e.labels ?? []), e.closest('label')].filter((b) => b && seen(b))
      return Math.max(...boxes.map((b) => b.getBoundingClientRect().height))
    }
    const inRunningText = (e) => {
      if (e.tagName !== 'A' || getComputedStyle(e).display !== 'inline') return false
      let block = e.parentElement
      while (getComputedStyle(block).display === 'inline') block = block.parentElement
      const words = document.createTreeWalker(block, NodeFilter.SHOW_TEXT)
      while (words.nextNode()) {
        if (/\p{L}/u.test(words.currentNode.data) && !words.currentNode.parentElement.closest('a, button')) return true
      }
      return false
    }

    return [...document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')]
      .filter((e) => (seen(e) || [...(e.labels ?? [])].some(seen)) && !inRunningText(e) && height(e) < least - 0.5)
      .map((e) => `${Math.round(height(e))} px: ${e.outerHTML.slice(0, 120)}`)
  })
  assert.deepEqual(small, [], `too small to press at ${page.url()}`)
}
