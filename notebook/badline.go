package notebook

import (
	"fmt"
	"strings"

	"github.com/google/uuid"
)

// BadLine is the first line found not to be what it must be. It shows every
// version that is known, so that a reader need trust nobody.
type BadLine struct {
	Where  string // the file it lies in, where a store knows
	Device DeviceID
	Seq    uint64
	ID     uuid.UUID // zero where the line cannot be read
	Why    string

	Stored []byte // the line as found
	Hash   Hash   // of Stored
	Want   Hash   // what it should be, zero where nothing says so
	WantBy string // who says so: "the next line", "the signed head" …

	Other   []byte // the same line from elsewhere, nil where there is none
	OtherBy string // where that is: "this notebook", "the second source"
}

func (b *BadLine) Error() string {
	var s strings.Builder
	if b.Where != "" {
		fmt.Fprintf(&s, "%s: ", b.Where)
	}
	fmt.Fprintf(&s, "device %s line %d (id %s): %s", b.Device, b.Seq, b.ID, b.Why)
	at := parting(b.Stored, b.Other)
	fmt.Fprintf(&s, "\n  found, hash %s:\n    %s", b.Hash, excerpt(b.Stored, at))
	if b.Want != (Hash{}) {
		fmt.Fprintf(&s, "\n  expected by %s: hash %s", b.WantBy, b.Want)
	}
	if b.Other != nil {
		fmt.Fprintf(&s, "\n  in %s:\n    %s", b.OtherBy, excerpt(b.Other, at))
	}
	s.WriteString("\n  keep this file as it is; restore the last backup or export into a new folder")
	return s.String()
}

// parting is the first byte in which two versions of a line differ.
func parting(a, b []byte) int {
	i := 0
	for i < min(len(a), len(b)) && a[i] == b[i] {
		i++
	}
	return i
}

// excerpt is a line whole, or, where it is long, its beginning and what stands
// around one byte.
func excerpt(line []byte, at int) string {
	const whole, head, around = 800, 240, 120
	if len(line) <= whole {
		return string(line)
	}
	from := min(max(at-around, head), len(line))
	to := min(max(at+around, from), len(line))
	return fmt.Sprintf("%s … byte %d: %s … (%d bytes)", line[:head], from, line[from:to], len(line))
}

// bad starts a report on l.
func bad(l *Line, why string, args ...any) *BadLine {
	return &BadLine{Device: l.Device, Seq: l.Seq, ID: l.ID, Stored: l.Stored, Hash: l.Hash, Why: fmt.Sprintf(why, args...)}
}

// chains checks lines one by one: each must follow its device's last.
type chains struct {
	programme uuid.UUID
	last      map[DeviceID]*Line
	lines     int
}

// follow accepts l as its device's next line, or reports the first bad line: l
// itself, or the one before when l names another hash for it.
func (c *chains) follow(l *Line) error {
	last := c.last[l.Device]
	if last == nil {
		last = &Line{Device: l.Device}
		c.last[l.Device] = last
	}
	if err := follows(c.programme, last, l); err != nil {
		return err
	}
	*last = *l
	c.lines++
	return nil
}

// follows says whether l comes next after last on one device's chain.
func follows(programme uuid.UUID, last, l *Line) error {
	switch {
	case l.Programme != programme:
		return bad(l, "belongs to programme %s, not to %s", l.Programme, programme)
	case l.Seq != last.Seq+1:
		return bad(l, "line %d was expected here: lines are missing or doubled", last.Seq+1)
	case l.Prev != last.Hash && last.Seq == 0:
		return bad(l, "the first line of a device follows nothing, so its prev must be zeros")
	case l.Prev != last.Hash:
		report := bad(last, "not the line that line %d follows: one of the two was altered", l.Seq)
		report.Want, report.WantBy = l.Prev, fmt.Sprintf("line %d", l.Seq)
		return report
	case l.Clock.Compare(last.Clock) < 0:
		return bad(l, "its clock %s runs back behind line %d at %s", l.Clock, last.Seq, last.Clock)
	}
	return nil
}

// end checks every chain against its device's signed head.
func (c *chains) end(signed []SignedHead) error {
	heads := map[DeviceID]SignedHead{}
	for _, s := range signed {
		heads[s.Device] = s
	}
	for _, s := range signed {
		if c.last[s.Device] == nil && s.Seq > 0 {
			return fmt.Errorf("device %s: it signed %d lines and none is here; take them from a backup, an export or another notebook", s.Device, s.Seq)
		}
	}
	for device, last := range c.last {
		s, ok := heads[device]
		switch {
		case !ok:
			return bad(last, "its device has signed no head")
		case s.Seq != last.Seq:
			return bad(last, "the chain ends here, but its device signed %d lines", s.Seq)
		case s.Hash != last.Hash:
			report := bad(last, "not the line its device signed")
			report.Want, report.WantBy = s.Hash, "the signed head"
			return report
		}
	}
	return nil
}
