package courier

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"
)

// Held are lines of a file that stay out until a leader lets them in: their
// device is shut out, or no line here says that it takes part.
type Held struct {
	Device notebook.DeviceID `json:"device"`
	Name   string            `json:"name,omitempty"`
	Lines  int               `json:"lines"`
	Why    string            `json:"why"`
}

func (h Held) says() string {
	name := h.Name
	if name == "" {
		name = fmt.Sprintf("device %.8s…", h.Device)
	}
	return fmt.Sprintf("%s of %s are held back: %s", lines(h.Lines), name, h.Why)
}

// Export writes parcels with all that a holder of these heads lacks; nil: with
// everything.
func (s Side) Export(w io.Writer, holder notebook.Heads) (State, error) {
	return s.ExportFor(w, holder, "")
}

// ExportFor is [Side.Export] for a device that is given the coordinates of one
// site only.
func (s Side) ExportFor(w io.Writer, holder notebook.Heads, site string) (State, error) {
	theirs := holding{heads: holder, branches: map[notebook.Hash]bool{}}
	var state State
	for {
		p, err := s.parcel(&aside{}, &theirs)
		if err != nil {
			return state, err
		}
		s.withhold(&p, site, notebook.DeviceID{})
		packed, err := p.pack()
		if err != nil {
			return state, err
		}
		if _, err := w.Write(packed); err != nil {
			return state, err
		}
		state.Sent += len(p.Lines)
		if len(p.Lines) == 0 {
			state.At, state.Done = s.Now(), true
			return state, nil
		}
		theirs = theirs.having(p)
	}
}

// having is a holder once it has laid a parcel beside what it holds.
func (h holding) having(p Parcel) holding {
	laid := notebook.Heads{}
	for device, head := range h.aside {
		laid[device] = head
	}
	for i := range p.Lines {
		l := &p.Lines[i]
		laid[l.Device] = notebook.Head{Seq: l.Seq, Hash: l.Hash}
	}
	return holding{heads: h.heads, aside: laid, branches: h.branches}
}

// Import takes the parcels of a file. It may be cut short anywhere: what came
// whole is taken, and the error says that more was to come.
//
// Lines of a device that is shut out, or that nobody has admitted, are held
// back unless let names it: a file comes from anybody's hand.
func (s Side) Import(r io.Reader, let ...notebook.DeviceID) (State, error) {
	f := file{side: s, let: append(slices.Clone(s.Trust), let...)}
	in := bufio.NewReader(r)
	for last := false; ; {
		p, err := unpack(in)
		if err == io.EOF && last {
			return f.end(), nil
		}
		if err == io.EOF {
			err = errors.New("the file ends before its last parcel: it was cut off; what came whole was taken, copy the file again for the rest")
		}
		if err != nil {
			return f.end(), err
		}
		last = len(p.Lines) == 0
		if err := f.take(p); err != nil {
			return f.end(), err
		}
	}
}

// file is one being read.
type file struct {
	side  Side
	let   []notebook.DeviceID
	laid  aside
	held  Parcel // lines and heads that wait for a word that lets them in
	state State
}

// take brings in what a parcel may bring, and what waited for that.
func (f *file) take(p Parcel) error {
	s := f.side
	f.state.With, f.state.WithName = p.Device, s.member(p.Device).Name
	s.Copies.note(Copy{Device: p.Device, Name: f.state.WithName, At: s.Now(), Heads: p.Holds})
	f.held.Note = p.Note
	f.held.Lines, f.held.Heads = append(f.held.Lines, p.Lines...), append(f.held.Heads, p.Heads...)
	for {
		let, err := f.part()
		if err != nil || len(let.Lines)+len(let.Heads) == 0 {
			return err
		}
		t, err := s.receive(&f.laid, let)
		f.state.Came += len(t.New)
		f.state.Forks += t.forks
		f.state.Renewed = f.state.Renewed || t.Renewed
		f.state.Waiting = append(f.state.Waiting, t.Waiting...)
		if err = errors.Join(err, t.fault); err != nil {
			return err
		}
	}
}

// part takes out of what is held all that may come in as the lines stand now.
func (f *file) part() (Parcel, error) {
	let, held := Parcel{Note: f.held.Note}, Parcel{Note: f.held.Note}
	stays := map[notebook.DeviceID]bool{}
	for _, r := range byDevice(f.held.Lines) {
		why, err := f.why(r)
		if err != nil {
			return let, err
		}
		to := &let
		if stays[r[0].Device] = why != ""; why != "" {
			to = &held
		}
		to.Lines = append(to.Lines, r...)
	}
	for _, h := range f.held.Heads {
		to := &let
		if stays[h.Device] {
			to = &held
		}
		to.Heads = append(to.Heads, h)
	}
	f.held = held
	return let, nil
}

// why says why a device's lines stay out, or nothing. All may come into a
// notebook that does not know yet who began it.
func (f *file) why(r []notebook.Line) (string, error) {
	id := r[0].Device
	device := f.side.member(id)
	known := true
	f.side.Programme.View(func(r *register.Register) { known = r.Programme() != (record.Programme{}) })
	if !known || device.Admitted() || slices.Contains(f.let, id) {
		return "", nil
	}
	here, err := f.side.Programme.Notebook().Holds(&r[len(r)-1])
	switch {
	case err != nil || here:
		return "", err
	case device.Lost != "":
		return "it is shut out (" + device.Lost + "); a leader may let them in", nil
	}
	return "nobody has admitted it; a leader may let them in", nil
}

// end tells how far the file was taken.
func (f *file) end() State {
	s := f.state
	s.At = f.side.Now()
	for _, r := range byDevice(f.held.Lines) {
		why, err := f.why(r)
		if err != nil {
			why = err.Error()
		}
		s.Held = append(s.Held, Held{Device: r[0].Device, Name: f.side.member(r[0].Device).Name, Lines: len(r), Why: why})
	}
	s.Done = len(s.Waiting)+len(s.Held) == 0
	return s
}
