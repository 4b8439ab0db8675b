package notebook

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"
)

// Merged says what a merge did. It is true also beside an error.
type Merged struct {
	New     []Line    // lines that were not here before, fork lines unpacked; by clock, device and number
	Known   int       // arriving lines that were here already
	Waiting []Waiting // lines that cannot be taken yet
	Ahead   []Ahead   // devices whose clock is more than a day ahead
	Renewed bool      // this notebook goes on as a new device, since its own was forked
}

// Waiting says that a device's lines have arrived which cannot be taken yet:
// lines before them are missing, or the device's signed head is not reached.
type Waiting struct {
	Device DeviceID
	Lines  int
	Why    string
}

// Ahead says that a device's clock is more than a day ahead of the clock here.
// Its lines are kept as they are; the time is not adopted.
type Ahead struct {
	Device DeviceID
	By     time.Duration
	Line   Line // the first such line
}

// Merge takes in another notebook's lines and signed heads.
//
// Nothing is taken if anything belongs to another programme. Otherwise each
// device stands for itself, in whatever order devices come: its lines are taken
// without a gap up to the last head it has signed, and all that is taken is kept
// in one step. A line already here is counted. Merging again, or going on after
// an interruption, does no harm.
//
// The error is the first found, in order of devices: a [*Fork] where a device has
// two different lines of one number, a [*BadLine] where a line is damaged. The
// device concerned gets no further; all others do.
func (n *Notebook) Merge(lines []Line, signed []SignedHead) (Merged, error) {
	if err := n.foreign(lines, signed); err != nil {
		return Merged{}, err
	}
	n.mu.Lock()
	defer n.mu.Unlock()
	if err := n.refresh(); err != nil {
		return Merged{}, err
	}
	m := merging{n: n, faults: map[DeviceID]error{}}
	for _, a := range arrivals(lines, signed) {
		if err := m.look(a); err != nil {
			return Merged{}, err
		}
	}
	if err := m.keep(); err != nil {
		return Merged{}, err
	}
	if err := m.judge(); err != nil {
		return m.merged, err
	}
	return m.merged, m.firstFault()
}

// foreign refuses what belongs to another programme.
func (n *Notebook) foreign(lines []Line, signed []SignedHead) error {
	for i := range lines {
		if lines[i].Programme != n.programme {
			return bad(&lines[i], "belongs to programme %s; this notebook is of %s, nothing was merged", lines[i].Programme, n.programme)
		}
	}
	for _, s := range signed {
		if s.Programme != n.programme {
			return fmt.Errorf("head of device %s belongs to programme %s; this notebook is of %s, nothing was merged",
				s.Device, s.Programme, n.programme)
		}
	}
	return nil
}

// arrival is all that has come for one device.
type arrival struct {
	device DeviceID
	lines  []Line // by number, each once
	heads  []SignedHead
	twice  int // lines that came more than once
}

// arrivals sorts what has come by device.
func arrivals(lines []Line, signed []SignedHead) []*arrival {
	at := map[DeviceID]*arrival{}
	of := func(device DeviceID) *arrival {
		if at[device] == nil {
			at[device] = &arrival{device: device}
		}
		return at[device]
	}
	for _, l := range lines {
		a := of(l.Device)
		a.lines = append(a.lines, l)
	}
	for _, s := range signed {
		a := of(s.Device)
		a.heads = append(a.heads, s)
	}
	for _, a := range at {
		slices.SortFunc(a.lines, func(l, m Line) int {
			return cmp.Or(cmp.Compare(l.Seq, m.Seq), bytes.Compare(l.Hash[:], m.Hash[:]))
		})
		came := len(a.lines)
		a.lines = slices.CompactFunc(a.lines, func(l, m Line) bool { return l.Hash == m.Hash })
		a.twice = came - len(a.lines)
	}
	return slices.SortedFunc(maps.Values(at), func(a, b *arrival) int { return a.device.compare(b.device) })
}

// merging is one merge under way.
type merging struct {
	n      *Notebook
	merged Merged
	take   []Line
	signed []SignedHead
	strays []stray
	faults map[DeviceID]error
}

// stray is a run of lines, or only a head, that is not on our chain.
type stray struct {
	device  DeviceID
	run     []Line
	vouched int // so many of the run are covered by head
	head    SignedHead
}

