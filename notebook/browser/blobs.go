package browser

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"sync"

	"dawnround/notebook"
)

// Blobs keeps the bytes of attachments in a vault: a notebook.Blobs. The bytes
// lie in one file, where they lie in another, so that opening reads no picture.
// It may be used from several goroutines.
type Blobs struct {
	mu    sync.Mutex // over all below
	bytes *Journal
	index *Journal
	of    map[notebook.Hash]placed
	end   int64 // of the bytes that the index knows
}

// placed is where the bytes of one attachment lie. It is a frame of the index;
// the last of a hash stands.
type placed struct {
	Hash      notebook.Hash `json:"hash"`
	Pieces    []int64       `json:"pieces,omitempty"` // their places in the file of bytes
	Size      int64         `json:"size"`             // of all pieces
	Whole     bool          `json:"whole,omitempty"`
	Elsewhere bool          `json:"elsewhere,omitempty"` // another device holds it, or gave it
	End       int64         `json:"end"`                 // of the file of bytes by then
}

// OpenBlobs opens the attachments of a vault. Bytes whose place was never
// acknowledged are left where they lie and never read.
func OpenBlobs(v *Vault) (*Blobs, error) {
	b := &Blobs{of: map[notebook.Hash]placed{}}
	var err error
	if b.index, err = v.Journal("blobindex", 0, b.takePlace); err != nil {
		return nil, err
	}
	if b.bytes, err = v.Journal("blobs", b.end, func(Frame) error { return nil }); err != nil {
		return nil, errors.Join(err, b.index.Close())
	}
	return b, nil
}

// takePlace takes in one frame of the index.
func (b *Blobs) takePlace(f Frame) error {
	var p placed
	if err := json.Unmarshal(f.Text, &p); err != nil {
		return err
	}
	b.of[p.Hash], b.end = p, max(b.end, p.End)
	return nil
}

// Put keeps the bytes of an attachment: see notebook.Blobs. What has come of them
// already is not written again.
func (b *Blobs) Put(hash notebook.Hash, whole []byte) error {
	if err := hash.Check(whole); err != nil {
		return err
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	p := b.of[hash]
	there, err := b.read(p)
	switch {
	case err == nil && p.Whole && bytes.Equal(there, whole):
		return nil
	case err != nil || !bytes.HasPrefix(whole, there):
		p, there = placed{Elsewhere: p.Elsewhere}, nil
	}
	p.Hash, p.Whole = hash, true
	return b.extend(p, whole[len(there):])
}

// extend keeps more bytes of an attachment, and then where they lie.
func (b *Blobs) extend(p placed, more []byte) error {
	pieces := slices.Collect(slices.Chunk(more, pieceMost))
	if len(pieces) > 0 {
		places, err := b.bytes.Add(pieces...)
		if err != nil {
			return fmt.Errorf("the phone's storage does not take the picture: %w; make room on the phone", err)
		}
		p.Pieces = slices.Concat(p.Pieces, places)
	}
	p.Size += int64(len(more))
	return b.place(p)
}

// place keeps where attachments lie, all or none.
func (b *Blobs) place(all ...placed) error {
	texts := make([][]byte, len(all))
	for i := range all {
		all[i].End = b.bytes.end
		text, err := json.Marshal(all[i])
		if err != nil {
			return err
		}
		texts[i] = text
	}
	if _, err := b.index.Add(texts...); err != nil {
		return fmt.Errorf("the phone's storage does not take the picture: %w; make room on the phone", err)
	}
	for _, p := range all {
		b.of[p.Hash] = p
	}
	return nil
}

// read gives what lies here of an attachment, up to the first piece that does
// not open.
func (b *Blobs) read(p placed) ([]byte, error) {
	all := make([]byte, 0, p.Size)
	for _, at := range p.Pieces {
		piece, err := b.bytes.Read(at)
		if err != nil {
			return all, err
		}
		all = append(all, piece...)
	}
	return all, nil
}

// Get gives the bytes of an attachment, verified: see notebook.Blobs.
func (b *Blobs) Get(hash notebook.Hash) ([]byte, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	p := b.of[hash]
	if !p.Whole {
		return nil, notebook.ErrNotHere
	}
	whole, err := b.read(p)
	if err != nil && !errors.Is(err, errNoFrame) {
		return nil, err
	}
	if err := hash.Check(whole); err != nil {
		return nil, err
	}
	return whole, nil
}

// Has tells whether an attachment's bytes are here: see notebook.Blobs.
func (b *Blobs) Has(hash notebook.Hash) (bool, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.of[hash].Whole, nil
}

// Part gives what has come of an attachment: see notebook.Blobs. A part that is
// damaged counts as nothing, so that it begins anew.
func (b *Blobs) Part(hash notebook.Hash) ([]byte, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	p := b.of[hash]
	if p.Whole {
		return nil, nil
	}
	part, err := b.read(p)
	if errors.Is(err, errNoFrame) {
		return nil, nil
	}
	return part, err
}

// AddPart keeps more of an attachment on its way: see notebook.Blobs. What comes
// in parts comes from another device.
func (b *Blobs) AddPart(hash notebook.Hash, offset int64, more []byte) (have int64, err error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	p := b.of[hash]
	if p.Whole || offset != 0 && (offset != p.Size || len(more) == 0) {
		return p.Size, nil
	}
	if offset == 0 {
		p = placed{}
	}
	p.Hash, p.Elsewhere = hash, true
	err = b.extend(p, more)
	return b.of[hash].Size, err
}

// LieElsewhere notes that another device holds attachments.
func (b *Blobs) LieElsewhere(hashes []notebook.Hash) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	var all []placed
	for _, hash := range hashes {
		if p := b.of[hash]; p.Whole && !p.Elsewhere {
			p.Elsewhere = true
			all = append(all, p)
		}
	}
	if len(all) == 0 {
		return nil
	}
	return b.place(all...)
}

// Count tells how many attachments lie here whole, their bytes, and how many of
// them no other device is known to hold.
func (b *Blobs) Count() (here int, size int64, alone int) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, p := range b.of {
		if !p.Whole {
			continue
		}
		here++
		size += p.Size
		if !p.Elsewhere {
			alone++
		}
	}
	return here, size, alone
}

// Close gives the files back.
func (b *Blobs) Close() error { return errors.Join(b.bytes.Close(), b.index.Close()) }
