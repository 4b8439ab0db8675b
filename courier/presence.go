package courier

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"sync"
	"time"

	"dawnround/notebook"
	"dawnround/register"

	"github.com/google/uuid"
)

// Presence is where one device is in the round. It is told, never kept: not a
// line, and gone when the answering side stops. Times are ages, so that a wrong
// clock does no harm.
type Presence struct {
	Who      string    `json:"who,omitempty"`
	Round    uuid.UUID `json:"round,omitzero"`
	Site     string    `json:"site,omitempty"`
	Night    string    `json:"night,omitempty"` // evening the traps were set, 2026-05-13
	Seen     []string  `json:"seen,omitempty"`  // traps, in the order seen
	Bags     []Bag     `json:"bags,omitempty"`
	Handling string    `json:"handling,omitempty"` // trap or bag of the animal in the hand
}

// Bag is an animal that waits.
type Bag struct {
	Trap string `json:"trap"`
	Bag  string `json:"bag,omitempty"`
	ForS int    `json:"for_s"` // seconds in the bag when this was told
}

// Fellow is another device's presence, and how old the news is.
type Fellow struct {
	Device notebook.DeviceID `json:"device"`
	Name   string            `json:"name"`
	AgeS   int               `json:"age_s"` // seconds since it told
	Presence
}

// stale is from when on news of a fellow says how old it is. Common practice,
// no source: a trap is seen every minute or two.
const stale = time.Minute

// Says is who told this, and how old it is: "AB's phone, 6 min ago".
func (f Fellow) Says() string {
	name := f.Name
	if name == "" {
		name = fmt.Sprintf("device %.8s…", f.Device)
	}
	age := time.Duration(f.AgeS) * time.Second
	switch {
	case age < stale:
		return name + ", now"
	case age < time.Hour:
		return fmt.Sprintf("%s, %d min ago", name, int(age.Minutes()))
	}
	return fmt.Sprintf("%s, %d h ago", name, int(age.Hours()))
}

// Fellows is what others have told, and its version.
type Fellows struct {
	Version uint64   `json:"version"` // goes up whenever somebody tells
	Of      []Fellow `json:"of"`
}

// telling is what a device sends: where it is, if it says, and which version
// of the others it has.
type telling struct {
	After uint64    `json:"after"`
	Mine  *Presence `json:"mine,omitempty"`
}

// TellPresence tells the answering side where this device is in the round, and
// gives the others; nil mine only listens. With the version it has, the answer
// waits until somebody else has told, or for a while.
func (s Side) TellPresence(ctx context.Context, carry Carry, mine *Presence, after uint64) (Fellows, error) {
	n := s.Programme.Notebook()
	t, err := open(ctx, carry, n.Programme(), n.Key(), s.Now)
	if err != nil {
		return Fellows{}, err
	}
	question, err := json.Marshal(telling{after, mine})
	if err != nil {
		return Fellows{}, err
	}
	answer, err := t.ask(ctx, "/presence", question)
	if err != nil {
		return Fellows{}, err
	}
	var f Fellows
	return f, json.Unmarshal(answer, &f)
}

// board is what every device told last.
type board struct {
	mu      sync.Mutex
	version uint64
	told    map[notebook.DeviceID]told
	changed chan struct{} // closed when somebody tells
}

type told struct {
	Presence
	name string
	at   time.Time
}

// tell notes what a device says.
func (b *board) tell(d register.Device, p Presence, now time.Time) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.told == nil {
		b.told = map[notebook.DeviceID]told{}
	}
	b.told[d.ID] = told{p, d.Name, now}
	b.version++
	if b.changed != nil {
		close(b.changed)
	}
	b.changed = make(chan struct{})
}

// forgotten is after how long nobody is told of a device any more. Common
// practice, no source: a round is over by then.
const forgotten = 12 * time.Hour

// others gives what everybody but one device told, by device.
func (b *board) others(but notebook.DeviceID, now time.Time) (Fellows, <-chan struct{}) {
	b.mu.Lock()
	defer b.mu.Unlock()
	f := Fellows{Version: b.version}
	for id, t := range b.told {
		if age := now.Sub(t.at); id != but && age < forgotten {
			f.Of = append(f.Of, Fellow{Device: id, Name: t.name, AgeS: int(age.Seconds()), Presence: t.Presence})
		}
	}
	slices.SortFunc(f.Of, func(x, y Fellow) int { return bytes.Compare(x.Device[:], y.Device[:]) })
	if b.changed == nil {
		b.changed = make(chan struct{})
	}
	return f, b.changed
}

// Fellows gives what other devices told of the round, for this device's own pages.
func (h *House) Fellows() Fellows {
	f, _ := h.board.others(h.side.Programme.Notebook().Device(), h.side.Now())
	return f
}

// Tell notes where this device is in the round.
func (h *House) Tell(p Presence) {
	h.board.tell(h.side.member(h.side.Programme.Notebook().Device()), p, h.side.Now())
}

// Presence answers one question on "/presence". An answer with nothing new
// waits until ctx ends or somebody tells.
func (h *House) Presence(ctx context.Context, authorization string, body []byte) Answer {
	device, refused := h.Known(authorization, "/presence", body)
	if refused != nil {
		return *refused
	}
	var t telling
	if err := json.Unmarshal(body, &t); err != nil {
		return refuse(statusBad, "presence: "+err.Error())
	}
	if t.Mine != nil {
		h.board.tell(device, *t.Mine, h.side.Now())
	}
	f, changed := h.board.others(device.ID, h.side.Now())
	if f.Version == t.After && t.Mine == nil {
		select {
		case <-changed:
		case <-ctx.Done():
		}
		f, _ = h.board.others(device.ID, h.side.Now())
	}
	text, err := json.Marshal(f)
	if err != nil {
		return refuse(statusFault, err.Error())
	}
	return h.Sign(body, text)
}
