package notebook

import (
	"testing"
	"time"

	"pgregory.net/rapid"
)

// However the wall clock jumps and whatever comes from elsewhere, each reading is
// later than the one before, and within a day of the wall clock unless it had
// been further ahead itself.
func TestClockLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		wall := time.Date(2026, 5, 14, 20, 0, 0, 0, time.UTC)
		furthest := wall
		h := hybrid{now: func() time.Time { return wall }}
		var last Clock
		t.Repeat(map[string]func(*rapid.T){
			"time passes or is set": func(t *rapid.T) {
				wall = wall.Add(time.Duration(rapid.Int64Range(-1e9, 1e9).Draw(t, "ms")) * time.Millisecond)
				if wall.After(furthest) {
					furthest = wall
				}
			},
			"hear": func(t *rapid.T) {
				remote := Clock{wall.UnixMilli() + rapid.Int64Range(-2e8, 2e8).Draw(t, "ahead"), rapid.Uint32().Draw(t, "tick")}
				ahead, adopted := h.see(remote)
				if adopted == (ahead > 24*time.Hour) {
					t.Fatalf("%s ahead, adopted %v", ahead, adopted)
				}
			},
			"write": func(t *rapid.T) {
				c := h.next()
				if c.Compare(last) <= 0 {
					t.Fatalf("%s after %s", c, last)
				}
				if c.Wall > furthest.Add(24*time.Hour+time.Millisecond).UnixMilli() {
					t.Fatalf("%s, though no clock here was ever past %s", c, furthest)
				}
				last = c
			},
		})
	})
}

// By hand: the tick counts while the wall clock stands or lags, and a full tick
// carries into the next millisecond.
func TestClockByHand(t *testing.T) {
	t.Parallel()
	wall := int64(1000)
	h := hybrid{now: func() time.Time { return time.UnixMilli(wall) }}
	for i, c := range []struct {
		wall int64
		want Clock
	}{{1000, Clock{1000, 0}}, {1000, Clock{1000, 1}}, {900, Clock{1000, 2}}, {1001, Clock{1001, 0}}} {
		wall = c.wall
		if got := h.next(); got != c.want {
			t.Errorf("reading %d: %v, expected %v", i, got, c.want)
		}
	}
	h.last.Tick = 1<<32 - 1
	if got := h.next(); got != (Clock{1002, 0}) {
		t.Errorf("after the last tick: %v", got)
	}
}

// Wall times outside the years that can be written are brought inside.
func TestClockYears(t *testing.T) {
	t.Parallel()
	for _, year := range []int{-5, 0, 1969, 9999, 20000} {
		h := hybrid{now: func() time.Time { return time.Date(year, 6, 1, 0, 0, 0, 0, time.UTC) }}
		l := Line{Format: Format, Seq: 1, Kind: "note", Body: []byte("1"), Clock: h.next()}
		l.seal()
		if read, err := ParseLine(l.Stored); err != nil || read.Clock != l.Clock {
			t.Errorf("year %d: read back %v, wrote %v: %v", year, read.Clock, l.Clock, err)
		}
	}
}
