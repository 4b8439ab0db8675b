package check

import (
	"fmt"
	"slices"

	"dawnround/record"
	"dawnround/register"
)

func takes(c *register.Capture, kind string) bool {
	return slices.ContainsFunc(handled(c).Samples, func(s record.Sample) bool { return s.Kind == kind })
}

func (k *card) once(kind string) bool {
	s, ok := k.protocol.Sample(kind)
	return ok && s.Once
}

// sampledBefore warns before the punch: it speaks while the animal is in the
// hand and no sample of that kind is called yet.
func sampledBefore(k *card) []found {
	if !k.draft {
		return nil
	}
	var out []found
	for _, kind := range k.protocol.Samples {
		c := k.last(func(c *register.Capture) bool { return takes(c, kind.ID) })
		if !kind.Once || c == nil || takes(k.Capture, kind.ID) {
			continue
		}
		out = append(out, found{
			field:    "samples",
			says:     fmt.Sprintf("%s taken %s: once per animal, no second.", capital(kind.ID), k.when(c)),
			evidence: fmt.Sprintf("%s on %s", kind.ID, on(c)),
			beside:   beside(c),
		})
	}
	return out
}

func sampledAgain(k *card) []found {
	var out []found
	for i, s := range k.h.Samples {
		if !k.once(s.Kind) {
			continue
		}
		if slices.ContainsFunc(k.h.Samples[:i], func(o record.Sample) bool { return o.Kind == s.Kind }) {
			out = append(out, found{field: "samples", says: fmt.Sprintf("%s twice from one animal.", capital(s.Kind)), evidence: s.Kind + " twice, " + s.Label})
			continue
		}
		if c := k.last(func(c *register.Capture) bool { return takes(c, s.Kind) }); c != nil {
			out = append(out, found{
				field:    "samples",
				says:     fmt.Sprintf("%s was taken %s already, and it is taken once per animal.", capital(s.Kind), k.when(c)),
				evidence: fmt.Sprintf("%s %s; before on %s", s.Kind, s.Label, on(c)),
				beside:   beside(c),
			})
		}
	}
	return out
}

func labelUsedBefore(k *card) []found {
	var out []found
	for i, s := range k.h.Samples {
		if s.Label == "" {
			continue
		}
		if slices.ContainsFunc(k.h.Samples[:i], func(o record.Sample) bool { return o.Label == s.Label }) {
			out = append(out, found{field: "samples", says: fmt.Sprintf("Label %s stands twice here. Read it back?", s.Label), evidence: s.Label + " twice"})
			continue
		}
		for _, c := range k.register.LabelUse(s.Label) {
			if c.ID() != k.ID() && k.comesAfter(c) {
				out = append(out, found{
					field:    "samples",
					says:     fmt.Sprintf("Label %s was used %s at %s. Read it back?", s.Label, k.when(c), spot(c)),
					evidence: fmt.Sprintf("%s on %s", s.Label, on(c)),
					beside:   beside(c),
				})
				break
			}
		}
	}
	return out
}

// comesAfter reports that this capture is the later of the two, of whatever
// animals; a draft comes after all that is kept.
func (k *card) comesAfter(c *register.Capture) bool {
	return k.draft || c.Compare(k.Capture) < 0
}

func labelOutsideSeries(k *card) []found {
	var out []found
	for _, s := range k.h.Samples {
		kept := k.reservedFor(s.Kind)
		if s.Label == "" || len(kept) == 0 || slices.ContainsFunc(kept, func(l reserved) bool { return l.series.Contains(s.Label) }) {
			continue
		}
		out = append(out, found{
			field:    "samples",
			says:     fmt.Sprintf("Label %s is in no series kept for %s (%s …). Read it back?", s.Label, s.Kind, kept[0].Series),
			evidence: fmt.Sprintf("%s %s", s.Kind, s.Label),
		})
	}
	return out
}
