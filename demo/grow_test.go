package demo_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"strings"
	"sync"
	"testing"
	"time"

	"dawnround/demo"
	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

// last is the evening to which the tests grow: in spring, as most visitors'
// last trip would be.
var last = record.Night{Year: 2026, Month: 11, Day: 24}

const hour = time.Hour

// brisbane is where the demo's nights are told; it knows no summer time.
var brisbane = time.FixedZone("Australia/Brisbane", 10*60*60)

// now is that evening, once the traps are set.
var now = last.Noon(brisbane).Add(10 * hour)

// grow grows a programme in memory.
func grow(tb testing.TB, seed uint64, last record.Night) (*programme.Programme, demo.Truth) {
	tb.Helper()
	return growInto(tb, &notebook.Memory{}, seed, last)
}

func growInto(tb testing.TB, store notebook.Store, seed uint64, last record.Night) (*programme.Programme, demo.Truth) {
	tb.Helper()
	clock := &demo.Clock{}
	p := openOn(tb, store, clock, ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize)))
	truth, err := demo.Grow(context.Background(), p, clock, seed, last, nil)
	if err != nil {
		tb.Fatal(err)
	}
	return p, truth
}

func open(tb testing.TB, clock *demo.Clock, key ed25519.PrivateKey) *programme.Programme {
	tb.Helper()
	return openOn(tb, &notebook.Memory{}, clock, key)
}

// openOn begins an empty programme that tells the time by the clock.
func openOn(tb testing.TB, store notebook.Store, clock *demo.Clock, key ed25519.PrivateKey) *programme.Programme {
	tb.Helper()
	n, err := notebook.Create(store, uuid.MustParse("01890000-0000-7000-8000-000000000001"), key, clock.Now)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

type grown struct {
	*programme.Programme
	demo.Truth
}

// seedOne is the programme that most tests look at; they only read it.
var seedOne = sync.OnceValue(func() grown {
	p, truth := grow(&testing.B{}, 1, last)
	return grown{p, truth}
})

// view reads the register of the programme.
func (g grown) register() (r *register.Register) {
	g.View(func(now *register.Register) { r = now })
	return r
}

func TestSameSeedSameRegister(t *testing.T) {
	t.Parallel()
	g := seedOne()
	again, truth := grow(t, 1, last)
	other, _ := grow(t, 2, last)
	one, two, three := saved(t, g.Programme), saved(t, again), saved(t, other)
	if !bytes.Equal(one, two) {
		t.Error("one seed gave two registers")
	}
	if bytes.Equal(one, three) {
		t.Error("two seeds gave one register")
	}
	if a, b := asJSON(t, g.Truth), asJSON(t, truth); a != b {
		t.Error("one seed gave two truths")
	}
}

func saved(t *testing.T, p *programme.Programme) []byte {
	t.Helper()
	var b bytes.Buffer
	p.View(func(r *register.Register) {
		if err := r.Save(&b); err != nil {
			t.Fatal(err)
		}
	})
	return b.Bytes()
}

func asJSON(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Another device writes other lines, and they say the same.
func TestDeviceMakesNoDifference(t *testing.T) {
	t.Parallel()
	clock := &demo.Clock{}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{8}, ed25519.SeedSize))
	p := open(t, clock, key)
	if _, err := demo.Grow(context.Background(), p, clock, 1, last, nil); err != nil {
		t.Fatal(err)
	}
	var state string
	p.View(func(r *register.Register) { state = r.State() })
	if want := seedOne().register().State(); state != want {
		t.Errorf("state %s on one device, %s on another", want, state)
	}
}

func TestGrowsOnlyIntoAnEmptyProgramme(t *testing.T) {
	t.Parallel()
	clock := &demo.Clock{}
	p := open(t, clock, ed25519.NewKeyFromSeed(bytes.Repeat([]byte{9}, ed25519.SeedSize)))
	if _, err := p.Keep("AB", now, record.Site{Site: "X", Name: "a real site"}); err != nil {
		t.Fatal(err)
	}
	if _, err := demo.Grow(context.Background(), p, clock, 1, last, nil); err == nil {
		t.Error("the demo was written among somebody's own lines")
	}
}

