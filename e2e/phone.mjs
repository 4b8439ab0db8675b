// What a browser test of the field program needs: a phone that keeps its storage
// when its browser is killed, and the steps from an empty phone to an open round.

import { spawn } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { after } from 'node:test'
import { chromium } from 'playwright-core'
import { watch } from './harness.mjs'

export const passphrase = 'quoll on a wet granite slab' // invented

// phone is a browser with storage of its own. Its page is as the harness's.
export async function phone({ dark = false } = {}) {
  const folder = mkdtempSync(join(tmpdir(), 'dawnround-phone-'))
  const it = { folder }
  it.start = async () => {
    it.context = await chromium.launchPersistentContext(folder, {
      executablePath: process.env.CHROMIUM || '/usr/bin/chromium',
      args: ['--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'],
      viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true, colorScheme: dark ? 'dark' : 'light',
    })
    it.page = it.context.pages()[0] ?? (await it.context.newPage())
    it.page.setDefaultTimeout(20_000)
    watch(it.page)
    return it.page
  }
  // kill ends the browser as a dead battery does, and waits until it is gone.
  it.kill = async () => {
    const gone = new Promise((resolve) => it.context.once('close', resolve))
    for (const pid of processes(folder)) process.kill(pid, 'SIGKILL')
    await gone
    rmSync(join(folder, 'SingletonLock'), { force: true })
  }
  it.stop = () => it.context.close()
  after(async () => {
    await it.stop().catch(() => {})
    rmSync(folder, { recursive: true, force: true })
  })
  await it.start()
  return it
}

// processes are those of the browser whose storage lies in a folder.
export function processes(folder) {
  return readdirSync('/proc').filter((pid) => /^\d+$/.test(pid)).map(Number).filter((pid) => {
    try {
      return readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes(folder)
    } catch {
      return false // it ended meanwhile
    }
  })
}

// slowed lets every process of a phone's browser run for one part in n of the
// time, in turns of a few milliseconds: unlike the throttle of the developer
// tools it reaches workers too. It gives a function that ends it.
export function slowed(phone, n) {
  const child = spawn(process.execPath, ['-e', `
    const [n, ...pids] = process.argv.slice(1).map(Number)
    const wait = (ms) => Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms)
    const all = (signal) => { for (const pid of pids) try { process.kill(pid, signal) } catch {} }
    for (;;) { all('SIGSTOP'); wait(4 * (n - 1)); all('SIGCONT'); wait(4) }
  `, String(n), ...processes(phone.folder).map(String)], { stdio: 'ignore' })
  return async () => {
    const gone = new Promise((resolve) => child.once('exit', resolve))
    child.kill()
    await gone
    for (const pid of processes(phone.folder)) process.kill(pid, 'SIGCONT')
  }
}

// installed waits until the service worker holds every file of the shell.
export async function installed(page) {
  await page.evaluate(async () => { await navigator.serviceWorker.ready })
}

// begin takes a notebook's file in on an empty phone.
export async function begin(page, origin, file, { patience = 60_000 } = {}) {
  await page.goto(`${origin}/field/`)
  await fromFile(page, file)
  await page.locator('#kept').waitFor({ timeout: patience })
}

// fromFile fills in the form that takes a file, and sends it.
export async function fromFile(page, file) {
  const form = page.locator('form[action="/begin"]')
  await form.getByLabel('File').setInputFiles(file)
  await introduce(form)
  await form.locator('button.press').click({ noWaitAfter: true })
}

// joins asks the laptop to let an empty phone in, by its code.
export async function joins(page, origin, code) {
  await page.goto(`${origin}/field/`)
  const form = page.locator('form[action="/join"]')
  await form.getByLabel('Address').fill(origin)
  await form.getByLabel('Code').fill(code)
  await introduce(form)
  await form.locator('button.press').click({ noWaitAfter: true })
}

async function introduce(form) {
  await form.getByLabel('What the crew calls this phone').fill("MO's phone")
  await form.getByLabel('Your initials').fill('MO')
  await form.getByLabel('Passphrase, at least').fill(passphrase)
  await form.getByLabel('The same once more').fill(passphrase)
}

// unlock writes the passphrase and waits for the page behind it.
export async function unlock(page, { patience = 60_000 } = {}) {
  await page.getByLabel('Passphrase').fill(passphrase)
  await page.getByRole('button', { name: 'open the notebook' }).click({ noWaitAfter: true })
  await page.locator('#kept').waitFor({ timeout: patience })
}

// confirmed has the laptop invite a phone, and somebody there say yes.
export async function confirmed(program, use) {
  const child = spawn(program.binary, ['-C', program.folder, 'pair'], { env: program.env })
  let said = ''
  const code = new Promise((resolve) => {
    const hear = (d) => { said += d; const m = said.match(/\b(\d{3} ?\d{3})\b/); if (m) resolve(m[1]) }
    child.stdout.on('data', hear)
    child.stderr.on('data', hear)
  })
  const yes = setInterval(() => { if (/MO's phone/.test(said)) { clearInterval(yes); child.stdin.write('yes\n') } }, 200)
  try {
    return await use(await code)
  } finally {
    clearInterval(yes)
    child.kill()
  }
}
