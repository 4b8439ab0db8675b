package answer

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"dawnround/growth"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// sameDays is how soon after an attached young was seen it cannot have left the
// pouch by itself, where the species' pouch life is not known (common practice).
const sameDays = 14

// Litter is the young of one birth of a female, as her pouch told them.
type Litter struct {
	Mother   string       `json:"mother"`
	MotherID uuid.UUID    `json:"mother_id"`
	After    record.Night `json:"born_after,omitzero"` // the last look that found no such young
	By       record.Night `json:"born_by"`             // first seen
	Most     int          `json:"most"`                // young seen at once; 0: there were young, nobody wrote how many
	Young    []uuid.UUID  `json:"young"`
	Looks    []LitterLook `json:"looks"`
	Fate     string       `json:"fate"`
	Lost     LostGrade    `json:"lost,omitempty"`
	Evidence string       `json:"evidence"`
	Unseen   bool         `json:"unseen"` // told by milk alone, with no young in the pouch

	attached bool
}

// LitterLook is what one capture of the mother saw of a litter.
type LitterLook struct {
	Capture uuid.UUID    `json:"capture"`
	Night   record.Night `json:"night"`
	Pouch   int          `json:"in_pouch"`
	Foot    int          `json:"at_foot"`
}

// LostGrade is how sure it is that a litter, or some of it, was lost.
type LostGrade string

// The grades of a loss; empty is none known.
const (
	LostCertain  LostGrade = "certain"
	LostPossible LostGrade = "possible"
)

// litters puts the young of a female's captures together by birth. Young first
// seen in the pouch at one look are one litter; others seen in it on the same
// trip, or while one of it is still there, were missed before and join it.
// An occupied pouch without rows is a litter of a number not known; milk without
// young in the pouch tells of one that nobody saw, unless a litter seen before
// can still be sucking.
func (m mother) litters(a *asked, life *growth.PouchLife) []Litter {
	var out []Litter
	for i, c := range m.captures {
		for _, y := range c.Handled.Young {
			at := m.litterOf(out, c, y)
			if at < 0 {
				at = len(out)
				out = append(out, m.begin(a, i))
			}
			out[at].see(c, y)
		}
		if state, _ := a.pouch(c.Handled); state == pouchOccupied && len(c.Handled.Young) == 0 {
			if n := len(out); n == 0 || !m.onTrip(out[n-1], c) {
				out = append(out, m.begin(a, i))
			}
			l := &out[len(out)-1]
			l.Looks = append(l.Looks, LitterLook{Capture: c.ID(), Night: c.At.Night})
		}
		if m.milkAlone(a, c) && !m.sucking(a, out, i, life) {
			l := m.begin(a, i)
			l.Unseen, l.Looks = true, []LitterLook{{Capture: c.ID(), Night: c.At.Night}}
			out = append(out, l)
		}
	}
	for i := range out {
		m.fate(a, &out[i], life)
	}
	return out
}

// milkAlone reports milk where her pouch, looked into, holds no young.
func (m mother) milkAlone(a *asked, c *register.Capture) bool {
	state, _ := a.pouch(c.Handled)
	return state == pouchEmpty && len(c.Handled.Young) == 0 && a.breedsAt(c.Handled) == breedingYes
}

// sucking reports that the last litter known explains her milk: she was not
// found dry since, and it is not older than a weaned young.
func (m mother) sucking(a *asked, known []Litter, i int, life *growth.PouchLife) bool {
	n := len(known) - 1
	if n < 0 {
		return false
	}
	for _, c := range m.captures[:i] {
		if known[n].By.Before(c.At.Night) && a.breedsAt(c.Handled) == breedingNo {
			return false
		}
	}
	oldest := weanedDays(life)
	return oldest == 0 || known[n].Unseen || m.captures[i].At.Night.Days(known[n].By) <= oldest
}

// weanedDays is the age in days at which young are surely weaned: as told, else
// twice the latest age of leaving the pouch (common practice); 0 where neither
// is known.
func weanedDays(life *growth.PouchLife) int {
	switch {
	case life == nil || len(life.Exit)+len(life.Weaned) == 0:
		return 0
	case len(life.Weaned) > 0:
		latest := life.Weaned[len(life.Weaned)-1]
		return int(latest + growth.Roughly(latest))
	}
	return int(2 * life.Exit[len(life.Exit)-1])
}

// litterOf is the litter a young belongs to, -1 for one not known yet.
func (m mother) litterOf(known []Litter, c *register.Capture, y record.Young) int {
	for i, l := range known {
		if slices.Contains(l.Young, y.Young) {
			return i
		}
	}
	n := len(known) - 1
	if n < 0 || !inPouch(y) {
		return -1
	}
	last := known[n].Looks[len(known[n].Looks)-1]
	stillThere := last.Capture == c.ID() && last.Pouch > 0
	for _, o := range c.Handled.Young {
		stillThere = stillThere || inPouch(o) && slices.Contains(known[n].Young, o.Young)
	}
	if stillThere || m.onTrip(known[n], c) && last.Pouch > 0 {
		return n
	}
	return -1
}

// onTrip reports a litter last looked at on the trip of a capture.
func (m mother) onTrip(l Litter, c *register.Capture) bool {
	last := l.Looks[len(l.Looks)-1].Capture
	return slices.ContainsFunc(m.captures, func(o *register.Capture) bool { return o.ID() == last && o.At.Trip == c.At.Trip })
}