// look decides what can be taken of one device.
func (m *merging) look(a *arrival) error {
	run := m.readable(m.linked(a))
	heads := m.genuine(a, run)
	if err := m.hearsay(a.device, heads, run); err != nil {
		return err
	}
	same, err := m.n.same(run)
	if err != nil {
		return err
	}
	m.merged.Known += same + a.twice
	rest, ours := run[same:], m.n.heads[a.device]
	if len(rest) == 0 {
		return nil
	}
	if rest[0].Seq > ours.Seq+1 {
		m.wait(a.device, len(rest), fmt.Sprintf("line %d must come first", ours.Seq+1))
		return nil
	}
	s := vouch(rest, heads)
	if ours.Seq > 0 && rest[0].Prev != ours.Hash {
		m.strays = append(m.strays, s)
		return nil
	}
	return m.onward(s)
}

// linked gives the lines up to the first gap or break.
func (m *merging) linked(a *arrival) []Line {
	for i := 1; i < len(a.lines); i++ {
		if a.lines[i].Seq > a.lines[i-1].Seq+1 {
			m.wait(a.device, len(a.lines)-i, fmt.Sprintf("line %d must come first", a.lines[i-1].Seq+1))
			return a.lines[:i]
		}
		if err := follows(m.n.programme, &a.lines[i-1], &a.lines[i]); err != nil {
			m.fault(a.device, err)
			return a.lines[:i]
		}
	}
	return a.lines
}

// readable gives the lines up to the first withheld one, unless this notebook
// may not read all.
func (m *merging) readable(run []Line) []Line {
	at := slices.IndexFunc(run, func(l Line) bool { return l.Kind == WithheldKind })
	if at < 0 || m.n.limited {
		return run
	}
	m.wait(run[at].Device, len(run)-at, "they were withheld from the device that brought them; take them from one that has them whole")
	return run[:at]
}

// genuine gives the heads that their device has signed and that agree with the run.
func (m *merging) genuine(a *arrival, run []Line) []SignedHead {
	var heads []SignedHead
	for _, s := range a.heads {
		if err := s.Check(); err != nil {
			m.fault(a.device, err)
		} else if l := at(run, s.Seq); l != nil && l.Hash != s.Hash {
			report := bad(l, "not the line its device signed")
			report.Want, report.WantBy = s.Hash, "the signed head"
			m.fault(a.device, report)
		} else {
			heads = append(heads, s)
		}
	}
	return heads
}

// at finds the line of that number in a gapless run, or nil.
func at(run []Line, seq uint64) *Line {
	if len(run) == 0 || seq < run[0].Seq || seq > run[len(run)-1].Seq {
		return nil
	}
	return &run[seq-run[0].Seq]
}

// hearsay looks at heads whose lines did not come. One that disagrees with our
// chain tells of a fork; number 0 says that a device takes part.
func (m *merging) hearsay(device DeviceID, heads []SignedHead, run []Line) error {
	ours := m.n.heads[device]
	for _, s := range heads {
		if s.Seq == 0 && ours.Seq == 0 {
			m.signed = append(m.signed, s)
		}
		if s.Seq == 0 || s.Seq > ours.Seq || at(run, s.Seq) != nil {
			continue
		}
		l, err := m.n.line(device, s.Seq)
		if err != nil {
			return err
		}
		if l.Hash != s.Hash {
			m.strays = append(m.strays, stray{device: device, head: s})
		}
	}
	return nil
}

// vouch finds how far signed heads cover a run.
func vouch(run []Line, heads []SignedHead) stray {
	s := stray{device: run[0].Device, run: run}
	for _, head := range heads {
		if l := at(run, head.Seq); l != nil && head.Seq >= s.head.Seq {
			s.head, s.vouched = head, int(head.Seq-run[0].Seq)+1
		}
	}
	return s
}

// onward takes the vouched part of a run that goes on from our chain.
func (m *merging) onward(s stray) error {
	last := Line{Device: s.device}
	if ours := m.n.heads[s.device]; ours.Seq > 0 {
		var err error
		if last, err = m.n.line(s.device, ours.Seq); err != nil {
			return err
		}
	}
	if err := follows(m.n.programme, &last, &s.run[0]); err != nil {
		m.fault(s.device, err)
		return nil
	}
	m.wait(s.device, len(s.run)-s.vouched, "no head signed by their device reaches them")
	if s.vouched > 0 {
		m.take = append(m.take, s.run[:s.vouched]...)
		m.signed = append(m.signed, s.head)
	}
	return nil
}

