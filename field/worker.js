// The worker holds the notebook: it runs the program, which answers in place of
// a server. Only one at a time may write. A tab that is loaded anew waits a
// moment for its former self to go; whoever still comes second is told.
const patience = 3000 // milliseconds
const started = new Promise((resolve, reject) => { self.up = resolve; self.down = reject })

self.onmessage = async ({ data }) => {
  if (data.begin) return begin(data.begin)
  try {
    await started
  } catch {
    return // told already
  }
  if (data.room) self.room(data.room)
  else if (data.typed !== undefined) self.typed(data.typed)
  else self.ask(data.id, { ...data, body: data.body ?? new Uint8Array(0) })
}

function begin({ core, exec }) {
  navigator.locks.request('dawnround notebook', { signal: AbortSignal.timeout(patience) }, async () => {
    try {
      await run(core, exec)
    } catch (error) {
      postMessage({ kind: 'trouble', trouble: String(error?.message ?? error) })
      self.down(error)
    }
    return new Promise(() => {}) // held until the tab goes
  }).catch(() => postMessage({ kind: 'second' }))
}

async function run(core, exec) {
  self.coreVersion = core
  importScripts(exec)
  const go = new Go()
  const code = await WebAssembly.instantiateStreaming(fetch(core), go.importObject)
  const post = self.postMessage.bind(self)
  self.postMessage = (message, transfer) => {
    if (message.kind === 'ready') self.up()
    if (message.kind === 'trouble' && !self.ask) self.down(new Error(message.trouble))
    post(message, transfer)
  }
  go.run(code.instance).then(() => post({ kind: 'trouble', trouble: 'The program ended by a mistake of ours. What was kept is kept: load the page again.' }))
}
