package storetest

import (
	"bytes"
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// Disk is what a store lies on, when its power can be cut.
type Disk interface {
	// Open opens the store on the disk, making it if there is none.
	Open() (Store, error)
	// Cut lets the power fail at the k-th write from now on, counting every
	// write, sync, truncation and deletion: that one and all later ones fail.
	// What was not synced is forgotten; with torn, each 512-byte sector of it is
	// kept or forgotten by chance.
	Cut(k int, torn *rand.Rand)
	// Restore gives power back, and tells whether it had failed.
	Restore() bool
}

// PowerCut cuts the power at the k-th write, for each k, of a day's work on a
// disk that forgets what was not synced; and again on one that keeps a part of
// it by chance. After each cut the notebook must be whole, everything
// acknowledged must be there, everything else wholly or not at all, and work
// must go on. With -short only every seventh k is tried.
func PowerCut(t *testing.T, newDisk func(testing.TB) Disk) {
	const seed = 20260514
	t.Logf("seed %d", seed)
	step := 1
	if testing.Short() {
		step = 7
	}
	for mode, name := range []string{"forgotten", "torn 1", "torn 2"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			cuts := 0
			for k := 1; ; k += step {
				var torn *rand.Rand
				if mode > 0 {
					torn = rand.New(rand.NewPCG(seed+uint64(mode), uint64(k)))
				}
				if !cutAt(t, newDisk(t), k, torn) {
					t.Logf("%d cuts", cuts)
					return
				}
				if cuts++; t.Failed() {
					t.Fatalf("power cut at write %d, %s", k, name)
				}
			}
		})
	}
}

// cutAt tells whether the day was long enough for the power to fail.
func cutAt(t *testing.T, disk Disk, k int, torn *rand.Rand) bool {
	w := work{disk: disk, batches: map[string]*batch{}, steps: map[uuid.UUID]int{}, dropped: map[uuid.UUID]bool{}, photos: map[notebook.Blob]int64{}}
	disk.Cut(k, torn)
	err := w.day()
	cut := disk.Restore()
	if err != nil && !cut {
		t.Errorf("with the power on: %v", err)
	}
	w.after(t)
	return cut
}

// work is what was done and acknowledged on one disk.
type work struct {
	disk    Disk
	created bool
	batches map[string]*batch
	steps   map[uuid.UUID]int // acknowledged, of each draft
	dropped map[uuid.UUID]bool
	photos  map[notebook.Blob]int64 // bytes acknowledged
}

// batch is lines written together.
type batch struct {
	lines int
	kept  bool // acknowledged
}

// day does a day's work until it ends or fails.
func (w *work) day() error {
	if err := w.session(w.morning); err != nil {
		return err
	}
	return w.session(w.evening)
}

func (w *work) session(do func(Store) error) error {
	s, err := w.disk.Open()
	if err != nil {
		return err
	}
	return errors.Join(do(s), s.Close())
}

func (w *work) morning(s Store) error {
	n, err := notebook.Create(s, Programme, Key(1), Evening())
	if err != nil {
		return err
	}
	w.created = true
	return errors.Join(w.write(n, "a", 1), w.write(n, "b", 3), w.draft(s, 1, 2))
}

func (w *work) evening(s Store) error {
	n, err := notebook.Open(s, Key(1), Evening())
	if err != nil {
		return err
	}
	return errors.Join(w.draft(s, 2, 2), w.write(n, "c", 20), w.drop(s, 1), w.photo(s), w.merge(n, "d", 12),
		w.write(n, "e", 1), w.write(n, "f", 2))
}

// photo puts one photo at once and takes another in pieces, where the store
// keeps attachments too.
func (w *work) photo(s Store) error {
	blobs, ok := s.(notebook.Blobs)
	if !ok {
		return nil
	}
	b, blob := Photo(1, 9000)
	if err := blobs.Put(blob.SHA256, b); err != nil {
		return err
	}
	w.photos[blob] = blob.Size
	b, blob = Photo(2, 9000)
	for have := int64(0); have < blob.Size; w.photos[blob] = have {
		var err error
		if have, err = notebook.Accept(blobs, blob, have, b[have:min(have+4000, blob.Size)]); err != nil {
			return err
		}
	}
	return nil
}

