package register_test

import (
	"slices"
	"testing"

	"dawnround/record"

	"github.com/google/uuid"
)

func TestBearerIsWhoTheMarkSpeaksForThatNight(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Protocol{Version: "1", Text: protocolText})
	w.write(0, caught(1, 1, tag("B1", record.MarkPut)))
	w.write(0, caught(2, 3, tag("B1", record.MarkGone), tag("B2", record.MarkPut)))
	w.write(0, caught(3, 5, tag("B1", record.MarkPut)))
	w.write(0, caught(4, 6, tag("B2")))
	w.write(0, record.Apart{These: []uuid.UUID{captureID(4)}, From: captureID(1), Evidence: []string{"torn ear"}})
	r := fold(w.lines)
	b1, _ := r.MarkKey(tag("B1"), "RW")
	b2, _ := r.MarkKey(tag("B2"), "RW")
	for _, c := range []struct {
		name string
		day  int
		act  record.MarkAct
		want int // capture that names the animal; 0: nobody's
	}{
		{"before it was first read", 0, record.MarkRead, 1},
		{"while it is on", 2, record.MarkRead, 1},
		{"found gone, read all the same", 4, record.MarkRead, 1},
		{"found gone, put anew", 4, record.MarkPut, 0},
		{"on its second animal", 5, record.MarkRead, 3},
	} {
		got, ok := r.Bearer(b1, c.act, night(c.day))
		if want := captureID(c.want); ok != (c.want > 0) || ok && got != want {
			t.Errorf("%s: got %v, %v; want %v", c.name, got, ok, want)
		}
	}
	if got, ok := r.Bearer(b2, record.MarkRead, night(7)); !ok || got != captureID(1) {
		t.Errorf("B2 beside a capture taken apart: got %v, %v; want the animal of capture 1", got, ok)
	}
	b9, _ := r.MarkKey(tag("B9"), "RW")
	if _, ok := r.Bearer(b9, record.MarkRead, night(7)); ok {
		t.Error("B9 was never read, yet it speaks for an animal")
	}
	c, _ := r.Capture(captureID(2))
	if !c.Bears(b1) || !c.Bears(b2) || len(c.Marks()) != 2 {
		t.Errorf("capture 2 bears %v, want B1 and B2", c.Marks())
	}
}

func TestPositionsOfATrap(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Trap{Site: "K", Trap: "K1", Lat: -21, From: night(5)})
	w.write(0, record.Trap{Site: "K", Trap: "K1", Lat: -20, To: night(4)})
	w.write(0, record.Trap{Site: "K", Trap: "K2", Lat: -22})
	r := fold(w.lines)
	got := r.Positions("K", "K1")
	if len(got) != 2 || got[0].Lat != -20 || got[1].Lat != -21 {
		t.Errorf("got %v, want -20 and then -21", got)
	}
	if got := r.Positions("K", "K3"); len(got) > 0 {
		t.Errorf("K3 was never written, yet it stands at %v", got)
	}
}

func TestSaidSame(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	w.write(0, record.Same{Of: []uuid.UUID{captureID(1), captureID(2)}})
	struck := w.write(0, record.Same{Of: []uuid.UUID{captureID(1), captureID(3)}})
	w.write(0, record.Strike{Line: struck})
	got := fold(w.lines).SaidSame(captureID(1))
	if !slices.Equal(got, []uuid.UUID{captureID(1), captureID(2)}) {
		t.Errorf("got %v, want captures 1 and 2", got)
	}
}
