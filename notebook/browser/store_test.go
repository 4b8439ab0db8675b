package browser

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"

	"github.com/google/uuid"
)

// sealed is a store and the vault that it lies in, closed together.
type sealed struct {
	*Store
	vault *Vault
}

func (s sealed) Close() error { return errors.Join(s.Store.Close(), s.vault.Close()) }

// openIn opens the store on a disk, making it if there is none.
func openIn(disk Disk) (sealed, error) {
	open := Unlock
	if there, err := Sealed(disk); err != nil {
		return sealed{}, err
	} else if !there {
		open = Seal
	}
	v, err := open(disk, passphrase, quick)
	if err != nil {
		return sealed{}, err
	}
	s, err := Open(v, nil, nil)
	return sealed{s, v}, err
}

func TestStore(t *testing.T) {
	t.Parallel()
	t.Run("in memory", func(t *testing.T) {
		t.Parallel()
		storetest.Run(t, func(tb testing.TB) storetest.Store { return must(openIn(newCutDisk()))(tb) })
	})
	t.Run("on files", func(t *testing.T) {
		t.Parallel()
		storetest.Run(t, func(tb testing.TB) storetest.Store { return must(openIn(folder(tb.TempDir())))(tb) })
	})
}

func TestPowerCut(t *testing.T) {
	t.Parallel()
	storetest.PowerCut(t, func(testing.TB) storetest.Disk { return powered{newCutDisk()} })
}

type powered struct{ *cutDisk }

func (p powered) Open() (storetest.Store, error) { return openIn(p.cutDisk) }
func (p powered) Cut(k int, torn *rand.Rand)     { p.cut(k, torn) }
func (p powered) Restore() bool                  { return p.restore() }

// Of a file that ends at any byte, every batch that ends before it is there and
// nothing else, and work goes on.
func TestCutAtEveryByte(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	s := must(openIn(disk))(t)
	n := must(notebook.Create(s, storetest.Programme, storetest.Key(1), storetest.Evening()))(t)
	var ends []int64 // of each batch
	var lines []int  // kept up to there
	total := 0
	for _, size := range []int{1, 3, 1, 2} {
		entries := make([]notebook.Entry, size)
		for i := range entries {
			entries[i] = storetest.Entry(fmt.Sprint("line ", i))
		}
		must(n.Write(entries...))(t)
		total += size
		ends, lines = append(ends, s.Size()), append(lines, total)
	}
	whole := disk.files["lines"].now
	for size := range len(whole) + 1 {
		cut := newCutDisk()
		for name, f := range disk.files {
			cut.files[name] = &cutFile{disk: cut, now: bytes.Clone(f.now), synced: bytes.Clone(f.now)}
		}
		cut.files["lines"].now = bytes.Clone(whole[:size])
		s := must(openIn(cut))(t)
		want := 0
		for i, end := range ends {
			if int64(size) >= end {
				want = lines[i]
			}
		}
		if got := len(storetest.Collect(t, s.Since(nil))); got != want {
			t.Fatalf("cut at byte %d: %d lines, expected %d", size, got, want)
		}
	}
}

// A changed byte anywhere before the last batch is told, and nothing is cut; in
// the last batch it is taken for a torn write.
func TestDamageIsTold(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	s := must(openIn(disk))(t)
	n := must(notebook.Create(s, storetest.Programme, storetest.Key(1), storetest.Evening()))(t)
	must(n.Write(storetest.Entry("first")))(t)
	last := s.Size()
	must(n.Write(storetest.Entry("second")))(t)
	file := disk.files["lines"]
	whole := bytes.Clone(file.now)
	for at := range whole {
		file.now = bytes.Clone(whole)
		file.now[at] ^= 0x40
		s, err := openIn(disk)
		if int64(at) < last {
			if err == nil || len(file.now) != len(whole) {
				t.Fatalf("byte %d was changed: error %v, %d bytes left of %d", at, err, len(file.now), len(whole))
			}
			continue
		}
		if err != nil {
			t.Fatalf("byte %d of the last batch was changed: %v", at, err)
		}
		if got := len(storetest.Collect(t, s.Since(nil))); got != 1 {
			t.Fatalf("byte %d of the last batch was changed: %d lines, expected 1", at, got)
		}
	}
}

// Frames cannot be swapped, repeated, or carried into another life or file.
func TestFramesStayInPlace(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	v := must(Seal(disk, passphrase, quick))(t)
	j := must(v.Journal("x", 0, nothing))(t)
	a := must(j.Add([]byte("trap K1")))(t)[0]
	b := must(j.Add([]byte("trap K2")))(t)[0]
	c := j.end
	file := disk.files["x"]
	first, second := bytes.Clone(file.now[a:b]), bytes.Clone(file.now[b:c])
	for what, tampered := range map[string][]byte{
		"swapped":  append(bytes.Clone(second), first...),
		"repeated": append(bytes.Clone(first), first...),
	} {
		file.now = append(bytes.Clone(file.now[:a]), tampered...)
		if text, err := j.Read(b); err == nil {
			t.Errorf("%s: read %q", what, text)
		}
	}
	if err := j.Forget(); err != nil {
		t.Fatal(err)
	}
	file.now = append(file.now, first...)
	if text, err := (&Journal{name: "x", file: file, seal: j.seal, life: j.life, end: c}).Read(a); err == nil {
		t.Errorf("from an earlier life: read %q", text)
	}
	other := must(v.Journal("y", 0, nothing))(t)
	disk.files["y"].now = append(other.head(), first...)
	if text, err := (&Journal{name: "y", file: disk.files["y"], seal: other.seal, life: other.life, end: b}).Read(a); err == nil {
		t.Errorf("from another file: read %q", text)
	}
}

