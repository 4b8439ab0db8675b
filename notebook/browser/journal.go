package browser

import (
	"bytes"
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

const (
	magic     = "dawnfld1"
	lifeBytes = 16                                // a random name for one life of the file, from one emptying to the next
	sumBytes  = 8                                 // of SHA-256 over both
	headBytes = len(magic) + lifeBytes + sumBytes // of the file
	markBytes = 9                                 // before each frame: its length, how far back its batch begins, whether it ends it
	pieceMost = 128 << 10                         // bytes of one frame, sealed in one piece
	frameMost = 8 << 20                           // a length above this is no frame
	lastPiece = 1
)

// A Journal is a file of sealed frames that are only ever added at its end, or
// all forgotten at once. Frames added together are kept wholly or not at all.
type Journal struct {
	name string
	file File
	seal cipher.AEAD
	life []byte
	end  int64 // of what is acknowledged
}

// Frame is one frame and where it lies.
type Frame struct {
	At   int64
	Text []byte
}

// openJournal opens a file of the disk, gives every frame behind from to take,
// and cuts off a torn end. Up to from it is known to be whole; 0 stands for its
// beginning.
func openJournal(disk Disk, name string, key []byte, from int64, take func(Frame) error) (*Journal, error) {
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	seal, err := cipher.NewGCMWithRandomNonce(block)
	if err != nil {
		return nil, err
	}
	file, err := disk.Open(name)
	if err != nil {
		return nil, err
	}
	j := &Journal{name: name, file: file, seal: seal}
	if err := j.begin(from, take); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return j, nil
}

// begin reads the head of the file, or writes one, and finds the end.
func (j *Journal) begin(from int64, take func(Frame) error) error {
	size, err := j.file.Size()
	if err != nil {
		return err
	}
	if from > size {
		return fmt.Errorf("file %s ends at byte %d, and %d were known: an older copy was put back; read it anew", j.name, size, from)
	}
	head := make([]byte, headBytes)
	if size >= int64(headBytes) {
		if err := j.read(head, 0); err != nil {
			return err
		}
	}
	j.life = head[len(magic) : len(magic)+lifeBytes]
	switch {
	case bytes.Equal(head, j.head()):
		return j.recover(max(from, int64(headBytes)), size, take)
	case size <= int64(headBytes):
		return j.Forget() // the power failed while the file began
	}
	return j.damaged(0, fmt.Errorf("its head is %x; expected %q, a name and their sum", head, magic))
}

// head is what the file begins with.
func (j *Journal) head() []byte {
	head := append([]byte(magic), j.life...)
	sum := sha256.Sum256(head)
	return append(head, sum[:sumBytes]...)
}

// Forget empties the journal and begins a new life of the file, in which no
// frame of an earlier one opens.
func (j *Journal) Forget() error {
	j.life = make([]byte, lifeBytes)
	rand.Read(j.life)
	if err := j.file.Truncate(0); err != nil {
		return err
	}
	if _, err := j.file.WriteAt(j.head(), 0); err != nil {
		return err
	}
	j.end = int64(headBytes)
	return j.file.Sync()
}

// mark stands in clear before each frame and is bound to it.
type mark struct {
	length uint32 // of the sealed frame behind it
	back   uint32 // bytes from the first frame of its batch to this one
	last   byte   // 1 where the batch ends
}

func (m mark) bytes() []byte {
	b := binary.BigEndian.AppendUint32(nil, m.length)
	return append(binary.BigEndian.AppendUint32(b, m.back), m.last)
}

// bound is what a frame is sealed to besides its words: file, life, place, mark.
func (j *Journal) bound(at int64, m mark) []byte {
	b := append([]byte(j.name+"\n"), j.life...)
	return append(binary.BigEndian.AppendUint64(b, uint64(at)), m.bytes()...)
}

// Add keeps texts, all or none, each in a frame of its own, and returns nil only
// once a power cut can no longer take them. It gives where they lie.
func (j *Journal) Add(texts ...[]byte) ([]int64, error) {
	var batch []byte
	var places []int64
	for i, text := range texts {
		m := mark{length: uint32(len(text) + j.seal.Overhead()), back: uint32(len(batch))}
		if i == len(texts)-1 {
			m.last = lastPiece
		}
		at := j.end + int64(len(batch))
		places = append(places, at)
		batch = j.seal.Seal(append(batch, m.bytes()...), nil, text, j.bound(at, m))
	}
	if _, err := j.file.WriteAt(batch, j.end); err != nil {
		return nil, errors.Join(err, j.file.Truncate(j.end))
	}
	if err := j.file.Sync(); err != nil {
		return nil, errors.Join(err, j.file.Truncate(j.end))
	}
	j.end += int64(len(batch))
	return places, nil
}

// Read gives the frame at one place.
func (j *Journal) Read(at int64) ([]byte, error) {
	f, _, _, err := j.frame(at, j.end)
	if err != nil {
		return nil, j.damaged(at, err)
	}
	return f.Text, nil
}

func (j *Journal) damaged(at int64, why error) error {
	return fmt.Errorf("file %s, byte %d: %w; the phone's storage is damaged: send what can be read out as a file, then begin anew from another device's notebook", j.name, at, why)
}

var errNoFrame = errors.New("no frame of this file opens here")

// frame opens the frame at a place, and tells where the next one begins.
func (j *Journal) frame(at, end int64) (Frame, mark, int64, error) {
	m, err := j.markAt(at, end)
	if err != nil {
		return Frame{}, m, 0, err
	}
	sealed := make([]byte, m.length)
	if err := j.read(sealed, at+markBytes); err != nil {
		return Frame{}, m, 0, err
	}
	text, err := j.seal.Open(sealed[:0:0], nil, sealed, j.bound(at, m))
	if err != nil {
		return Frame{}, m, 0, errNoFrame
	}
	return Frame{At: at, Text: text}, m, at + markBytes + int64(m.length), nil
}

// markAt reads what stands before a frame, if a frame can stand there.
func (j *Journal) markAt(at, end int64) (mark, error) {
	b := make([]byte, markBytes)
	if at+markBytes > end {
		return mark{}, errNoFrame
	}
	if err := j.read(b, at); err != nil {
		return mark{}, err
	}
	m := mark{length: binary.BigEndian.Uint32(b), back: binary.BigEndian.Uint32(b[4:]), last: b[8]}
	if m.length < uint32(j.seal.Overhead()) || m.length > frameMost || at+markBytes+int64(m.length) > end {
		return m, errNoFrame
	}
	return m, nil
}

func (j *Journal) read(b []byte, at int64) error {
	if n, err := j.file.ReadAt(b, at); n < len(b) {
		return fmt.Errorf("file %s: %d bytes from byte %d on: %w", j.name, len(b), at, err)
	}
	return nil
}

// recover walks from a place that is known to be whole to the end, gives each
// whole batch's frames to take, and cuts off one that the power took while it was
// written.
func (j *Journal) recover(from, size int64, take func(Frame) error) error {
	whole := from
	var batch []Frame
	for at := from; at < size; {
		f, m, next, err := j.frame(at, size)
		if errors.Is(err, errNoFrame) || err == nil && m.back != uint32(at-whole) {
			if later, ok := j.later(whole, at+1, size); ok {
				return j.damaged(at, fmt.Errorf("a frame does not open, and one kept later does, at byte %d", later))
			}
			break
		}
		if err != nil {
			return err
		}
		batch = append(batch, f)
		if at = next; m.last != lastPiece {
			continue
		}
		for _, f := range batch {
			if err := take(f); err != nil {
				return j.damaged(f.At, err)
			}
		}
		whole, batch = at, nil
	}
	return j.endAt(whole, size)
}

// endAt lets the journal end at a place, and cuts off what lies behind it.
func (j *Journal) endAt(whole, size int64) error {
	if j.end = whole; whole == size {
		return nil
	}
	if err := j.file.Truncate(whole); err != nil {
		return err
	}
	return j.file.Sync()
}

// later looks for a frame of a batch that began after the one at batch: it was
// written only once that one was acknowledged.
func (j *Journal) later(batch, from, size int64) (int64, bool) {
	rest := make([]byte, size-batch)
	if j.read(rest, batch) != nil {
		return 0, false
	}
	for at := from; at+markBytes < size; at++ {
		b := rest[at-batch:]
		m := mark{length: binary.BigEndian.Uint32(b), back: binary.BigEndian.Uint32(b[4:]), last: b[8]}
		fits := int64(m.length)+markBytes <= int64(len(b)) && m.length >= uint32(j.seal.Overhead())
		if !fits || m.last > lastPiece || at-int64(m.back) <= batch {
			continue
		}
		sealed := slices.Clone(b[markBytes : markBytes+int(m.length)])
		if _, err := j.seal.Open(sealed[:0], nil, sealed, j.bound(at, m)); err == nil {
			return at, true
		}
	}
	return 0, false
}

// Close gives the file back.
func (j *Journal) Close() error { return j.file.Close() }
