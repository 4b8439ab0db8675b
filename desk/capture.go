package desk

import (
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// CapturePage is everything of one capture, each value with the line it came
// from.
type CapturePage struct {
	Capture  uuid.UUID     `json:"capture"`
	Animal   uuid.UUID     `json:"animal,omitzero"`
	Name     string        `json:"name"`
	Night    record.Night  `json:"night,omitzero"`
	Trip     string        `json:"trip,omitempty"`
	Place    string        `json:"place"`
	Lede     string        `json:"lede"`
	Lines    []StatedLine  `json:"lines"`
	Flags    []Flag        `json:"flags,omitempty"`
	Disputes []Item        `json:"disputes,omitempty"`
	Steps    []Step        `json:"steps,omitempty"`
	Unread   []page.Pair   `json:"unread,omitempty"` // imported columns with no place of their own
	From     string        `json:"from,omitempty"`   // the row of a table it was read from
	Paper    bool          `json:"paper,omitempty"`  // typed in from a sheet of paper afterwards
	Notes    []record.Note `json:"notes,omitempty"`
	Photos   []Photo       `json:"photos,omitempty"`
}

// StatedLine is one line of a capture with its values.
type StatedLine struct {
	Written
	Values []Value `json:"values"`
}

// Value is one field of a line with what stood there before.
type Value struct {
	Field
	Changes []Change `json:"changes,omitempty"`
}

// before is what stood there, each once, oldest first.
func (v Value) before() []string {
	var out []string
	for _, c := range v.Changes {
		if c.Was != "nothing" && !slices.Contains(out, c.Was) {
			out = append(out, c.Was)
		}
	}
	return out
}

// Step is one phrase or edit at the bench. Struck: it was taken back, or another
// stands in its place.
type Step struct {
	At     string `json:"at"`
	By     string `json:"by,omitempty"`
	Field  string `json:"field,omitempty"`
	Typed  string `json:"typed"`
	Struck bool   `json:"struck,omitempty"`
	Said   bool   `json:"said,omitempty"`  // a phrase, word for word
	Words  string `json:"words,omitempty"` // those of the phrase that gave it
	Asked  string `json:"asked,omitempty"` // the question that was put about it
	Undo   bool   `json:"undo,omitempty"`  // it takes back what is named
}

// steps are the phrases and edits of one handling, in order.
func (w words) steps(sheet *protocol.Sheet, all []record.Step, night record.Night) []Step {
	stands, last := map[int]bool{}, map[string]int{}
	for _, i := range record.Standing(all) {
		stands[i], last[all[i].Field] = true, i
	}
	phrases := map[int]string{}
	for _, s := range record.Phrases(all) {
		phrases[s.Phrase] = s.Typed
	}
	var out []Step
	for i, s := range all {
		step := Step{At: w.clock(s.At, night), By: s.By, Typed: s.Typed, Said: s.Field == record.Said, Undo: s.Struck}
		step.Struck = !s.Struck && (!stands[i] || !step.Said && last[s.Field] != i)
		field, asked := strings.CutPrefix(s.Field, "doubts/")
		if !step.Said {
			step.Field = w.label(sheet, strings.Split(field, "/"))
			step.Words = spoken(phrases[s.Phrase], s.From, s.To)
		}
		switch {
		case asked && s.Doubt == nil:
			step.Asked = "settled"
		case asked:
			step.Asked = s.Doubt.Says
		}
		out = append(out, step)
	}
	return out
}

// spoken are the words of a phrase from one byte to another.
func spoken(phrase string, from, to int) string {
	if from < 0 || from >= to || to > len(phrase) {
		return ""
	}
	return strings.TrimSpace(phrase[from:to])
}

func (d *desk) capture(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words words) shown {
		c, ok := words.capture(pathID(r))
		if !ok {
			return shown{}
		}
		return shown{c.Name + ", " + short(c.Night), page.Animals, c, func(f page.Frame) templ.Component { return capturePage(f, c) }}
	})
}

// CaptureAt is one capture by its id; false where no line states it.
func CaptureAt(r *register.Register, id uuid.UUID, now time.Time) (CapturePage, bool) {
	return wordsOf(r, now).capture(id)
}

