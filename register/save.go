package register

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"slices"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// A saved register is disposable: thrown away and folded again from the
// notebook it has the same bytes. It holds the lines as read and, so that the
// whole state is compared, what was derived from them.
type saved struct {
	Lines    []savedLine              `json:"lines"`
	Captures []*Capture               `json:"captures"`
	Animals  map[string][]uuid.UUID   `json:"animals"`
	Nights   map[string][]SiteNight   `json:"nights"` // of each trip
	Protocol string                   `json:"protocol"`
	About    map[string][][]uuid.UUID `json:"about"`
}

type savedLine struct {
	ID     uuid.UUID         `json:"id"`
	Clock  notebook.Clock    `json:"clock"`
	Device notebook.DeviceID `json:"device"`
	Seq    uint64            `json:"seq"`
	Who    string            `json:"who"`
	Kind   string            `json:"kind"`
	Body   json.RawMessage   `json:"body,omitempty"`
	Sum    []byte            `json:"sum"`
	Err    string            `json:"err,omitempty"`
	Twins  []savedLine       `json:"twins,omitempty"`
}

// Save writes the register; the same state always gives the same bytes.
func (r *Register) Save(w io.Writer) error {
	s := saved{Captures: r.Captures(), Animals: map[string][]uuid.UUID{}, Nights: map[string][]SiteNight{}, Protocol: r.protocol.Version, About: map[string][][]uuid.UUID{}}
	for _, e := range slices.SortedFunc(maps.Values(r.entries), (*Entry).compare) {
		line, err := saveLine(e)
		if err != nil {
			return err
		}
		s.Lines = append(s.Lines, line)
	}
	for name, members := range r.members {
		s.Animals[name.String()] = members
	}
	for trip, nights := range r.nightsOf {
		if len(nights) > 0 {
			s.Nights[trip] = slices.SortedFunc(maps.Keys(nights), SiteNight.compare)
		}
	}
	for kind, of := range r.about {
		for _, subject := range slices.SortedFunc(maps.Keys(of), subject.compare) {
			var ids []uuid.UUID
			for _, e := range of[subject] {
				ids = append(ids, e.ID)
			}
			s.About[kind] = append(s.About[kind], ids)
		}
	}
	return json.NewEncoder(w).Encode(s)
}

func saveLine(e *Entry) (savedLine, error) {
	s := savedLine{ID: e.ID, Clock: e.Clock, Device: e.Device, Seq: e.Seq, Who: e.Who, Kind: e.Kind, Sum: e.sum[:]}
	if e.Err != nil {
		s.Err = e.Err.Error()
	}
	if e.Body != nil {
		var err error
		if s.Body, err = json.Marshal(e.Body); err != nil {
			return s, err
		}
	}
	for _, t := range e.Twins {
		twin, err := saveLine(t)
		if err != nil {
			return s, err
		}
		s.Twins = append(s.Twins, twin)
	}
	return s, nil
}

// Load reads what Save wrote and goes on from there. The error says that the
// notebook is to be folded anew.
func Load(rd io.Reader) (*Register, error) {
	var s saved
	if err := json.NewDecoder(rd).Decode(&s); err != nil {
		return nil, fmt.Errorf("saved register: %w; fold the notebook again", err)
	}
	r := New()
	for _, l := range s.Lines {
		e, err := l.entry()
		if err != nil {
			return nil, err
		}
		for _, t := range l.Twins {
			twin, err := t.entry()
			if err != nil {
				return nil, err
			}
			r.add(twin)
		}
		r.add(e)
	}
	r.settle()
	return r, nil
}

func (l savedLine) entry() (*Entry, error) {
	e := ReadLine(notebook.Line{
		Format: notebook.Format, ID: l.ID, Clock: l.Clock, Device: l.Device, Seq: l.Seq, Who: l.Who, Kind: l.Kind, Body: l.Body,
	})
	if e.Err != nil && l.Err == "" {
		return nil, fmt.Errorf("saved register: %w; fold the notebook again", e.Err)
	}
	copy(e.sum[:], l.Sum)
	return e, nil
}

// State is a short name for exactly this set of lines, printed with every
// answer so that it can be made again.
func (r *Register) State() string {
	h := sha256.New()
	for _, id := range slices.SortedFunc(maps.Keys(r.entries), compareIDs) {
		e := r.entries[id]
		h.Write(id[:])
		h.Write(e.sum[:])
		for _, t := range e.Twins {
			h.Write(t.sum[:])
		}
	}
	s := hex.EncodeToString(h.Sum(nil)[:4])
	return s[:4] + "-" + s[4:]
}
