package notebook

import (
	"crypto/ed25519"
	"crypto/rand"
	"errors"
	"fmt"
	"iter"
	"sync"
	"time"

	"github.com/google/uuid"
)

// Notebook is one device's open notebook: every line it has, and the right to
// write the next one of its own. It may be used from several goroutines.
type Notebook struct {
	store     Store
	programme uuid.UUID

	mu      sync.Mutex // over all below
	key     ed25519.PrivateKey
	clock   hybrid
	heads   Heads
	adopted branches
	stale   bool // an append went wrong: ask the store where the chains end
	limited bool // takes withheld lines

	remember func(ed25519.PrivateKey, Head) error // nil, or the installation's memory
	forgot   error                                // what it said last
	lately   int                                  // own lines since
}

// Create begins the notebook of a new programme, or of a device that joins one
// and has yet to merge: it stays empty, but for the device's signed word that it
// takes part. now is the wall clock.
func Create(store Store, programme uuid.UUID, key ed25519.PrivateKey, now func() time.Time) (*Notebook, error) {
	heads, signed, err := store.Heads()
	if err != nil {
		return nil, err
	}
	if len(heads) > 0 || len(signed) > 0 {
		return nil, errors.New("there is a notebook here already: open it, or choose an empty folder")
	}
	if programme == uuid.Nil {
		return nil, errors.New("programme id: all zeros; expected a new UUID, or that of the programme to join")
	}
	if err := store.Append(nil, []SignedHead{sign(key, programme, Head{})}); err != nil {
		return nil, err
	}
	return Open(store, key, now)
}

// Open verifies every chain and opens the notebook for the device that holds key.
// It writes nothing: a device new to the notebook begins with its first line.
// Where a fork of this very device has been adopted, the notebook takes a new
// key ([Notebook.Key]), since two notebooks hold the old one.
//
// Each reader is given every line of every branch as it is verified, so that a
// fold need not read them again; a line that stands on a chain and in a fork
// comes twice. What a reader was given means nothing if Open returns an error.
func Open(store Store, key ed25519.PrivateKey, now func() time.Time, readers ...func(Line)) (*Notebook, error) {
	n := &Notebook{store: store, key: key, clock: hybrid{now: now}}
	read := reading{own: deviceOf(key), clock: &n.clock, adopted: &n.adopted, readers: readers}
	report, err := read.all(store)
	if err != nil {
		return nil, err
	}
	n.programme, n.heads = report.Programme, report.Heads
	return n, n.retire()
}

// Programme is the programme this notebook belongs to.
func (n *Notebook) Programme() uuid.UUID { return n.programme }

// Device is the device this notebook writes as.
func (n *Notebook) Device() DeviceID { return deviceOf(n.Key()) }

// Key is the device's private key. It changes when this device's own chain turns
// out to have two branches.
func (n *Notebook) Key() ed25519.PrivateKey {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.key
}

// Write adds entries as this device's next lines, all or none, and returns them
// once they are safe on disk. Nothing else makes lines of one's own. After an
// error nothing was acknowledged; an entry that bears its own id may be looked
// for by that id before it is written again.
func (n *Notebook) Write(entries ...Entry) ([]Line, error) {
	for _, e := range entries {
		if err := e.check(); err != nil {
			return nil, err
		}
		switch e.Kind {
		case ForkKind:
			return nil, fmt.Errorf("kind %q is the notebook's own: use AdoptFork", ForkKind)
		case WithheldKind:
			return nil, fmt.Errorf("kind %q is the notebook's own: it stands for a line that may not be read here", WithheldKind)
		}
	}
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.write(entries)
}

func (n *Notebook) write(entries []Entry) ([]Line, error) {
	if err := n.refresh(); err != nil || len(entries) == 0 {
		return nil, err
	}
	lines := make([]Line, len(entries))
	head := n.heads[deviceOf(n.key)]
	for i, e := range entries {
		lines[i] = n.next(e, head)
		head = Head{Seq: lines[i].Seq, Hash: lines[i].Hash}
	}
	if head.Seq > MaxSeq {
		return nil, fmt.Errorf("device %s: its %d lines are used up; go on as a new device", deviceOf(n.key), uint64(MaxSeq))
	}
	if err := n.append(lines, []SignedHead{sign(n.key, n.programme, head)}); err != nil {
		return nil, err
	}
	n.lately += len(lines)
	if n.lately >= rememberEvery {
		n.recall()
	}
	return lines, nil
}

