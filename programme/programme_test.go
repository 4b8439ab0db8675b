package programme_test

import (
	"bytes"
	"crypto/ed25519"
	"errors"
	"iter"
	"sync"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

var dawn = time.Date(2026, 5, 14, 5, 40, 0, 0, time.UTC)

func clock() time.Time { return dawn }

var id = uuid.MustParse("01977000-0000-7000-8000-000000000001")

func open(t *testing.T, store notebook.Store, device byte) *programme.Programme {
	t.Helper()
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{device}, ed25519.SeedSize))
	n, err := notebook.Create(store, id, key, clock)
	if err != nil {
		t.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func capture(n byte, h *record.Handled) record.Capture {
	return record.Capture{Capture: uuid.UUID{15: n}, At: &record.Spot{Site: "NR", Night: record.Night{Year: 2026, Month: 5, Day: 13}}, Handled: h}
}

func sites(p *programme.Programme) (n int) {
	p.View(func(r *register.Register) { n = len(r.Sites()) })
	return n
}

// TestKeptIsOnDiskAndFolded: what Keep acknowledged is in the register and in
// the store.
func TestKeptIsOnDiskAndFolded(t *testing.T) {
	t.Parallel()
	store := &notebook.Memory{}
	p := open(t, store, 1)
	kept, err := p.Keep("AB", dawn, record.Site{Site: "NR", Name: "North Ridge"}, record.Site{Site: "SR", Name: "South Ridge"})
	if err != nil || len(kept.Lines) != 2 || sites(p) != 2 {
		t.Fatalf("kept %+v, %v; %d sites", kept, err, sites(p))
	}
	again, err := programme.Open(p.Notebook())
	if err != nil || sites(again) != 2 {
		t.Fatalf("opened again: %d sites, %v", sites(again), err)
	}
}

// full is a store whose disk is full.
type full struct{ notebook.Memory }

var errFull = errors.New("no space left")

func (*full) Append([]notebook.Line, []notebook.SignedHead) error { return errFull }

// TestWhatIsNotOnDiskIsNotFolded: a line that could not be written changes
// nothing on the screens.
func TestWhatIsNotOnDiskIsNotFolded(t *testing.T) {
	t.Parallel()
	p := open(t, &notebook.Memory{}, 1)
	broken, err := notebook.Create(&full{}, id, ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize)), clock)
	if err == nil {
		if p, err = programme.Open(broken); err != nil {
			t.Fatal(err)
		}
		if _, err = p.Keep("AB", dawn, record.Site{Site: "NR"}); err == nil {
			t.Fatal("a full disk kept a line")
		}
	}
	if !errors.Is(err, errFull) || sites(p) != 0 {
		t.Errorf("%v; %d sites, want none", err, sites(p))
	}
}

// TestKeepAnswersWithFlags: a release before the bag is kept, and flagged.
func TestKeepAnswersWithFlags(t *testing.T) {
	t.Parallel()
	p := open(t, &notebook.Memory{}, 1)
	c := capture(1, &record.Handled{Species: "RW"})
	c.Bagged = &record.Bagged{At: dawn}
	c.Released = &record.Released{At: dawn.Add(-time.Hour), Fate: record.FateReleased}
	kept, err := p.Keep("AB", dawn, c)
	if err != nil {
		t.Fatal(err)
	}
	if len(kept.Flags) == 0 || kept.Flags[0].Grade != record.Stop || kept.Flags[0].Subject != c.Capture {
		t.Errorf("flags %+v, want a stop about the capture", kept.Flags)
	}
}

// TestMergeFoldsWhatItTook: two laptops, one table imported apart, one
// capture when they meet; merging twice adds nothing.
func TestMergeFoldsWhatItTook(t *testing.T) {
	t.Parallel()
	one, two := open(t, &notebook.Memory{}, 1), open(t, &notebook.Memory{}, 2)
	e, err := record.Entry("AB", capture(7, &record.Handled{Species: "RW"}))
	if err != nil {
		t.Fatal(err)
	}
	e.ID = uuid.UUID{15: 77}
	for _, p := range []*programme.Programme{one, two} {
		if err := p.KeepBatch([]notebook.Entry{e}); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := two.Keep("CD", dawn, record.Site{Site: "NR"}); err != nil {
		t.Fatal(err)
	}
	for range 2 {
		_, signed, err := two.Notebook().Heads()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := one.Merge(lines(t, two.Notebook().Lines()), signed); err != nil {
			t.Fatal(err)
		}
	}
	one.View(func(r *register.Register) {
		if len(r.Captures()) != 1 || len(r.Sites()) != 1 || len(r.Captures()[0].Disagree) != 0 {
			t.Errorf("%d captures, %d sites, want one of each and no disagreement", len(r.Captures()), len(r.Sites()))
		}
	})
}

func lines(t *testing.T, all iter.Seq2[notebook.Line, error]) []notebook.Line {
	t.Helper()
	var out []notebook.Line
	for l, err := range all {
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, l)
	}
	return out
}

// TestManyAtOnce keeps and reads from several goroutines.
func TestManyAtOnce(t *testing.T) {
	t.Parallel()
	p := open(t, &notebook.Memory{}, 1)
	var work sync.WaitGroup
	for i := range 8 {
		work.Go(func() {
			for j := range 20 {
				if _, err := p.Keep("AB", dawn, capture(byte(20*i+j), &record.Handled{Species: "RW"})); err != nil {
					t.Error(err)
				}
				sites(p)
			}
		})
	}
	work.Wait()
	p.View(func(r *register.Register) {
		if len(r.Captures()) != 160 {
			t.Errorf("%d captures, want 160", len(r.Captures()))
		}
	})
}