func TestGrowthStopsWhenAsked(t *testing.T) {
	t.Parallel()
	clock := &demo.Clock{}
	p := open(t, clock, ed25519.NewKeyFromSeed(bytes.Repeat([]byte{10}, ed25519.SeedSize)))
	ctx, stop := context.WithCancel(context.Background())
	_, err := demo.Grow(ctx, p, clock, 1, last, func(done, total int) {
		if done == 3 {
			stop()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("stopped after three nights, and the error is %v", err)
	}
}

// Lines are written when their work was done: never out of order, none after
// the last evening.
func TestClockIsTheMoment(t *testing.T) {
	t.Parallel()
	g := seedOne()
	var before notebook.Clock
	for l, err := range g.Notebook().Lines() {
		if err != nil {
			t.Fatal(err)
		}
		if l.Clock.Compare(before) <= 0 {
			t.Fatalf("line %s at %s, after one at %s", l.ID, l.Clock, before)
		}
		before = l.Clock
		if l.Clock.Time().After(now) {
			t.Errorf("%s line at %s, after the last evening", l.Kind, l.Clock)
		}
		if wall := int64(l.ID[0])<<40 | int64(l.ID[1])<<32 | int64(l.ID[2])<<24 | int64(l.ID[3])<<16 | int64(l.ID[4])<<8 | int64(l.ID[5]); wall != l.Clock.Wall {
			t.Errorf("line %s is named after another moment than %s", l.ID, l.Clock)
		}
	}
	if early := now.Add(-5 * time.Hour); before.Time().Before(early) {
		t.Errorf("the last line is of %s; the traps are set that evening", before)
	}
}

// The traps of the last evening are set on every ridge, and nothing is seen.
func TestLastEveningIsHalfDone(t *testing.T) {
	t.Parallel()
	r := seedOne().register()
	trips := r.Trips()
	if len(trips) != demo.Trips {
		t.Fatalf("%d trips", len(trips))
	}
	for _, s := range r.Sites() {
		n := r.NightAt(s.Site, last)
		set, not := n.Set()
		if len(set)+len(not) != 20 || len(n.Checks)+len(r.Rounds(s.Site, last)) > 0 {
			t.Errorf("%s: %d set, %d not, %d checks", s.Site, len(set), len(not), len(n.Checks))
		}
	}
	if got := trips[len(trips)-1].Last; got != last {
		t.Errorf("the last trip ends on %s", got)
	}
}

func TestTripsFallHalfAYearApart(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		last := record.Night{Year: 2026, Month: 1, Day: 1}.Add(rapid.IntRange(0, 4000).Draw(t, "day"))
		trips := demo.TripsUntil(last)
		for i, first := range trips[1:] {
			if gap := first.Days(trips[i]); gap < 165 || gap > 200 {
				t.Fatalf("%d days from %s to %s", gap, trips[i], first)
			}
		}
		if end := trips[len(trips)-1].Add(demo.Nights - 1); end != last {
			t.Fatalf("the last night is %s, not %s", end, last)
		}
	})
}

func TestEverythingSaysItIsInvented(t *testing.T) {
	t.Parallel()
	g := seedOne()
	r := g.register()
	says := []string{g.Says, r.Programme().Name, r.Protocol().About}
	for _, s := range r.Sites() {
		says = append(says, s.Note)
	}
	for _, t := range r.Trips() {
		says = append(says, t.Name)
		says = append(says, t.Approvals...)
	}
	for _, text := range says {
		if !strings.Contains(strings.ToLower(text), "invented") {
			t.Errorf("%q does not say so", text)
		}
	}
}

func BenchmarkGrow(b *testing.B) {
	b.Run("4_years/memory", func(b *testing.B) {
		for b.Loop() {
			grow(b, 1, last)
		}
	})
	b.Run("4_years/sqlite", func(b *testing.B) {
		for b.Loop() {
			store, err := sqlite.Open(b.TempDir(), now)
			if err != nil {
				b.Fatal(err)
			}
			growInto(b, store, 1, last)
			if err := store.Close(); err != nil {
				b.Fatal(err)
			}
		}
	})
}