// begin is a litter first seen at one of her captures.
func (m mother) begin(a *asked, i int) Litter {
	l := Litter{Mother: a.name(m.id), MotherID: m.id, By: m.captures[i].At.Night, Young: []uuid.UUID{}}
	for _, before := range slices.Backward(m.captures[:i]) {
		if state, _ := a.pouch(before.Handled); state == pouchEmpty || state == pouchOccupied {
			l.After = before.At.Night
			break
		}
	}
	return l
}

// see adds a young to what a look saw.
func (l *Litter) see(c *register.Capture, y record.Young) {
	if n := len(l.Looks); n == 0 || l.Looks[n-1].Capture != c.ID() {
		l.Looks = append(l.Looks, LitterLook{Capture: c.ID(), Night: c.At.Night})
	}
	look := &l.Looks[len(l.Looks)-1]
	switch {
	case inPouch(y):
		look.Pouch++
		l.attached = y.Attached == "yes"
	case y.Where != "gone":
		look.Foot++
	}
	if !slices.Contains(l.Young, y.Young) {
		l.Young = append(l.Young, y.Young)
	}
	l.Most = max(l.Most, len(l.Young))
}

// Born is the window of birth in words.
func (l Litter) Born() string {
	if l.After.IsZero() {
		return fmt.Sprintf("by %s", l.By)
	}
	return fmt.Sprintf("%s to %s", l.After, l.By)
}

// fate tells what became of a litter, on what evidence.
func (m mother) fate(a *asked, l *Litter, life *growth.PouchLife) {
	if l.Unseen {
		at := slices.IndexFunc(m.captures, func(c *register.Capture) bool { return c.ID() == l.Looks[0].Capture })
		l.Fate, l.Evidence = "at foot, or just lost", a.pouchSays(m.captures[at].Handled)
		return
	}
	fewer, most := "", 0
	for _, look := range l.Looks {
		if look.Pouch > 0 && look.Pouch < most && look.Foot == 0 {
			fewer = fmt.Sprintf("%d in the pouch on %s, %d before", look.Pouch, look.Night, most)
		}
		most = max(most, look.Pouch)
	}
	last := l.Looks[len(l.Looks)-1]
	if grown := a.grownOf(l); grown > 0 {
		l.Fate, l.Evidence = "left the pouch", fmt.Sprintf("%d caught later by themselves", grown)
	} else if last.Foot > 0 {
		l.Fate, l.Evidence = "left the pouch", fmt.Sprintf("%d at foot on %s", last.Foot, last.Night)
	} else {
		m.next(a, l, last, life)
	}
	if fewer != "" {
		l.Evidence = strings.TrimPrefix(l.Evidence+"; "+fewer, "; ")
		l.Lost = cmp.Or(l.Lost, LostPossible)
	}
}

// grownOf counts the young of a litter that were caught later.
func (a *asked) grownOf(l *Litter) int {
	n := 0
	for _, y := range l.Young {
		if whole, ok := a.Animal(y); ok && len(whole.Captures) > 0 {
			n++
		}
	}
	return n
}

// next judges by the first later look into her pouch.
func (m mother) next(a *asked, l *Litter, last LitterLook, life *growth.PouchLife) {
	at := slices.IndexFunc(m.captures, func(c *register.Capture) bool { return c.ID() == last.Capture })
	l.Fate, l.Evidence = "not known", "her pouch was not looked into again"
	for _, c := range m.captures[at+1:] {
		state, _ := a.pouch(c.Handled)
		if state == pouchUnknown || state == pouchShut {
			continue
		}
		days := c.At.Night.Days(last.Night)
		seen := fmt.Sprintf("%s on %s, %d days after the young were last seen", a.pouchSays(c.Handled), c.At.Night, days)
		l.Fate, l.Evidence = "gone from the pouch", seen
		switch exit, oldest := exitDays(life), c.At.Night.Days(l.After); {
		case exit > 0 && !l.After.IsZero() && oldest < exit-10:
			l.Fate, l.Lost = "lost", LostCertain
			l.Evidence = fmt.Sprintf("%s; they were at most %d days old, and leave at %d or more", seen, oldest, exit)
		case exit == 0 && l.attached && days <= sameDays:
			l.Fate, l.Lost = "lost", LostCertain
			l.Evidence = seen + ", too soon for attached young to leave"
		case a.breedsAt(c.Handled) == breedingNo && exit > 0 && days < exit:
			l.Fate, l.Lost = "lost, or weaned", LostPossible
			l.Evidence = seen + ", and no milk"
		}
		return
	}
}

// exitDays is the youngest age in days at which young leave the pouch, 0 where
// it is not known.
func exitDays(life *growth.PouchLife) int {
	if life == nil || len(life.Exit) == 0 {
		return 0
	}
	from := life.Exit[0]
	if len(life.Exit) == 1 {
		from -= growth.Roughly(from)
	}
	return int(from)
}

// pouchSays are the words that stand for her pouch, teats and milk.
func (a *asked) pouchSays(h *record.Handled) string {
	says := ""
	for _, g := range a.sheet.Signs {
		if s := h.Signs[g.ID]; s.Value != "" && g.Sex == string(record.Female) {
			if says != "" {
				says += ", "
			}
			says += cmp.Or(g.Name, g.ID) + " " + s.Value
		}
	}
	return cmp.Or(says, "young in her row")
}