// keep writes what was taken, in one step, and learns from it.
func (m *merging) keep() error {
	if len(m.take)+len(m.signed) == 0 {
		return nil
	}
	if err := m.n.append(m.take, m.signed); err != nil {
		return err
	}
	was := deviceOf(m.n.key)
	var err error
	m.merged.New, m.merged.Ahead, err = m.n.learn(m.take)
	m.merged.Renewed = deviceOf(m.n.key) != was
	m.n.recall()
	return err
}

// judge looks at the strays once every fork line that came has been read.
func (m *merging) judge() error {
	for _, s := range m.strays {
		switch {
		case m.n.adopted.hasAll(s.run) && (len(s.run) > 0 || m.n.adopted.has(s.head.Hash)):
			m.merged.Known += len(s.run)
		case s.vouched == 0 && len(s.run) > 0:
			m.fault(s.device, bad(&s.run[0], "not on our chain, and no head signed by its device reaches it"))
		default:
			fork, err := m.n.fork(s)
			if err != nil {
				return err
			}
			m.fault(s.device, fork)
			m.wait(s.device, len(s.run), "they are another branch, to be adopted")
		}
	}
	return nil
}

func (m *merging) wait(device DeviceID, lines int, why string) {
	if lines > 0 {
		m.merged.Waiting = append(m.merged.Waiting, Waiting{device, lines, why})
	}
}

// fault remembers the first thing wrong with a device.
func (m *merging) fault(device DeviceID, err error) {
	if m.faults[device] == nil {
		m.faults[device] = err
	}
}

// firstFault gives the first device's fault, a bad line beside our own version of it.
func (m *merging) firstFault() error {
	if len(m.faults) == 0 {
		return nil
	}
	device := slices.MinFunc(slices.Collect(maps.Keys(m.faults)), DeviceID.compare)
	var found *BadLine
	if !errors.As(m.faults[device], &found) {
		return m.faults[device]
	}
	if l, err := m.n.line(device, found.Seq); err == nil {
		found.Other, found.OtherBy = l.Stored, fmt.Sprintf("this notebook, hash %s", l.Hash)
	}
	return found
}

// same counts how many lines at the beginning of run are on our chain.
func (n *Notebook) same(run []Line) (int, error) {
	if len(run) == 0 || run[0].Seq > n.heads[run[0].Device].Seq {
		return 0, nil
	}
	i := 0
	for l, err := range n.chain(run[0].Device, run[0].Seq) {
		if err != nil {
			return 0, err
		}
		if i == len(run) || l.Hash != run[i].Hash {
			break
		}
		i++
	}
	return i, nil
}

// learn takes in what kept lines bring beside themselves: the time, and the
// lines that fork lines carry. It gives all that is new, in order.
func (n *Notebook) learn(lines []Line) ([]Line, []Ahead, error) {
	fresh := slices.Clone(lines)
	for i := range lines {
		if !lines[i].isFork() {
			continue
		}
		branches, err := unpack(&lines[i])
		if err != nil {
			continue // kept and relayed all the same; Verify reports it
		}
		for _, l := range slices.Concat(branches...) {
			has, err := n.has(&l)
			if err != nil {
				return nil, nil, err
			}
			if !has {
				fresh = append(fresh, l)
			}
			n.adopted.add(l)
		}
	}
	slices.SortFunc(fresh, func(l, m Line) int { return l.Compare(&m) })
	return fresh, n.hear(fresh), n.retire()
}

// hear learns the clocks of lines and gives the devices that are far ahead.
func (n *Notebook) hear(lines []Line) []Ahead {
	var ahead []Ahead
	told := map[DeviceID]bool{}
	for i := range lines {
		l := &lines[i]
		by, adopted := n.clock.meet(l, deviceOf(n.key))
		if !adopted && !told[l.Device] {
			told[l.Device] = true
			ahead = append(ahead, Ahead{l.Device, by, *l})
		}
	}
	return ahead
}