func (w *work) write(n *notebook.Notebook, name string, lines int) error {
	b := &batch{lines: lines}
	w.batches[name] = b
	_, err := n.Write(entries(name, lines)...)
	b.kept = err == nil
	return err
}

func (w *work) merge(n *notebook.Notebook, name string, lines int) error {
	other, err := notebook.Create(new(notebook.Memory), Programme, Key(2), Evening())
	if err != nil {
		return err
	}
	written, err := other.Write(entries(name, lines)...)
	if err != nil {
		return err
	}
	_, signed, err := other.Heads()
	if err != nil {
		return err
	}
	b := &batch{lines: lines}
	w.batches[name] = b
	_, err = n.Merge(written, signed)
	b.kept = err == nil
	return err
}

func (w *work) draft(s Store, id byte, steps int) error {
	for i := range steps {
		if err := s.Add(uuid.UUID{id}, fmt.Append(nil, i)); err != nil {
			return err
		}
		w.steps[uuid.UUID{id}]++
	}
	return nil
}

func (w *work) drop(s Store, id byte) error {
	err := s.Drop(uuid.UUID{id})
	w.dropped[uuid.UUID{id}] = err == nil
	return err
}

// entries are lines that bear their batch's name as who.
func entries(name string, lines int) []notebook.Entry {
	es := make([]notebook.Entry, lines)
	for i := range es {
		es[i] = Entry(fmt.Sprint("line ", i))
		es[i].Who = name
	}
	return es
}

// after opens the disk again and looks at what is there.
func (w *work) after(t *testing.T) {
	t.Helper()
	s, err := w.disk.Open()
	if err != nil {
		t.Errorf("opening after a power cut: %v", err)
		return
	}
	defer s.Close()
	w.checkDrafts(t, s)
	w.checkPhotos(t, s)
	n, err := notebook.Open(s, Key(1), Evening())
	if err != nil {
		if w.created {
			t.Errorf("a created notebook is gone: %v", err)
		}
		return
	}
	w.checkLines(t, n)
	if _, err := n.Write(Entry("the morning after")); err != nil {
		t.Errorf("work cannot go on: %v", err)
	}
	Verify(t, s)
}

func (w *work) checkLines(t *testing.T, n *notebook.Notebook) {
	t.Helper()
	found := map[string]int{}
	for l, err := range n.Lines() {
		if err != nil {
			t.Error(err)
			return
		}
		found[l.Who]++
	}
	for name, b := range w.batches {
		if got := found[name]; got != b.lines && (b.kept || got != 0) {
			t.Errorf("batch %s, acknowledged %v: %d of its %d lines are there", name, b.kept, got, b.lines)
		}
	}
}

func (w *work) checkDrafts(t *testing.T, s Store) {
	t.Helper()
	drafts, err := s.All()
	if err != nil {
		t.Error(err)
		return
	}
	for id, steps := range w.steps {
		got := drafts[id]
		if _, asked := w.dropped[id]; asked && len(got) == 0 {
			continue // dropped, whether acknowledged or not
		}
		if w.dropped[id] || len(got) < steps || len(got) > steps+1 {
			t.Errorf("draft %d: %d steps there, %d acknowledged, dropped %v", id[0], len(got), steps, w.dropped[id])
		}
		for i, step := range got {
			if !slices.Equal(step, fmt.Append(nil, i)) {
				t.Errorf("draft %d step %d: %q", id[0], i, step)
			}
		}
	}
}

func (w *work) checkPhotos(t *testing.T, s Store) {
	t.Helper()
	blobs, ok := s.(notebook.Blobs)
	if !ok {
		return
	}
	for seed := range uint64(2) {
		b, blob := Photo(seed+1, 9000)
		switch got, err := blobs.Get(blob.SHA256); {
		case err == nil && bytes.Equal(got, b):
			continue
		case !errors.Is(err, notebook.ErrNotHere):
			t.Errorf("photo %d: %d bytes, %v", seed+1, len(got), err)
		}
		part, err := blobs.Part(blob.SHA256)
		if err != nil || w.photos[blob] == blob.Size || int64(len(part)) < w.photos[blob] || !bytes.HasPrefix(b, part) {
			t.Errorf("photo %d: a part of %d bytes, %v; %d were acknowledged", seed+1, len(part), err, w.photos[blob])
		}
	}
}
