package check

import (
	"fmt"
	"math"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

const (
	bagFromMilli, bagToMilli = 20_000, 300_000 // grams of a bag, thousandths [CP]
	largeAdultMilli          = 250_000         // bags of smaller animals weigh less than 20 g

	tripNights  = 4     // within which mass should hold [CP]
	tripFall    = -0.12 // 3–8 % mean overnight loss in possums: Cowan et al. 2013 [S]; bound [CP]
	tripRise    = 0.08  // [CP]
	betweenTrip = 0.35  // of the natural logarithm [CP]
)

// massField is the row that shows the animal's mass.
func (k *card) massField() string {
	if k.h.Weighing != nil {
		return "weighing"
	}
	return "measures/" + protocol.Mass
}

// netIsGrossLessBag holds the net as said against the other two; either
// weighing of the bag will do.
func netIsGrossLessBag(k *card) []found {
	w := k.h.Weighing
	if w == nil || w.Net == nil || w.Gross == nil || w.Bag == nil && w.BagAfter == nil {
		return nil
	}
	bag := w.Bag
	for _, b := range []*record.Quantity{w.Bag, w.BagAfter} {
		if b != nil {
			if w.Gross.Milli-b.Milli == w.Net.Milli {
				return nil
			}
			bag = b
		}
	}
	return []found{{
		field:    "weighing",
		says:     fmt.Sprintf("%s less bag %s is %s, not %s. Which is right?", w.Gross.Typed, bag.Typed, record.MilliQuantity(w.Gross.Milli-bag.Milli).Typed, w.Net.Typed),
		evidence: fmt.Sprintf("gross %s, bag %s, net %s", w.Gross.Typed, bag.Typed, w.Net.Typed),
	}}
}

// notAboveZero needs no sheet: whatever the species, nothing weighs less than
// its bag.
func notAboveZero(k *card) []found {
	net, ok := k.h.MassMilli()
	if !ok || net > 0 {
		return nil
	}
	is := record.MilliQuantity(net).Typed
	w := k.h.Weighing
	if w != nil && w.Net == nil && w.Gross != nil {
		bag := w.BagAfter
		if bag == nil {
			bag = w.Bag
		}
		if bag != nil {
			is = fmt.Sprintf("%s less bag %s is %s", w.Gross.Typed, bag.Typed, is)
		}
	}
	return []found{{
		field:    k.massField(),
		says:     fmt.Sprintf("Mass %s: no animal weighs that. Which number is wrong?", is),
		evidence: "mass " + is,
	}}
}

// unlikelyBag asks about a bag outside 20–300 g. The bounds were made for
// animals of a kilogram or so: a bag for a 20 g mouse weighs 5 g, so they
// hold only where adults of the sheet are above 250 g. An odd bag can be, so
// it is looked at and does not stop anybody.
func unlikelyBag(k *card) []found {
	w := k.h.Weighing
	if w == nil || k.adultMassMilli() <= largeAdultMilli {
		return nil
	}
	for _, bag := range []*record.Quantity{w.Bag, w.BagAfter} {
		if bag != nil && (bag.Milli < bagFromMilli || bag.Milli > bagToMilli) {
			return []found{{
				field:    "weighing",
				says:     fmt.Sprintf("A bag of %s g? Bags are 20–300 g (%s). Weigh the bag again?", bag.Typed, practice),
				evidence: "bag " + bag.Typed,
			}}
		}
	}
	return nil
}

// adultMassMilli is the middle of the sheet's range of an adult's mass, zero
// where it has none.
func (k *card) adultMassMilli() int64 {
	for _, g := range k.sheet.Stages {
		if r, ok := k.sheet.Range(protocol.Mass, k.sex(), g.ID); ok && g.Adult {
			return milli((r.From + r.To) / 2)
		}
	}
	if r, ok := k.sheet.Range(protocol.Mass, k.sex(), ""); ok {
		return milli((r.From + r.To) / 2)
	}
	return 0
}

// weighed is the animal's mass now and at an earlier capture.
type weighed struct {
	was, now int64
	then     *register.Capture
}

// lastWeighed is the last earlier mass among captures that answer a question.
func (k *card) lastWeighed(of func(*register.Capture) bool) (w weighed, ok bool) {
	now, ok := k.h.MassMilli()
	if !ok || now <= 0 {
		return w, false
	}
	then := k.last(func(c *register.Capture) bool {
		was, ok := c.Handled.MassMilli()
		return ok && was > 0 && k.sameSpecies(c) && of(c)
	})
	if then == nil {
		return w, false
	}
	was, _ := then.Handled.MassMilli()
	return weighed{was, now, then}, true
}

// beyond is the change left when the scale's own step is granted: a mass read
// to the division is right to one division either way. [CP]
func (w weighed) beyond(step float64) float64 {
	granted := min(float64(max(w.now-w.was, w.was-w.now)), step*1000)
	return math.Copysign((math.Abs(float64(w.now-w.was))-granted)/float64(w.was), float64(w.now-w.was))
}

// step is what the scale is read to, in grams; zero where the sheet does not
// say.
func (k *card) step() float64 {
	if t, ok := k.sheet.Trait(protocol.Mass); ok {
		return t.Step
	}
	return 0
}

// change is the relative change of mass.
func (w weighed) change() float64 { return float64(w.now-w.was) / float64(w.was) }

func (w weighed) found(k *card, ask string) found {
	was, now := record.MilliQuantity(w.was).Typed, record.MilliQuantity(w.now).Typed
	return found{
		field:    k.massField(),
		says:     fmt.Sprintf("Mass %s g %s, %s g now: %+.0f %%. %s", was, k.when(w.then), now, 100*w.change(), ask),
		evidence: fmt.Sprintf("mass %s on %s; %s now", was, on(w.then), now),
		beside:   beside(w.then),
	}
}

// sameTrip reports an earlier capture of this trip, within its nights.
func (k *card) sameTrip(c *register.Capture) bool {
	return c.At.Trip == k.At.Trip && k.At.Night.Days(c.At.Night) < tripNights
}

func massWithinTrip(k *card) []found {
	w, ok := k.lastWeighed(atAll)
	if !ok || !k.sameTrip(w.then) {
		return nil
	}
	if by := w.beyond(k.step()); by >= tripFall && by <= tripRise {
		return nil
	}
	return []found{w.found(k, "Usual within a trip is −12 to +8 % (3–8 % mean loss in possums, Cowan et al. 2013). Bag weighed, right animal, is it well?")}
}

func atAll(*register.Capture) bool { return true }

// massFallInTrip holds the loss since the first weighing of the trip against
// the team's limit.
func massFallInTrip(k *card) []found {
	most, source, on := k.protocol.Limit("mass fall in trip percent")
	if !on {
		return nil
	}
	var first *register.Capture
	for _, c := range k.before {
		if _, ok := c.Handled.MassMilli(); ok && c.At.Trip == k.At.Trip && c.At.Trip != "" && first == nil {
			first = c
		}
	}
	w, ok := k.lastWeighed(func(c *register.Capture) bool { return c == first })
	if !ok || -100*w.change() <= most {
		return nil
	}
	return []found{w.found(k, fmt.Sprintf("The limit is a fall of %s %% in a trip (%s; %s).", short(most), source, protocol.LimitsSay))}
}

func massBetweenTrips(k *card) []found {
	w, ok := k.lastWeighed(atAll)
	if !ok || k.sameTrip(w.then) || !k.adult(w.then) || math.Abs(math.Log(1+w.beyond(k.step()))) <= betweenTrip {
		return nil
	}
	ask := "Again, with the bag?"
	if _, pouch := k.sheet.Sign("pouch"); pouch && k.sex() == record.Female {
		ask = "Pouch young near exit can be 10–30 % of her mass (from memory). Again, with the bag?"
	}
	return []found{w.found(k, ask)}
}
