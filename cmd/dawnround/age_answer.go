package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"dawnround/growth"
)

// An aged is the answer of age: its struct is the JSON.
type aged struct {
	Says    string     `json:"says"`
	Species string     `json:"species"`
	On      string     `json:"on"`
	Age     growth.Age `json:"age"`
	Traits  []string   `json:"traits"` // that the age is from
	Why     string     `json:"why"`    // these
	Sizes   []agedBy   `json:"sizes"`
	Born    born       `json:"born"`
	Exit    *windowed  `json:"pouch_exit"`
	Weaned  *windowed  `json:"weaned"`
	Trip    *onTrip    `json:"next_trip"`
	Notes   []string   `json:"notes"`
	Caution string     `json:"caution"`

	joint growth.Joint
}

// agedBy is what one size gave.
type agedBy struct {
	Trait     string      `json:"trait"`
	Typed     string      `json:"typed"`
	Age       *growth.Age `json:"age,omitempty"`
	Refused   string      `json:"refused,omitempty"`
	Source    string      `json:"source,omitempty"`
	Grade     string      `json:"grade,omitempty"`
	Form      string      `json:"form,omitempty"`
	Fitted    string      `json:"fitted,omitempty"`
	Animals   int         `json:"animals,omitempty"`
	Origin    string      `json:"animals_were,omitempty"`
	TypedBy   string      `json:"typed_by,omitempty"`
	CheckedBy string      `json:"checked_by,omitempty"`
	Note      string      `json:"note,omitempty"`
}

func (row *agedBy) tell(a growth.Age) {
	r := a.Relation
	row.Age, row.Source, row.Grade, row.Form, row.Fitted = &a, r.Name(), r.Grade, r.Form, r.Fitted
	row.Animals, row.Origin, row.TypedBy, row.CheckedBy, row.Note = r.Animals, r.Origin, r.TypedBy, r.CheckedBy, r.Note
}

// born is the birth window.
type born struct {
	EDTF     string `json:"edtf"`    // level 2: one of these days
	Interval string `json:"level_1"` // for readers of level 1
	Earliest string `json:"earliest"`
	Latest   string `json:"latest"`
	How      string `json:"how"`
}

// windowed is a window of days, with its source.
type windowed struct {
	From   string `json:"from"`
	To     string `json:"to"`
	Says   string `json:"says"`
	Source string `json:"source"`
	Grade  string `json:"grade,omitempty"`
	Note   string `json:"note,omitempty"`
}

type onTrip struct {
	First string `json:"first"`
	Last  string `json:"last"`
	growth.Notice
}

const agedCaution = "a reminder, not an approval: your approval, your ethics committee and a veterinarian decide how young are handled"

// conclude tells age, birth, windows and trip.
func (out *aged) conclude(a aging, joint growth.Joint, measured time.Time) {
	out.joint, out.Age, out.Traits, out.Why, out.Caution = joint, joint.Age, joint.Traits, joint.Says, agedCaution
	birth := joint.Birth(measured)
	out.Born = born{EDTF: birth.EDTF(), Interval: birth.Interval(), Latest: birth.Latest.Format(time.DateOnly), How: birth.How}
	if !birth.Earliest.IsZero() {
		out.Born.Earliest = birth.Earliest.Format(time.DateOnly)
	}
	outlook := a.pouch.Outlook(birth)
	out.Exit, out.Weaned = windowOf(outlook.Exit, a.pouch), windowOf(outlook.Weaned, a.pouch)
	if a.trip != nil {
		out.Trip = &onTrip{a.trip[0].Format(time.DateOnly), a.trip[1].Format(time.DateOnly), outlook.On(a.trip[0], a.trip[1])}
	}
	out.note(joint)
	out.Says = fmt.Sprintf("%s on %s: %s; born %s.", out.Species, out.On, joint.Age, birth.EDTF())
}

