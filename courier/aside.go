package courier

import (
	"cmp"
	"errors"
	"slices"

	"dawnround/notebook"
	"dawnround/programme"
)

// maxAside is the most that is laid aside for one other side, in bytes.
const maxAside = 256 << 20

// aside holds lines of chains whose signed head has not come yet, for one
// other side. It is lost when the program stops; then they are sent again.
type aside struct {
	runs  map[notebook.DeviceID]run
	bytes int
}

// run is lines of one device that follow each other.
type run struct {
	lines []notebook.Line
	bytes int
}

func (r *run) last() *notebook.Line { return &r.lines[len(r.lines)-1] }

// took is what came of one parcel.
type took struct {
	notebook.Merged
	forks int
	fault error // what is wrong with a device's lines; the others are taken
}

// take brings a parcel's lines through the door. What is not complete is laid
// aside. Both branches of a forked device are kept. The error is of the
// notebook itself.
func (a *aside) take(p *programme.Programme, who string, lines []notebook.Line, heads []notebook.SignedHead) (took, error) {
	ours, _, err := p.Notebook().Heads()
	if err != nil {
		return took{}, err
	}
	complete := a.complete(ours, lines, heads)
	merged, err := p.Merge(complete, heads)
	t := took{Merged: merged}
	for err != nil {
		var fork *notebook.Fork
		if !errors.As(err, &fork) || !fork.Complete() {
			break
		}
		if err = p.AdoptFork(who, fork); err != nil {
			return t, err
		}
		t.forks++
		var more notebook.Merged
		more, err = p.Merge(complete, heads) // there may be another
		t.New, t.Ahead = append(t.New, more.New...), append(t.Ahead, more.Ahead...)
		t.Waiting, t.Renewed = more.Waiting, t.Renewed || more.Renewed
	}
	var bad *notebook.BadLine
	var fork *notebook.Fork
	switch {
	case err == nil, errors.As(err, &bad), errors.As(err, &fork):
		t.fault = err
		return t, nil
	}
	return t, err
}

// complete gives the runs that a signed head covers, among them what was laid
// aside, and lays the rest aside.
func (a *aside) complete(ours notebook.Heads, lines []notebook.Line, heads []notebook.SignedHead) []notebook.Line {
	var out []notebook.Line
	for _, came := range byDevice(lines) {
		r := a.joined(came)
		covered := func(h notebook.SignedHead) bool { return h.Device == r.last().Device && h.Hash == r.last().Hash }
		if slices.ContainsFunc(heads, covered) {
			out = append(out, r.lines...)
			a.drop(r.last().Device)
		} else if r.lines[0].Seq <= ours[r.last().Device].Seq+1 {
			a.lay(r)
		}
	}
	return out
}

// byDevice parts lines into each device's, by number.
func byDevice(lines []notebook.Line) [][]notebook.Line {
	sorted := slices.Clone(lines)
	slices.SortStableFunc(sorted, func(l, m notebook.Line) int {
		return cmp.Or(slices.Compare(l.Device[:], m.Device[:]), cmp.Compare(l.Seq, m.Seq))
	})
	var out [][]notebook.Line
	for i, l := range sorted {
		if i == 0 || l.Device != sorted[i-1].Device {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], l)
	}
	return out
}

// joined puts what came behind what is laid aside of its device, where it goes
// on from there.
func (a *aside) joined(came []notebook.Line) run {
	laid := a.runs[came[0].Device]
	r := run{came, sizeOf(came)}
	for i := len(laid.lines) - 1; i >= 0; i-- {
		if laid.lines[i].Hash == came[0].Prev {
			return run{append(laid.lines[:i+1], came...), laid.bytes - sizeOf(laid.lines[i+1:]) + r.bytes}
		}
	}
	return r
}

// lay keeps a run for later, unless a longer one lies there, or too much does:
// what is not acknowledged will be sent again.
func (a *aside) lay(r run) {
	device := r.last().Device
	laid, ok := a.runs[device]
	if ok && laid.last().Seq >= r.last().Seq || a.bytes-laid.bytes+r.bytes > maxAside {
		return
	}
	if a.runs == nil {
		a.runs = map[notebook.DeviceID]run{}
	}
	a.runs[device] = r
	a.bytes += r.bytes - laid.bytes
}

func (a *aside) drop(device notebook.DeviceID) {
	a.bytes -= a.runs[device].bytes
	delete(a.runs, device)
}

func sizeOf(lines []notebook.Line) (n int) {
	for i := range lines {
		n += len(lines[i].Stored)
	}
	return n
}

// heads gives where the runs laid aside end.
func (a *aside) heads() notebook.Heads {
	heads := notebook.Heads{}
	for device, r := range a.runs {
		heads[device] = notebook.Head{Seq: r.last().Seq, Hash: r.last().Hash}
	}
	return heads
}
