// Package notebook keeps lines that are only ever added: who wrote which, after
// which, when, and what two notebooks must tell each other to hold the same. It
// knows nothing of animals; the body of a line is bytes to it.
//
// A programme has one notebook, of which every device has a copy. Each device
// writes a chain of its own: its lines are numbered without gaps, and each names
// the SHA-256 of the one before. A device is its Ed25519 public key, and signs
// the head of its chain with every write. Notebooks exchange whole lines, never
// states, so it does not matter in which order, by which route or how often.
//
// # The line
//
// A line is stored as one line of UTF-8 JSON, keys in this order, without white
// space outside the body:
//
//	{"v":1,"programme":"<uuid>","id":"<uuid>","device":"<public key, URL-safe base64>",
//	"seq":12,"prev":"<SHA-256 of this device's line before, hexadecimal; zeros for the first>",
//	"at":"2026-05-14T20:12:03.123Z","tick":0,"who":"AB","kind":"capture","body":{…}}
//
// Its hash is the SHA-256 of these bytes, without the line break. A later format
// has a higher v and the same keys up to kind; what follows is its own. A device
// signs, with Ed25519, five lines of text, each with its line break:
//
//	dawnround head 1
//	<programme>
//	<device>
//	<seq>
//	<hash>
//
// A device that may not read all is told of a line only its place in the chain
// ([Line.Withheld]); its notebook is limited, and no other takes such a line.
//
// An export holds the lines by clock, device and number, then {"head":{…}} for
// each device.
//
// # What must hold, or data are lost
//
//   - A line that was acknowledged is readable after a power cut.
//   - A stored line never changes by a byte, and nothing is ever re-encoded to
//     verify it.
//   - A device's numbers have no gap, and each line names the hash of the one before.
//   - A chain ends at a head signed by its device, so that whoever holds the lines
//     can pass them on, even when the key is gone.
//   - Only [Notebook.Write], [Notebook.AdoptFork] and [Notebook.Merge] add to a
//     store; [Create] and [Restore] fill an empty one.
//   - Two notebooks never write as one device knowingly: a key lies outside the
//     programme's folder and is not copied with it.
//   - A fork keeps both branches. A reader goes by [Notebook.Lines], which gives both.
//   - A line of an unknown kind or a later format is kept, verified and passed on.
//   - What refers to a line may arrive before it.
//   - The bytes of an attachment are safe before the line that names them is
//     written, count as here only once their hash was verified, and may come
//     whenever they come: a line whose bytes are not here is whole.
//
// # What should hold, or a repair is due
//
//   - One process at a time writes in a folder.
//   - A device's clock is right within a day. If it is ahead, its lines are kept and
//     [Merged.Ahead] tells; if it was ahead while this device wrote, later lines
//     stand at that time, in order, until the wall clock catches up.
//   - A device's clock does not run backwards from line to line.
//   - The installation remembers each device's head. If it lags, a restored copy
//     is noticed only at the next merge, as a fork.
//   - A fork is adopted soon: until then the branches cannot be exchanged.
//   - A line's id is its own. The notebook does not check that.
//   - A fork line can be unpacked. If not, it is kept, and [Verify] tells.
//
// # What it does not do
//
// The chain finds damage and gaps, not fraud: whoever holds the file and the key
// can write the whole chain anew. A signature says which device, not which person.
package notebook