// note says what the age rests on and leaves open.
func (out *aged) note(joint growth.Joint) {
	add := func(format string, args ...any) { out.Notes = append(out.Notes, fmt.Sprintf(format, args...)) }
	r := joint.Relation
	if joint.Spread != growth.BetweenAnimals && !joint.Newborn {
		add("the band is %s; for the birth window and any warning ± the larger of 7 days and 15 %% is taken [CP]", joint.Spread)
	}
	if r.Species != out.Species {
		add("the relation is of %s", r.Species)
	}
	if r.Origin == "captive" {
		add("captive-based: wild young may grow otherwise")
	}
	if r.Made == nil && r.CheckedBy == "" {
		add("nobody is written to have checked the relation against its source")
	}
	for _, e := range r.Events {
		add("at %g %s: %s", e.Age, orElse(r.AgesIn, "d"), e.Says)
	}
}

func orElse(text, other string) string {
	if text == "" {
		return other
	}
	return text
}

func windowOf(w *growth.Window, life growth.PouchLife) *windowed {
	if w == nil {
		return nil
	}
	out := &windowed{To: w.To.Format(time.DateOnly), Says: w.String(), Source: life.Source, Grade: life.Grade, Note: life.Note}
	if !w.From.IsZero() {
		out.From = w.From.Format(time.DateOnly)
	}
	return out
}

// person prints the answer to be read.
func (out aged) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintln(b, out.Says)
		if out.Trip != nil {
			fmt.Fprintf(b, "next trip, %s: %s.\n", out.Trip.First, out.Trip.Says)
		}
		fmt.Fprintln(b)
		for _, row := range out.Sizes {
			if row.Refused != "" {
				fmt.Fprintf(b, "%s %s: %s\n", row.Trait, row.Typed, row.Refused)
				continue
			}
			fmt.Fprintf(b, "%s %s: %s, band: %s\n", row.Trait, row.Typed, row.Age, row.Age.Spread)
			fmt.Fprintf(b, "  by %s%s; %s, fitted %s%s\n", row.Source, tagged(row.Grade), row.Form, row.Fitted, row.sample())
			if row.Note != "" {
				fmt.Fprintf(b, "  %s\n", row.Note)
			}
		}
		if len(out.Sizes) > 1 {
			fmt.Fprintf(b, "%s\n", out.Why)
		}
		fmt.Fprintf(b, "born: %s (level 1: %s); how: %s\n", out.Born.EDTF, out.Born.Interval, out.Born.How)
		out.Exit.person(b, "leaves the pouch")
		out.Weaned.person(b, "weaned")
		for _, note := range out.Notes {
			fmt.Fprintf(b, "note: %s\n", note)
		}
		fmt.Fprintf(b, "caution: %s\n", out.Caution)
	})(w)
}

func (row agedBy) sample() string {
	text := ""
	if row.Animals > 0 {
		text = ", " + plural(row.Animals, "animal")
	}
	if row.Origin != "" {
		text += ", " + row.Origin
	}
	return text
}

func tagged(grade string) string {
	if grade == "" {
		return ""
	}
	return " [" + grade + "]"
}

func (w *windowed) person(b io.Writer, what string) {
	if w == nil {
		fmt.Fprintf(b, "%s: not known here for this species\n", what)
		return
	}
	fmt.Fprintf(b, "%s: %s (%s%s)\n", what, w.Says, w.Source, tagged(w.Grade))
	if w.Note != "" {
		fmt.Fprintf(b, "  %s\n", w.Note)
	}
}

// readCurve finds the relation in what growth fit printed, or a relation by
// itself.
func readCurve(name string, text []byte) (growth.Relation, error) {
	var fitted struct {
		Relation json.RawMessage `json:"relation"`
	}
	if err := json.Unmarshal(text, &fitted); err == nil && fitted.Relation != nil {
		text = fitted.Relation
	}
	r, err := growth.Read(text)
	if err != nil {
		return r, fmt.Errorf("%s: %w", name, err)
	}
	return r, nil
}
