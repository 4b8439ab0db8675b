package trapside

import (
	"net/http"
	"net/url"
	"strings"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// AskedMark is a mark that was scanned or typed on the round, before anybody
// said which of the animals that wait bears it.
type AskedMark struct {
	Text, How string
	Known     []Candidate
}

// askedMark is the mark of a round's address, with those known to bear it.
func askedMark(r *register.Register, night record.Night, asked url.Values) AskedMark {
	m := AskedMark{Text: strings.TrimSpace(asked.Get("text")), How: named(asked.Get("how"), "typed")}
	if m.Text == "" || len([]rune(m.Text)) > longestMark {
		return AskedMark{}
	}
	keys := r.MarksReading(m.Text)
	if len(keys) == 0 {
		keys = r.MarksEnding(m.Text)
	}
	d := Draft{Capture: record.Capture{At: &record.Spot{Night: night}}}
	k := cardOf{r: r, p: r.Protocol(), d: &d, card: &Card{}, now: night.Noon(r.Zone())}
	for _, key := range keys {
		if c, ok := k.candidate(key); ok {
			m.Known = append(m.Known, c)
		}
	}
	return m
}

// says is what is known of the mark.
func (m AskedMark) says() string {
	var known []string
	for _, c := range m.Known {
		known = append(known, c.Name+" "+c.Says)
	}
	if len(known) == 0 {
		return m.Text + " is not known here."
	}
	return m.Text + ": " + strings.Join(known, "; ") + "."
}

// bagLine is the line of an animal that hangs in a bag, and what it is at first
// sight. It keeps the time at which it went into the same bag.
func (t *Trapside) bagLine(r *http.Request, id uuid.UUID) (record.Capture, error) {
	bag, err := readBag(r.FormValue("bag"))
	species := r.FormValue("species")
	if err == nil && species != "" {
		err = t.knows(species)
	}
	b := &record.Bagged{At: t.now(), Bag: bag, Species: species}
	t.programme.View(func(reg *register.Register) {
		if c, ok := reg.Capture(id); ok && c.Bagged != nil && c.Bagged.Bag == bag {
			b.At = c.Bagged.At
		}
	})
	return record.Capture{Capture: id, Bagged: b}, err
}

// afterBag goes on to the card, or back to the round that the bag was said on.
func afterBag(r *http.Request, id uuid.UUID) string {
	round, err := uuid.Parse(r.FormValue("round"))
	if err != nil {
		return "/bench/" + id.String()
	}
	to := "/round?round=" + round.String()
	if line, err := uuid.Parse(r.FormValue("line")); err == nil {
		to += "&line=" + line.String()
	}
	return to
}
