package check

import (
	"fmt"
	"math"

	"dawnround/protocol"
	"dawnround/record"
)

// massAgainstLength holds an adult's mass against its lengths; the first that
// does not go with it is enough.
func massAgainstLength(k *card) []found {
	u, mass := k.usual(), int64(0)
	if u == nil || !k.adult(k.Capture) {
		return nil
	}
	mass, ok := k.h.MassMilli()
	if !ok || mass <= 0 {
		return nil
	}
	for i := range k.sheet.Traits {
		t := &k.sheet.Traits[i]
		l, known := u.mass[t.ID]
		length, measured := lengthOf(k.h, t)
		if !known || !measured {
			continue
		}
		mean := l.at(math.Log(length))
		if math.Abs(math.Log(float64(mass))-mean) <= massSD*l.sd {
			continue
		}
		now := record.MilliQuantity(mass).Typed
		low, high := math.Exp(mean-massSD*l.sd)/1000, math.Exp(mean+massSD*l.sd)/1000
		return []found{{
			field:    k.massField(),
			says:     fmt.Sprintf("Mass %s g does not go with %s %s: %.0f–%.0f g is usual here (3.5 s.d., %d animals). One of the two is wrong; again?", now, called(t, t.ID), short(length), low, high, l.n),
			evidence: fmt.Sprintf("mass %s, %s %s", now, t.ID, short(length)),
		}}
	}
	return nil
}

// usual is what the population says of this species, nil where it is silent.
func (k *card) usual() *usual {
	if k.population == nil {
		return nil
	}
	return k.population.of[k.sheet.Code]
}

// pesAndHead are an adult's two lengths, in millimetres.
func pesAndHead(h *record.Handled, sheet *protocol.Sheet) (foot, skull float64, ok bool) {
	footTrait, ok1 := sheet.Trait(pes)
	skullTrait, ok2 := sheet.Trait(head)
	if !ok1 || !ok2 {
		return 0, 0, false
	}
	foot, ok1 = lengthOf(h, footTrait)
	skull, ok2 = lengthOf(h, skullTrait)
	return foot, skull, ok1 && ok2
}

// honest is how far pes over head may be off by honest readings of the two.
func (k *card) honest(foot, skull float64) float64 {
	footTrait, _ := k.sheet.Trait(pes)
	skullTrait, _ := k.sheet.Trait(head)
	return foot / skull * math.Hypot(k.limit(footTrait).milli/1000/foot, k.limit(skullTrait).milli/1000/skull)
}

// pesAgainstHead asks whether the two were swapped. One animal in a hundred
// lies outside the percentiles by their meaning, so the ratio must lie beyond
// them by more than honest readings differ.
func pesAgainstHead(k *card) []found {
	u := k.usual()
	if u == nil || len(u.ratio) < enough || !k.adult(k.Capture) {
		return nil
	}
	foot, skull, ok := pesAndHead(k.h, k.sheet)
	if !ok {
		return nil
	}
	ratio, off := foot/skull, k.honest(foot, skull)
	low, high := share(u.ratio, lowShare), share(u.ratio, highShare)
	if ratio >= low-off && ratio <= high+off {
		return nil
	}
	return []found{{
		field:    "measures/" + pes,
		says:     fmt.Sprintf("Pes %s and head %s do not go together: pes over head is %s, usual here %s–%s (%d animals). Swapped? Again?", short(foot), short(skull), short(ratio), short(low), short(high), len(u.ratio)),
		evidence: fmt.Sprintf("pes %s, head %s", short(foot), short(skull)),
	}}
}