func nothing(Frame) error { return nil }

// Nothing that was written can be found in the files.
func TestNothingInClear(t *testing.T) {
	t.Parallel()
	where := t.TempDir()
	s := must(openIn(folder(where)))(t)
	n := must(notebook.Create(s, storetest.Programme, storetest.Key(1), storetest.Evening()))(t)
	must(n.Write(storetest.Entry("granite slab at -21.73 148.42")))(t)
	if err := s.Add(uuid.UUID{1}, []byte("head 61.8 granite")); err != nil {
		t.Fatal(err)
	}
	self := must(s.vault.Note("self"))(t)
	if err := self.Put(storetest.Key(1).Seed()); err != nil {
		t.Fatal(err)
	}
	secrets := [][]byte{[]byte("granite"), []byte("148.42"), []byte(passphrase), storetest.Key(1).Seed(), s.vault.key, []byte(storetest.Programme.String())}
	for _, name := range []string{"key", "lines", "drafts", "self"} {
		text := must(os.ReadFile(filepath.Join(where, name)))(t)
		for _, secret := range secrets {
			if bytes.Contains(text, secret) {
				t.Errorf("file %s holds %q in clear", name, secret)
			}
		}
	}
}

func TestPassphrase(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	if _, err := Unlock(disk, passphrase, quick); !errors.Is(err, errNoKey) {
		t.Errorf("an empty disk: %v", err)
	}
	if _, err := Seal(disk, "short", quick); err == nil || !strings.Contains(err.Error(), "at least 10") {
		t.Errorf("a short passphrase: %v", err)
	}
	must(Seal(disk, passphrase, quick))(t)
	if _, err := Seal(disk, passphrase, quick); err == nil {
		t.Error("a second key was made")
	}
	for _, wrong := range []string{"", "quoll on a wet granite slap", passphrase + " "} {
		if _, err := Unlock(disk, wrong, quick); !errors.Is(err, ErrPassphrase) {
			t.Errorf("%q: %v", wrong, err)
		}
	}
	must(Unlock(disk, passphrase, quick))(t)
	var w wrapped
	if err := json.Unmarshal(disk.files["key"].now, &w); err != nil || w.Rounds != 600_000 || len(w.Salt) != 16 {
		t.Errorf("key file %s", disk.files["key"].now)
	}
	disk.files["key"].now = []byte(`{"form":"other"}` + "\n")
	if _, err := Unlock(disk, passphrase, quick); err == nil || !strings.Contains(err.Error(), "not a key this version reads") {
		t.Errorf("another form: %v", err)
	}
}

// With a known index nothing before its end is read, and everything is as if it
// had been.
func TestKnownIndex(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	s := must(openIn(disk))(t)
	storetest.Fill(t, s, 3, 2000)
	text := must(json.Marshal(s.Index()))(t)
	n := must(notebook.Open(s, storetest.Key(1), storetest.Evening()))(t)
	must(n.Write(storetest.Entry("one more")))(t)
	want := storetest.Collect(t, s.Since(nil))

	var known Index
	if err := json.Unmarshal(text, &known); err != nil {
		t.Fatal(err)
	}
	v := must(Unlock(disk, passphrase, quick))(t)
	again := must(Open(v, &known, func(at int64) {
		if at < known.End {
			t.Fatalf("byte %d was read, %d are known", at, known.End)
		}
	}))(t)
	got := storetest.Collect(t, again.Since(nil))
	if len(got) != len(want) || got[len(got)-1].Hash != want[len(want)-1].Hash {
		t.Errorf("%d lines, expected %d", len(got), len(want))
	}
	storetest.Verify(t, again)
	known.End += 1 << 20
	if _, err := Open(v, &known, nil); err == nil || !strings.Contains(err.Error(), "older copy") {
		t.Errorf("an index beyond the end: %v", err)
	}
}

func TestNote(t *testing.T) {
	t.Parallel()
	disk := newCutDisk()
	v := must(Seal(disk, passphrase, quick))(t)
	n := must(v.Note("words"))(t)
	for i := range 3000 {
		if err := n.Put(fmt.Appendf(nil, "%0200d", i)); err != nil {
			t.Fatal(err)
		}
		if err := n.Tidy(); err != nil {
			t.Fatal(err)
		}
	}
	if size := len(disk.files["words"].now); size > 2*noteRoom {
		t.Errorf("the file grew to %d bytes", size)
	}
	if got := string(must(v.Note("words"))(t).Text()); got != fmt.Sprintf("%0200d", 2999) {
		t.Errorf("read %q", got)
	}
}

func FuzzUnpackLines(f *testing.F) {
	s := must(openIn(newCutDisk()))(f)
	storetest.Fill(f, s, 1, 2)
	f.Add(packLines(storetest.Collect(f, s.Since(nil))))
	f.Add([]byte("L\x05abc"))
	f.Fuzz(func(t *testing.T, text []byte) {
		if lines, err := unpackLines(text); err == nil && !bytes.Equal(packLines(lines), text) && len(lines) > 0 {
			again, err := unpackLines(packLines(lines))
			if err != nil || len(again) != len(lines) {
				t.Errorf("read twice: %d lines, then %d: %v", len(lines), len(again), err)
			}
		}
	})
}
