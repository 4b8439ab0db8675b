// Package browser keeps a notebook in a browser's own file system (OPFS, of
// the File System Living Standard, WHATWG), sealed under a passphrase. The
// same code runs on plain files, where its tests cut the power.
//
// # What lies there
//
//	key        the data key, wrapped by a key made from the passphrase
//	lines      every line and signed head
//	drafts     the steps of what is in the hand
//	self       the device's own key, and what belongs to this phone alone
//	words      what is typed and not sent yet
//	snapshot   where the lines lie; disposable
//	blobs      the bytes of attachments, in pieces
//	blobindex  where the pieces of each lie
//
// Every file but key is a [Journal]: frames sealed with AES-256-GCM under the
// data key, a random 256-bit number that never leaves the phone.
//
// # What must hold, or data are lost
//
//   - What was acknowledged is flushed and can be read after a power cut.
//   - A batch is kept wholly or not at all.
//   - A frame opens only in the file, in the life of the file and at the place
//     where it was written: it cannot be moved, swapped or carried over.
//   - A torn end is cut off only where nothing acknowledged follows it; any
//     other damage is told, and nothing is cut.
//   - The bytes of an attachment are flushed before their place is written, and
//     count as here only by their place.
//   - One writer at a time: the disk gives a file to one holder only.
//
// # What sealing does and does not protect
//
// Whoever takes the phone and not the passphrase learns how much was written
// and roughly when, and nothing of what: no place, no animal, no name. Whoever
// has the phone while the notebook is open, or a program of theirs on it, reads
// what is on the screen and more. Whoever can write in the phone's storage can
// put back an older state of it whole, which shows at the next exchange as an
// older copy, and cannot forge a line. A short passphrase can be guessed: each
// guess costs [Rounds] rounds of SHA-256, no more.
package browser
