package exchange

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// A column of a table that goes out: its name, what it means, in which unit
// (a UCUM code), from which words, and the text of one row.
type column = columnOf[*register.Capture]

type columnOf[R any] struct {
	name, about, unit, words string
	cell                     func(R) string
}

// WriteCaptures writes a row for each capture, by night: the table that the
// mapping "own" reads back.
func WriteCaptures(w io.Writer, r *register.Register, p Places) error {
	return writeTable(w, captureColumns(r, p), r.Captures())
}

// captureColumns are those that every table has, then one for each kind of
// mark, measure, sign and kept column that some capture has.
func captureColumns(r *register.Register, p Places) []column {
	return slices.Concat(spotColumns(r), handledColumns(), namedColumns(r), foundColumns(), placeColumns(r, p))
}

func spotColumns(r *register.Register) []column {
	outside := map[string]string{}
	for _, t := range r.Trips() {
		outside[t.Trip.Trip] = t.Outside
	}
	return []column{
		{"capture", "id of the capture; it never changes", "", "UUID", func(c *register.Capture) string { return c.ID().String() }},
		{"animal", "the animal it is taken for, named by the smallest id of its captures", "", "UUID", func(c *register.Capture) string { return idText(c.Animal) }},
		{"trip", "block of nights", "", "", func(c *register.Capture) string { return c.At.Trip }},
		{"trip outside", "why the trip is outside the normal protocol and left out of answers", "", "", func(c *register.Capture) string { return outside[c.At.Trip] }},
		{"site", "place that is trapped, by its code", "", "", func(c *register.Capture) string { return c.At.Site }},
		{"night", "the evening the traps were set", "", "year-month-day", func(c *register.Capture) string { return nightText(c.At.Night) }},
		{"trap", "trap position within the site", "", "", func(c *register.Capture) string { return c.At.Trap }},
		{"place doubt", "what is uncertain about the place", "", "", func(c *register.Capture) string { return c.At.Doubt }},
		{"found", "when the animal was found in the trap", "", "date and time (RFC 3339), UTC", func(c *register.Capture) string { return timeText(c.At.Found) }},
		{"species", "species as handled, by its code; else the first impression", "", "", (*register.Capture).Species},
	}
}

func handledColumns() []column {
	h := func(of func(*record.Handled) string) func(*register.Capture) string {
		return func(c *register.Capture) string {
			if c.Handled == nil {
				return ""
			}
			return of(c.Handled)
		}
	}
	released := func(of func(*record.Released) string) func(*register.Capture) string {
		return func(c *register.Capture) string {
			if c.Released == nil {
				return ""
			}
			return of(c.Released)
		}
	}
	return []column{
		{"sex", "blank: not stated", "", strings.Join(sexes, ", "), h(func(h *record.Handled) string { return string(h.Sex) })},
		{"stage", "life stage of the species sheet", "", "", h(func(h *record.Handled) string { return h.Stage })},
		{"status", "how the animal came to this trap", "", strings.Join(statuses, ", "), h(func(h *record.Handled) string { return string(h.Status) })},
		{"mass", "the animal's own mass", "g", readingWords, h(massText)},
		{"gross mass", "animal and bag", "g", "", h(func(h *record.Handled) string {
			return weighed(h, func(w *record.Weighing) *record.Quantity { return w.Gross })
		})},
		{"bag mass", "the bag", "g", "", h(func(h *record.Handled) string {
			return weighed(h, func(w *record.Weighing) *record.Quantity { return w.Bag })
		})},
		{"handler", "initials", "", "", h(func(h *record.Handled) string { return h.Handler })},
		{"scribe", "initials", "", "", h(func(h *record.Handled) string { return h.Scribe })},
		{"fate", "what became of the animal at this capture; blank: not stated", "", strings.Join(fates, ", "), released(func(b *record.Released) string { return string(b.Fate) })},
		{"why", "why so: cause of death, reason kept or removed", "", "", released(func(b *record.Released) string { return b.Why })},
		{"notes", "as written", "", "", h(func(h *record.Handled) string { return h.Notes })},
	}
}

func massText(h *record.Handled) string {
	if h.Weighing != nil && h.Weighing.Net != nil {
		return h.Weighing.Net.Typed
	}
	if net, ok := h.Weighing.NetMilli(); ok {
		return record.MilliQuantity(net).Typed
	}
	return h.Measures[protocol.Mass].String()
}

func weighed(h *record.Handled, of func(*record.Weighing) *record.Quantity) string {
	if h.Weighing == nil || of(h.Weighing) == nil {
		return ""
	}
	return of(h.Weighing).Typed
}

