package check

import (
	"fmt"
	"math"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

func beyondRange(k *card) []found  { return k.ranges(true) }
func outsideRange(k *card) []found { return k.ranges(false) }

// A span is what a value must lie within, in thousandths, both ends included.
type span struct{ from, to int64 }

func (s span) holds(milli int64) bool { return s.from <= milli && milli <= s.to }

// spans gives a range's plausible span and, where there is one, what it can
// never be outside.
func spans(r protocol.Range) (usual span, never *span) {
	usual = span{milli(r.From), milli(r.To)}
	if len(r.Never) == 2 {
		never = &span{milli(r.Never[0]), milli(r.Never[1])}
	}
	return usual, never
}

func milli(x float64) int64 { return int64(math.Round(x * 1000)) }

// ranges holds values against the sheet: what can never be, or what is
// plausible but not beyond it.
func (k *card) ranges(beyond bool) []found {
	var out []found
	add := func(field, name, unit string, q record.Quantity, ranges []protocol.Range) {
		if f, ok := judge(q, ranges, beyond); ok {
			f.field = field
			f.says = fmt.Sprintf("%s %s %s %s", capital(name), q.Typed, unit, f.says)
			f.evidence = fmt.Sprintf("%s %s", field, q.Typed)
			out = append(out, f)
		}
	}
	if net, ok := k.h.MassMilli(); ok {
		if t, ok := k.sheet.Trait(protocol.Mass); ok {
			add(k.massField(), called(t, t.ID), t.Unit, record.MilliQuantity(net), k.rangesOf(t.ID))
		}
	}
	for _, key := range sortedKeys(k.h.Measures) {
		r := k.h.Measures[key]
		if t, ok := k.trait(key); ok && t.ID != protocol.Mass && r.Is() == record.Seen {
			add("measures/"+key, called(t, key), t.Unit, r.Counts(), k.rangesOf(t.ID))
		}
	}
	for i, y := range k.h.Young {
		for _, key := range sortedKeys(y.Measures) {
			r := y.Measures[key]
			id, _, _ := strings.Cut(key, ".")
			if t, ok := k.sheet.YoungTrait(id); ok && r.Is() == record.Seen {
				add(youngField(i), "young's "+called(t, key), t.Unit, r.Counts(), k.youngRanges(t, y.Sex))
			}
		}
	}
	return out
}

func (k *card) rangesOf(trait string) []protocol.Range {
	if r, ok := k.sheet.Range(trait, k.sex(), k.h.Stage); ok {
		return []protocol.Range{r}
	}
	return nil
}

// youngRanges are the ranges of a young's trait at every stage with its
// mother, since its row does not say which it is in.
func (k *card) youngRanges(t *protocol.Trait, sex record.Sex) []protocol.Range {
	var out []protocol.Range
	for _, g := range k.sheet.Stages {
		if r, ok := t.Range(sex, g.ID); ok && g.Young {
			out = append(out, r)
		}
	}
	if r, ok := t.Range(sex, ""); ok && len(out) == 0 {
		out = append(out, r)
	}
	return out
}

// judge holds a value against ranges of which any one may hold it.
func judge(q record.Quantity, ranges []protocol.Range, beyond bool) (found, bool) {
	possible := false
	for _, r := range ranges {
		usual, never := spans(r)
		if usual.holds(q.Milli) {
			return found{}, false
		}
		possible = possible || never == nil || never.holds(q.Milli)
	}
	if len(ranges) == 0 || possible == beyond {
		return found{}, false
	}
	usual, never := spans(ranges[0])
	if beyond {
		return found{says: "cannot be: never outside " + never.words(ranges[0]) + ". Again?"}, true
	}
	return found{says: "is outside " + usual.words(ranges[0]) + ". Again?"}, true
}

// words says a span, with the source of its range.
func (s span) words(r protocol.Range) string {
	says := record.MilliQuantity(s.from).Typed + "–" + record.MilliQuantity(s.to).Typed
	if r.Stage != "" || r.Sex != "" {
		says += " for " + strings.TrimSpace(r.Sex+" "+r.Stage)
	}
	if r.Source != "" {
		says += " (" + r.Source + ")"
	}
	return says
}

func notOfThisSex(k *card) []found {
	sex := k.sex()
	if !told(sex) {
		return nil
	}
	var out []found
	add := func(field, name, of string) {
		if of != "" && of != string(sex) {
			out = append(out, found{
				field:    field,
				says:     fmt.Sprintf("%s belongs to a %s, and this is a %s. Which is right?", capital(name), of, sex),
				evidence: fmt.Sprintf("%s; %s", field, sex),
			})
		}
	}
	for _, key := range sortedKeys(k.h.Measures) {
		if t, ok := k.trait(key); ok && k.h.Measures[key].Is() == record.Seen {
			add("measures/"+key, called(t, key), t.Sex)
		}
	}
	for _, id := range sortedKeys(k.h.Signs) {
		if g, ok := k.sheet.Sign(id); ok && k.h.Signs[id].Is() == record.Seen {
			add("signs/"+id, id, g.Sex)
		}
	}
	return out
}
