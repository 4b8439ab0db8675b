package notebook

import (
	"cmp"
	"fmt"
	"time"
)

// Clock is the reading of a hybrid logical clock (Kulkarni, Demirbas, Madappa,
// Avva and Leone 2014, "Logical physical clocks"): wall time where possible, and
// a tick where wall time alone would not move forward.
type Clock struct {
	Wall int64  // milliseconds since 1970-01-01T00:00:00Z
	Tick uint32 // counts lines within one millisecond, or while the wall clock lags
}

// Time gives the wall part, in UTC.
func (c Clock) Time() time.Time { return time.UnixMilli(c.Wall).UTC() }

// Compare gives -1, 0 or 1 as c is before, at or after d.
func (c Clock) Compare(d Clock) int {
	return cmp.Or(cmp.Compare(c.Wall, d.Wall), cmp.Compare(c.Tick, d.Tick))
}

// String gives the wall time and, where there is one, the tick.
func (c Clock) String() string {
	s := c.Time().Format(clockLayout)
	if c.Tick > 0 {
		s += fmt.Sprintf(" tick %d", c.Tick)
	}
	return s
}

const (
	clockLayout = "2006-01-02T15:04:05.000Z"
	firstWall   = -62167219200000 // 0000-01-01T00:00:00.000Z, the first time clockLayout can write
	lastWall    = 253402300799999 // 9999-12-31T23:59:59.999Z, the last
	trust       = 24 * time.Hour  // a remote clock further ahead than this is not adopted
)

// hybrid is the clock of one open notebook. Nothing else looks inside it.
type hybrid struct {
	now  func() time.Time
	last Clock
}

// next gives a reading later than every one given or adopted before.
func (h *hybrid) next() Clock {
	switch wall := h.wall(); {
	case wall > h.last.Wall:
		h.last = Clock{Wall: wall}
	case h.last.Tick == 1<<32-1:
		h.last = Clock{Wall: h.last.Wall + 1}
	default:
		h.last.Tick++
	}
	return h.last
}

// meet learns the clock of a line: its own device's always, another's within reason.
func (h *hybrid) meet(l *Line, own DeviceID) (ahead time.Duration, adopted bool) {
	if l.Device == own {
		h.keep(l.Clock)
		return 0, true
	}
	return h.see(l.Clock)
}

// see learns another device's reading and tells how far it is ahead of the wall
// clock here. A reading more than a day ahead is not adopted.
func (h *hybrid) see(c Clock) (ahead time.Duration, adopted bool) {
	ahead = time.Duration(min(c.Wall-h.wall(), lastWall/1000)) * time.Millisecond
	if ahead > trust {
		return ahead, false
	}
	h.keep(c)
	return ahead, true
}

// keep never lets the clock fall behind c, however far ahead it is: what this
// device has once written it must go beyond.
func (h *hybrid) keep(c Clock) {
	if c.Compare(h.last) > 0 {
		h.last = c
	}
}

func (h *hybrid) wall() int64 {
	return min(max(h.now().UnixMilli(), firstWall), lastWall)
}
