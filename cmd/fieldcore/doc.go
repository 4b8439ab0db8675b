// Fieldcore is the program on the phone: the scribe's screens over the phone's
// own notebook, compiled to WebAssembly. It runs in a worker and answers what
// the shell (package field) asks for in place of a server; no network is needed.
//
// What must hold:
//
//   - a page says that something is kept only once the phone's storage has it;
//   - nothing of the notebook is in reach before the passphrase, and nothing of
//     it lies anywhere but in the sealed files of notebook/browser;
//   - an older or a newer program never finds lines that it cannot go on from:
//     the snapshot of the register is disposable, the lines are not.
package main
