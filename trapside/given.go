package trapside

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"dawnround/call"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// given is the scene before a phrase about the animal of a card: what is
// recorded so far, whose turn it is, last time's values, and what was asked.
// What a phrase is compared with on file is added when it is known what it
// names; see [onFile].
func (k *cardOf) given() call.Given {
	d := k.d
	g := call.Given{
		SoFar: soFar(*d), Order: k.numbersInOrder(), OrderAt: k.numberNext(), Asked: k.askedFor(), Source: d.Said["source"],
		NotTared: d.Said["weighing/tared"] == "no", Sex: string(k.sex()), Incident: k.incidentRuns(),
	}
	if g.OrderAt == "" {
		g.Order = nil
	}
	for _, s := range d.Steps {
		if s.Doubt != nil && !byRow(s.Doubt.About) && strings.Contains(s.Doubt.About, "/") {
			g.Questions = append(g.Questions, s.Doubt.About)
		}
	}
	if q, ok := d.lastDoubt(); ok && (q.Held || len(q.Among) < 2 && q.Value != "") {
		g.ReadBack = []call.Known{{At: q.About, Value: bareValue(q.Value)}}
	}
	if len(bearersOf(k.r, *d)) == 1 {
		g.ReadBack = append(g.ReadBack, call.Known{At: "marks/" + transponder(k.p) + "/tail", Value: d.Asked})
	}
	if k.sheet != nil {
		g.Litter = k.sheet.Litter > 1
	}
	if at := d.Capture.At; at != nil {
		for _, t := range k.r.Traps(at.Site, at.Night) {
			g.Traps = append(g.Traps, t.Trap)
		}
	}
	if h := d.Capture.Handled; h != nil {
		g.Stage, g.LitterSize, g.SameTrip = h.Stage, len(h.Young), h.Status == record.Retrap
	}
	k.lastTime(&g)
	return g
}

// soFar is what stands of an animal, in the order it was recorded, by the
// addresses of a phrase.
func soFar(d Draft) []call.Known {
	var out []call.Known
	young := 0
	for _, i := range record.Standing(d.Steps) {
		s := d.Steps[i]
		said, ok := d.Said[s.Field]
		if !ok || said != s.Typed || said == "" || d.Wrong[s.Field] != "" {
			continue
		}
		if strings.HasPrefix(s.Field, "young/") && strings.Count(s.Field, "/") == 1 {
			young++
		} else if k, ok := d.known(s); ok {
			out = append(out, k)
		}
	}
	if young > 0 {
		out = append(out, call.Known{At: "young/count", Value: strconv.Itoa(young)})
	}
	return out
}

// known is a step that stands, by the address of a phrase; false for what a
// later phrase is not compared with.
func (d *Draft) known(s record.Step) (call.Known, bool) {
	parts := strings.Split(s.Field, "/")
	value := bareValue(s.Typed)
	_, _, stated := record.ParseState(s.Typed)
	switch {
	case parts[0] == "measures" && len(parts) == 2 && !stated:
		return call.Known{At: s.Field, Value: value, Side: d.Said[s.Field+"/side"]}, true
	case parts[0] == "weighing" && parts[1] != "bag_after" && parts[1] != "tared" && !stated:
		return call.Known{At: s.Field, Value: value}, true
	case parts[0] == "signs" && len(parts) == 2 && (!stated || s.Typed == "no"):
		return call.Known{At: s.Field, Value: s.Typed}, true
	case parts[0] == "marks" && len(parts) == 4:
		at, side := "marks/"+parts[2], d.Said["marks/"+parts[1]+"/side"]
		if side != "" {
			at += "." + side
		}
		return call.Known{At: at + "/text", Value: s.Typed, Side: side}, true
	case s.Field == "sex" || s.Field == "stage" || s.Field == "status" || s.Field == "species":
		return call.Known{At: s.Field, Value: s.Typed}, true
	}
	return call.Known{}, false
}

// bareValue is the number of a reading without what is said about it; other
// words as they are.
func bareValue(typed string) string {
	if r, err := record.ParseReading(strings.TrimSpace(strings.TrimSuffix(typed, "g"))); err == nil && r.Is() == record.Seen {
		return r.Typed
	}
	return typed
}

// byRow tells whether an address is of a row that is numbered within one phrase.
func byRow(at string) bool {
	head, _, _ := strings.Cut(at, "/")
	return head == "findings" || head == "samples" || head == "young" || head == "teats" || head == "incidents" || head == "checks"
}

// numbersInOrder are the rows of the card that take a bare number.
func (k *cardOf) numbersInOrder() []string {
	var out []string
	for _, r := range k.card.Rows {
		switch r.Kind {
		case "measure":
			out = append(out, "measures/"+r.Key)
		case "weight":
			out = append(out, "weighing/bag")
		}
	}
	return out
}