func (w words) capture(id uuid.UUID) (CapturePage, bool) {
	lines := w.LinesStating(id)
	if len(lines) == 0 {
		return CapturePage{}, false
	}
	p := CapturePage{Capture: id, Name: "a capture whose lines are struck", Notes: w.Notes(id.String()), Photos: w.photos(w.AttachmentsAt(id))}
	c, stands := w.Capture(id)
	if stands {
		p.Animal, p.Name, p.Night, p.Trip, p.Place = c.Animal, w.name(c.Animal), c.At.Night, c.At.Trip, spot(c)
		p.Flags = w.flagsOf(id)
		for _, item := range w.openCapture(c) {
			if item.Kind == TwoVersions || item.Kind == Unreleased {
				p.Disputes = append(p.Disputes, item)
			}
		}
		w.handled(&p, c)
	}
	for _, e := range lines {
		p.Lines = append(p.Lines, w.stated(e, p.Night))
	}
	return p, true
}

// handled adds what only a processing line holds.
func (w words) handled(p *CapturePage, c *register.Capture) {
	if c.From != nil {
		p.From = c.From.File + ", row " + c.From.Row
	}
	h := c.Handled
	if h == nil {
		p.Lede = "Not processed."
		return
	}
	p.Lede = sentence(joined(", ", spaced(string(h.Sex), h.Stage, w.species(h.Species)), string(h.Status), times(w, h, p.Night)))
	for _, k := range sorted(h.Unread) {
		p.Unread = append(p.Unread, page.Pair{Term: k, Is: h.Unread[k]})
	}
	p.Steps = w.steps(w.sheet(h.Species), h.Steps, p.Night)
	p.Paper = fromPaper(h.Steps)
}

// fromPaper tells whether what was handled was typed in from a sheet.
func fromPaper(steps []record.Step) bool {
	return slices.ContainsFunc(record.Standing(steps), func(i int) bool {
		return steps[i].Field == "source" && steps[i].Typed == "paper"
	})
}

// says is what a step says; what was only taken away says so.
func (s Step) says() string {
	switch {
	case s.Undo:
		return "taken back: " + s.Typed
	case s.Said:
		return "“" + s.Typed + "”"
	case s.Typed == "" && s.Asked == "":
		return "taken away"
	}
	return s.Typed
}

// about is the field of a step, the words it came from and what was asked.
func (s Step) about() string {
	from := s.Words
	if from != "" {
		from = "from “" + from + "”"
	}
	asked := s.Asked
	if asked != "" && asked != "settled" {
		asked = "asked: " + asked
	}
	return joined(", ", s.Field, from, asked)
}

// times says when an animal was handled and how long.
func times(w words, h *record.Handled, night record.Night) string {
	if h.Start.IsZero() || h.End.IsZero() {
		return ""
	}
	return "handled " + w.clock(h.Start, night) + "–" + w.clock(h.End, night) + " (" + page.Minutes(h.End.Sub(h.Start)) + ")"
}

// stated is one line with its values, and what corrections made of each.
func (w words) stated(e *register.Entry, night record.Night) StatedLine {
	out := StatedLine{Written: w.line(e, night)}
	body := e.Now()
	if body == nil {
		body = e.Body
	}
	if body == nil {
		return out
	}
	changes := slices.Clone(out.Changes)
	for _, f := range w.fields(body, false) {
		v := Value{Field: f}
		changes = slices.DeleteFunc(changes, func(c Change) bool {
			mine := c.Pointer == f.Pointer || strings.HasPrefix(c.Pointer, f.Pointer+"/")
			if mine {
				v.Changes = append(v.Changes, c)
			}
			return mine
		})
		out.Values = append(out.Values, v)
	}
	for _, c := range changes { // a field that was taken away, or a whole part
		out.Values = append(out.Values, Value{Field: Field{Pointer: c.Pointer, Label: c.Field, Text: ""}, Changes: []Change{c}})
	}
	return out
}

// Text writes the capture for a terminal.
func (p CapturePage) Text(out io.Writer) {
	fmt.Fprintf(out, "%s, %s, %s\n%s\n", p.Name, p.Night, p.Place, p.Lede)
	for _, f := range p.Flags {
		fmt.Fprintf(out, "! %s%s\n", f.says(), map[bool]string{true: " (settled)"}[f.Settled])
	}
	for _, l := range p.Lines {
		fmt.Fprintln(out)
		writeLines(out, []Written{l.Written})
		for _, v := range l.Values {
			fmt.Fprintf(out, "              %-24s %s\n", v.Label, v.Text)
		}
	}
	writePhotos(out, p.Photos)
	for _, s := range p.Steps {
		fmt.Fprintf(out, "  %-5s  %-3s  %s\n", s.At, s.By, joined("  ", s.says(), s.about()))
	}
}
