// Who takes part: an invitation is shown, a second device asks by it, a person
// compares the numbers and lets it in; and the page that explains how a phone
// trusts a camp's laptop.

import assert from 'node:assert/strict'
import { spawn } from 'node:child_process'
import { join } from 'node:path'
import { after, test } from 'node:test'
import { assertFit, look, screenshot, serve } from './harness.mjs'

const program = await serve({ before: [['demo', '--seed', '1', '--last', '2026-05-13', '--grow-only']] })

async function pen(page) {
  await page.goto('/pen?back=/devices')
  await page.getByLabel('Initials').fill('AB')
  await page.getByRole('button', { name: 'take the pen' }).click()
}

for (const device of ['phone', 'desk']) {
  for (const dark of [false, true]) {
    test(`devices, ${device}, ${dark ? 'dark' : 'light'}`, async () => {
      const page = await look(program, { device, dark })
      await pen(page)
      await page.goto('/devices')
      await assertFit(page)
      await screenshot(page, `devices-${device}-${dark ? 'dark' : 'light'}`)
      await page.getByRole('button', { name: 'invite' }).click()
      await page.getByRole('heading', { name: 'Invitation' }).waitFor()
      assert.match(await page.locator('.code').textContent(), /^\d{3} \d{3}$/)
      await screenshot(page, `invitation-${device}-${dark ? 'dark' : 'light'}`)
      await page.context().close()
    })
  }
}

test('a second device is let in by hand, without scripts', async () => {
  const page = await look(program, { device: 'desk', javaScript: false })
  await pen(page)
  await page.goto('/devices')
  await page.getByLabel('It may').first().selectOption('reader')
  await page.getByRole('button', { name: 'invite' }).click()
  const shown = await (await page.request.get(new URL(page.url()).pathname, { headers: { accept: 'application/json' } })).json()
  const asking = spawn(program.binary, ['-C', join(program.folder, '..', 'second'), 'pair', shown.shown.link, '--name', 'hut laptop', '--who', 'CK'],
    { env: program.env, stdio: ['ignore', 'pipe', 'pipe'] })
  let said = ''
  asking.stdout.on('data', (chunk) => { said += chunk })
  asking.stderr.on('data', (chunk) => { said += chunk })
  const ended = new Promise((resolve) => asking.on('exit', resolve))
  await page.getByRole('heading', { name: 'hut laptop wants to take part' }).waitFor() // the page looks again by itself
  await assertFit(page)
  await screenshot(page, 'caller-desk')
  const number = await page.locator('.check').textContent()
  assert.ok(said.includes(`must show ${number}`), `the asking device said:\n${said}`)
  await page.getByRole('button', { name: 'let it in' }).click()
  assert.equal(await ended, 0, said)
  await page.goto('/devices')
  assert.match(await page.locator('li[data-device]', { hasText: 'hut laptop' }).first().textContent(), /reader, lines exchanged/)
  await page.context().close()
})

test('a phone learns how to trust the camp, and to stop', async () => {
  await program.stop()
  const child = spawn(program.binary, ['-C', program.folder, 'serve', '--port', '0', '--listen', '127.0.0.1:0', '--camp', '--json'],
    { env: program.env, stdio: ['ignore', 'pipe', 'ignore'] })
  after(() => child.kill('SIGINT'))
  const told = JSON.parse(await new Promise((resolve) => {
    let text = ''
    child.stdout.on('data', (chunk) => { if ((text += chunk).endsWith('}\n')) resolve(text) })
  }))
  const trust = new URL(told.trust)
  trust.hostname = '127.0.0.1'
  const page = await look(undefined, { device: 'phone' })
  await page.goto(trust.href)
  await assertFit(page)
  await screenshot(page, 'trust-phone')
  assert.match(await page.locator('.fingerprint').textContent(), /^([0-9A-F]{2} ){31}[0-9A-F]{2}$/)
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('link', { name: 'get the certificate' }).click()])
  assert.equal(download.suggestedFilename(), 'dawnround-camp.crt')
  await page.context().close()
})