// numberNext is the row that a bare number fills, if it is the turn of one that
// takes a number. Of a weight only the bag is plain, once the gross is said.
func (k *cardOf) numberNext() string {
	for _, r := range k.card.Rows {
		switch {
		case !r.Next || slices.ContainsFunc(r.Doubts, Doubt.ofSide):
		case r.Kind == "measure":
			return "measures/" + r.Key
		case r.Kind == "weight" && k.d.Said["weighing/gross"] != "" && k.d.Said["weighing/bag"] == "":
			return "weighing/bag"
		}
	}
	return ""
}

// askedFor is what the next words are expected to say: the answer to an open
// question, or a mark where it is the turn of the marks.
func (k *cardOf) askedFor() string {
	if q, ok := k.d.lastDoubt(); ok {
		if strings.Contains(q.About, "/") && !byRow(q.About) && !q.ofSide() {
			return q.About
		}
		return ""
	}
	if kind := transponder(k.p); kind != "" && k.card.turnOf("marks") {
		return "marks/" + kind + "/text"
	}
	return k.flagged()
}

// flagged is the field that was written last, if a flag asks for it again.
func (k *cardOf) flagged() string {
	at, field := k.lastWritten()
	if at < 0 || !strings.HasPrefix(field, "measures/") && !strings.HasPrefix(field, "weighing/") {
		return ""
	}
	for _, f := range k.card.Rows[at].Flags {
		if f.Field == field && !f.Kept && f.Grade != string(record.Remark) {
			return field
		}
	}
	return ""
}

// transponder is the programme's kind of transponder; empty: it has none.
func transponder(p *protocol.Protocol) string {
	for _, m := range p.Marks {
		if m.Form == protocol.Transponder {
			return m.ID
		}
	}
	return ""
}

// quietMinutes is how long nothing is asked after something went wrong:
// common practice is to record and be quiet; the time is our own.
const quietMinutes = 2

// incidentRuns tells whether something just went wrong.
func (k *cardOf) incidentRuns() bool {
	for _, i := range record.Standing(k.d.Steps) {
		if s := k.d.Steps[i]; strings.HasPrefix(s.Field, "incidents/") && k.now.Sub(s.At) < quietMinutes*time.Minute {
			return true
		}
	}
	return false
}

// lastTime adds what was read at the animal's capture before.
func (k *cardOf) lastTime(g *call.Given) {
	if k.animal == nil {
		return
	}
	last, ok := lastOf(k.animal, k.card.ID)
	if !ok || last.Handled == nil {
		return
	}
	g.LastStage = last.Handled.Stage
	if g.Stage == "" {
		g.Stage = stageOf(k.animal, k.card.ID)
	}
	g.Last = readings(last.Handled)
	if at := last.Time(); !at.IsZero() {
		g.Last = append(g.Last, call.Known{At: "hours ago", Value: strconv.FormatFloat(k.now.Sub(at).Hours(), 'f', 0, 64)})
	}
	for _, c := range k.animal.Captures {
		if c.ID() == k.card.ID || c.Handled == nil {
			continue
		}
		for _, s := range c.Handled.Samples {
			g.Samples = append(g.Samples, s.Kind)
		}
	}
}

// readings are the sound measures of a handling, by address.
func readings(h *record.Handled) []call.Known {
	var out []call.Known
	for _, key := range sortedNumbers(h.Measures) {
		if r := h.Measures[key]; r.Is() == record.Seen && !r.Damaged && key != protocol.Mass {
			out = append(out, call.Known{At: "measures/" + key, Value: r.Counts().Typed, Side: r.Side})
		}
	}
	if net, ok := h.MassMilli(); ok {
		out = append(out, call.Known{At: "weighing/net", Value: record.MilliQuantity(net).Typed})
	}
	return out
}

// onFile adds what is on file of the marks and labels that a phrase names. It
// tells whether there is anything.
func onFile(r *register.Register, night record.Night, inDrafts map[string]bool, h call.Heard, g *call.Given) bool {
	for _, f := range h.Fields {
		switch {
		case strings.HasPrefix(f.At, "marks/") && f.Value != "" && (strings.HasSuffix(f.At, "/text") || strings.HasSuffix(f.At, "/tail")):
			g.Marks = append(g.Marks, marksLike(r, night, f.Value)...)
		case strings.HasPrefix(f.At, "samples/") && strings.HasSuffix(f.At, "/label") && (inDrafts[f.Value] || len(r.LabelUse(f.Value)) > 0):
			g.Labels = append(g.Labels, f.Value)
		}
	}
	return len(g.Marks)+len(g.Labels) > 0
}

// marksLike are the transponders on file that read or end so, or are one slip
// away.
func marksLike(r *register.Register, night record.Night, text string) []call.KnownMark {
	keys := append(r.MarksReading(text), r.MarksEnding(text)...)
	if len(keys) == 0 {
		keys = r.MarksNear(text)
	}
	var out []call.KnownMark
	for _, key := range keys {
		m := call.KnownMark{Kind: key.Kind, Text: key.Text}
		if id, ok := r.Bearer(key, record.MarkRead, night); ok {
			if a, ok := r.Animal(id); ok {
				m.Sex = string(sexOf(a, uuid.Nil))
			}
		}
		out = append(out, m)
	}
	return out
}