// next makes the line after head.
func (n *Notebook) next(e Entry, head Head) Line {
	l := Line{Format: Format, Programme: n.programme, ID: e.ID, Device: deviceOf(n.key), Seq: head.Seq + 1,
		Prev: head.Hash, Clock: n.clock.next(), Who: e.Who, Kind: e.Kind, Body: e.Body}
	if l.ID == uuid.Nil {
		l.ID = newID(l.Clock)
	}
	l.seal()
	return l
}

// append hands lines to the store and moves the heads on.
func (n *Notebook) append(lines []Line, signed []SignedHead) error {
	if err := n.store.Append(lines, signed); err != nil {
		n.stale = true
		return err
	}
	for i := range lines {
		n.heads[lines[i].Device] = Head{Seq: lines[i].Seq, Hash: lines[i].Hash}
	}
	return nil
}

// refresh asks the store where the chains end when an append has left that in doubt.
func (n *Notebook) refresh() error {
	if !n.stale {
		return nil
	}
	heads, _, err := n.store.Heads()
	if err != nil {
		return err
	}
	n.heads, n.stale = heads, false
	return nil
}

// Heads gives where each chain ends, and each device's signature for that: what
// is sent to another notebook at an exchange. This device has signed its own
// with every write, so nothing it has kept depends on its key being found again.
func (n *Notebook) Heads() (Heads, []SignedHead, error) { return n.store.Heads() }

// Since gives the lines that a holder of these heads lacks, ordered by clock,
// device and number. A holder whose head is not on our chain is on another
// branch, and gets the device's lines from where the branches part.
func (n *Notebook) Since(holder Heads) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		from, err := n.common(holder)
		if err != nil {
			yield(Line{}, err)
			return
		}
		n.store.Since(from)(yield)
	}
}

// common moves each head that is not on our chain back to where it is.
func (n *Notebook) common(holder Heads) (Heads, error) {
	ours, _, err := n.store.Heads()
	if err != nil {
		return nil, err
	}
	from := Heads{}
	for device, head := range holder {
		on, err := n.onChain(device, head, ours[device])
		if err != nil {
			return nil, err
		}
		if !on {
			head = Head{Seq: n.before(device, head.Hash)}
		}
		from[device] = head
	}
	return from, nil
}

// onChain tells whether a holder's head is a line of our chain, or may become one.
func (n *Notebook) onChain(device DeviceID, head, ours Head) (bool, error) {
	if head.Seq == 0 || head == ours {
		return true, nil
	}
	if head.Seq > ours.Seq {
		n.mu.Lock()
		defer n.mu.Unlock()
		return !n.adopted.has(head.Hash), nil
	}
	l, err := n.line(device, head.Seq)
	return l.Hash == head.Hash, err
}

// before gives the last number that a branch shares with our chain, as far as is known.
func (n *Notebook) before(device DeviceID, tip Hash) uint64 {
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.adopted.has(tip) {
		return n.adopted.parts[device] - 1
	}
	return 0
}

// Lines gives every line of every branch, ordered by clock, device and number:
// what a reader folds. Two notebooks that hold the same lines give the same order.
func (n *Notebook) Lines() iter.Seq2[Line, error] {
	n.mu.Lock()
	carried := n.adopted.sorted()
	n.mu.Unlock()
	return InOrder(n.store.Since(nil), each(carried))
}

// chain gives one device's lines from number seq on.
func (n *Notebook) chain(device DeviceID, seq uint64) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		ours, _, err := n.store.Heads()
		if err != nil {
			yield(Line{}, err)
			return
		}
		ours[device] = Head{Seq: seq - 1}
		for l, err := range n.store.Since(ours) {
			if (err != nil || l.Device == device) && !yield(l, err) {
				return
			}
		}
	}
}

// line gives one line of the chain as it stands in the store.
func (n *Notebook) line(device DeviceID, seq uint64) (Line, error) {
	for l, err := range n.chain(device, seq) {
		return l, err
	}
	return Line{}, fmt.Errorf("device %s line %d: not in the store", device, seq)
}

// newID makes a UUID of version 7 (RFC 9562, section 5.7) for a line written at c.
func newID(c Clock) uuid.UUID {
	var id uuid.UUID
	rand.Read(id[:])
	for i := range 6 {
		id[i] = byte(c.Wall >> (40 - 8*i))
	}
	id[6] = 0x70 | id[6]&0x0f
	id[8] = 0x80 | id[8]&0x3f
	return id
}