// namedColumns are a column for each kind of mark and act, each measure, sign
// and kept column in use, by name.
func namedColumns(r *register.Register) []column {
	marks, measures, signs, kept := map[[2]string]bool{}, map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, c := range r.Captures() {
		if c.Handled == nil {
			continue
		}
		for _, m := range c.Handled.Marks {
			marks[[2]string{string(m.Act), m.Kind}] = true
		}
		add(measures, c.Handled.Measures)
		add(signs, c.Handled.Signs)
		add(kept, c.Handled.Unread)
	}
	delete(measures, protocol.Mass) // it is in a column of its own
	var out []column
	for _, m := range slices.SortedFunc(maps.Keys(marks), func(a, b [2]string) int { return slices.Compare(a[:], b[:]) }) {
		out = append(out, markColumn(record.MarkAct(m[0]), m[1]))
	}
	for _, id := range slices.Sorted(maps.Keys(measures)) {
		out = append(out, measureColumn(r.Protocol(), id))
	}
	for _, id := range slices.Sorted(maps.Keys(signs)) {
		out = append(out, signColumn(r.Protocol(), id))
	}
	for _, name := range slices.Sorted(maps.Keys(kept)) {
		out = append(out, column{"kept " + name, "an imported column with no place of its own, word for word", "", "", func(c *register.Capture) string {
			if c.Handled == nil {
				return ""
			}
			return c.Handled.Unread[name]
		}})
	}
	return out
}

func add[V any](to map[string]bool, from map[string]V) {
	for k := range from {
		to[k] = true
	}
}

func markColumn(act record.MarkAct, kind string) column {
	names := map[record.MarkAct][2]string{
		record.MarkRead: {"mark ", "read on the animal"}, record.MarkPut: {"put mark ", "put on the animal"},
		record.MarkGone: {"gone mark ", "found gone"}, record.MarkOld: {"old mark ", "an earlier mark named as evidence; it links nothing"},
	}[act]
	return column{names[0] + kind, kind + ", " + names[1] + "; several are parted by a semicolon", "", "text", func(c *register.Capture) string {
		if c.Handled == nil {
			return ""
		}
		var texts []string
		for _, m := range c.Handled.Marks {
			if m.Kind == kind && m.Act == act && m.Text != "" {
				texts = append(texts, m.Text)
			}
		}
		return several(texts)
	}}
}

// readingWords tells the reader of a table how a measure is written.
const readingWords = "a number; ~ before it: roughly; more after it: measured again, and the last counts; damaged after it; or: none seen, not checked: why"

func measureColumn(p *protocol.Protocol, id string) column {
	c := column{name: "measure " + id, about: "a measure, by its id in the protocol", words: readingWords, cell: func(c *register.Capture) string {
		if c.Handled == nil {
			return ""
		}
		return c.Handled.Measures[id].String()
	}}
	trait, _, _ := strings.Cut(id, ".")
	for _, s := range p.Species {
		for _, t := range s.Traits {
			if t.ID == trait && c.unit == "" {
				c.unit, c.about = t.Unit, strings.TrimSuffix(t.Name+", "+t.Convention, ", ")
			}
		}
	}
	return c
}

func signColumn(p *protocol.Protocol, id string) column {
	c := column{name: "sign " + id, about: "a sign, by its id in the protocol", cell: func(c *register.Capture) string {
		if c.Handled == nil {
			return ""
		}
		s := c.Handled.Signs[id]
		return either(s.Value, stateText(s.State, s.Why))
	}}
	for _, s := range p.Species {
		for _, sign := range s.Signs {
			if sign.ID == id && c.words == "" {
				c.about = sign.Name
				var words []string
				for _, v := range sign.Values {
					words = append(words, v.ID)
				}
				c.words = strings.Join(append(words, "none seen", "not checked: why"), ", ")
			}
		}
	}
	return c
}

func stateText(s record.State, why string) string {
	if why == "" {
		return string(s)
	}
	return string(s) + ": " + why
}

// foundColumns sum up what has no column of its own; they are not read back.
func foundColumns() []column {
	of := func(f func(*record.Handled) []string) func(*register.Capture) string {
		return func(c *register.Capture) string {
			if c.Handled == nil {
				return ""
			}
			return several(f(c.Handled))
		}
	}
	return []column{
		{"findings", "part, side, sign, grade or count of each", "", "", of(func(h *record.Handled) (out []string) {
			for _, f := range h.Findings {
				out = append(out, findingText(f))
			}
			return out
		})},
		{"samples", "kind and label of each", "", "", of(func(h *record.Handled) (out []string) {
			for _, s := range h.Samples {
				out = append(out, s.Kind+" "+s.Label)
			}
			return out
		})},
		{"chip looked for", "none found, or not looked for and why, where no chip was read", "", "none found, nc why", of(func(h *record.Handled) []string {
			return slices.DeleteFunc([]string{h.Scan}, func(s string) bool { return s == "" })
		})},
		{"young", "how many young have a row at this capture", "", "", of(func(h *record.Handled) (out []string) {
			if len(h.Young) > 0 {
				out = []string{strconv.Itoa(len(h.Young))}
			}
			return out
		})},
	}
}

func findingText(f record.Finding) string {
	words := []string{f.Part, f.Side, f.Sign, string(f.State), f.Grade, f.Class}
	if f.Count != nil {
		words = append(words, fmt.Sprint(*f.Count))
	}
	return strings.Join(slices.DeleteFunc(words, func(w string) bool { return w == "" }), " ")
}

func nightText(n record.Night) string {
	if n.IsZero() {
		return ""
	}
	return n.String()
}

func timeText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}
