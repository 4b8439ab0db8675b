package browser

import (
	"bytes"
	"crypto/pbkdf2"
	"crypto/sha256"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
)

// quick stretches in one round: what a passphrase costs is no matter here.
func quick(passphrase string, salt []byte, _ int) ([]byte, error) {
	return pbkdf2.Key(sha256.New, passphrase, salt, 1, keyBytes)
}

const passphrase = "quoll on a wet granite slab"

// folder is a disk of plain files.
type folder string

func (f folder) Open(name string) (File, error) {
	file, err := os.OpenFile(filepath.Join(string(f), name), os.O_RDWR|os.O_CREATE, 0o600)
	return plain{file}, err
}

type plain struct{ *os.File }

func (p plain) Size() (int64, error) {
	info, err := p.Stat()
	if err != nil {
		return 0, err
	}
	return info.Size(), nil
}

// cutDisk is a disk in memory whose power can be cut. It forgets what was not
// synced, or keeps each 512-byte sector of it by chance.
type cutDisk struct {
	files  map[string]*cutFile
	writes int // left until the power fails; 0: it does not
	off    bool
	torn   *rand.Rand
}

type cutFile struct {
	disk        *cutDisk
	now, synced []byte
	pending     []pending
}

// pending is a write that is not synced, or a truncation where data is nil.
type pending struct {
	at   int64
	data []byte
}

const sector = 512

var errPower = errors.New("the power is off")

func newCutDisk() *cutDisk { return &cutDisk{files: map[string]*cutFile{}} }

func (d *cutDisk) Open(name string) (File, error) {
	if d.off {
		return nil, errPower
	}
	if d.files[name] == nil {
		d.files[name] = &cutFile{disk: d}
	}
	return d.files[name], nil
}

// wears counts one write, and tells whether the power is off.
func (d *cutDisk) wears() bool {
	if d.writes > 0 && !d.off {
		d.writes--
		d.off = d.writes == 0
	}
	return d.off
}

func (d *cutDisk) lucky() bool { return d.torn != nil && d.torn.IntN(2) == 0 }

func (d *cutDisk) cut(k int, torn *rand.Rand) { d.writes, d.torn = k, torn }

// restore gives power back and makes of every file what the cut left.
func (d *cutDisk) restore() bool {
	was := d.off
	if was {
		for _, f := range d.files {
			f.now = f.left()
			f.synced, f.pending = bytes.Clone(f.now), nil
		}
	}
	d.off, d.writes = false, 0
	return was
}

func (f *cutFile) left() []byte {
	left := bytes.Clone(f.synced)
	for _, p := range f.pending {
		if p.data == nil {
			if f.disk.lucky() {
				left = resize(left, p.at)
			}
			continue
		}
		for from := int64(0); from < int64(len(p.data)); {
			to := min(int64(len(p.data)), from+sector-(p.at+from)%sector)
			if f.disk.lucky() {
				left = overwrite(left, p.at+from, p.data[from:to])
			}
			from = to
		}
	}
	return left
}

func resize(b []byte, size int64) []byte {
	if size <= int64(len(b)) {
		return b[:size]
	}
	return append(b, make([]byte, size-int64(len(b)))...)
}

func overwrite(b []byte, at int64, data []byte) []byte {
	if end := at + int64(len(data)); end > int64(len(b)) {
		b = resize(b, end)
	}
	copy(b[at:], data)
	return b
}

func (f *cutFile) ReadAt(b []byte, at int64) (int, error) {
	if f.disk.off {
		return 0, errPower
	}
	if at >= int64(len(f.now)) {
		return 0, io.EOF
	}
	n := copy(b, f.now[at:])
	if n < len(b) {
		return n, io.EOF
	}
	return n, nil
}

func (f *cutFile) WriteAt(b []byte, at int64) (int, error) {
	if f.disk.wears() {
		return 0, errPower
	}
	f.now = overwrite(f.now, at, b)
	f.pending = append(f.pending, pending{at, bytes.Clone(b)})
	return len(b), nil
}

func (f *cutFile) Truncate(size int64) error {
	if f.disk.wears() {
		return errPower
	}
	f.now = resize(f.now, size)
	f.pending = append(f.pending, pending{size, nil})
	return nil
}

func (f *cutFile) Sync() error {
	if f.disk.wears() {
		return errPower
	}
	f.synced, f.pending = bytes.Clone(f.now), nil
	return nil
}

func (f *cutFile) Size() (int64, error) { return int64(len(f.now)), nil }
func (f *cutFile) Close() error         { return nil }

// must gives a value or fails the test.
func must[T any](v T, err error) func(testing.TB) T {
	return func(tb testing.TB) T {
		tb.Helper()
		if err != nil {
			tb.Fatal(err)
		}
		return v
	}
}
