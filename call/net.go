package call

import (
	"strconv"

	"dawnround/protocol"
	"dawnround/record"
)

// settleWeight decides, when all is said, what the numbers of the weighing
// were, and what follows from them.
func (rd *reading) settleWeight() {
	net, hasNet := rd.out.Field(atNet)
	bag := rd.bagGrams()
	_, bagSaid := rd.out.Field(atBag)
	switch {
	case !hasNet || net.State != record.Unknown || rd.weighed.basis == "net" || rd.weighed.tared:
	case bagSaid, rd.weighed.sameBag && bag != "", rd.weighed.basis == "scale" && (bag != "" || rd.weighed.untared), rd.given.NotTared && bag != "":
		rd.rebase(net)
	case rd.given.NotTared, bag != "" && rd.weighed.basis == "bare":
		net.Pending = true
		rd.unask(atNet)
		rd.ask(Question{About: WeightBasis, Says: "is " + Digits(net.Value) + " with the bag or without?", Among: []string{atGross, atNet}}, rd.tokenAt(net.From), rd.tokenAt(net.To))
	}
	rd.deriveNet()
}

// rebase moves a number from net to gross.
func (rd *reading) rebase(net *Field) {
	for i := range rd.toks {
		if rd.toks[i].field == atNet {
			rd.toks[i].field = atGross
		}
	}
	for i := range rd.out.Corrected {
		if rd.out.Corrected[i].At == atNet {
			rd.out.Corrected[i].At = atGross
		}
	}
	rd.heard[atGross+"|"] = rd.heard[atNet+"|"]
	delete(rd.heard, atNet+"|")
	rd.unask(atNet)
	net.At, net.Pending, net.Flag = atGross, net.Why == notUnderstood, ""
	t := rd.traitOf(protocol.Mass, false)
	v, err := strconv.ParseFloat(net.Value, 64)
	if t != nil && err == nil && !rd.massLimits("gross", t).hold(v) {
		net.Pending, net.Flag = true, "outside its range"
		rd.ask(Question{About: atGross, Says: "gross " + Digits(net.Value) + ": again?"}, rd.tokenAt(net.From), rd.tokenAt(net.To))
	}
}

// bagGrams is what a bag may weigh (record.md §11: "bag 20–300 g").
var bagGrams = limits{20, 300, true}

// bagGrams is the mass of the bag as far as it is known.
func (rd *reading) bagGrams() string {
	if f, ok := rd.out.Field(atBag); ok && f.State == record.Unknown {
		if f.Pending {
			return ""
		}
		return f.Value
	}
	if k, ok := known(rd.given.SoFar, atBag); ok {
		return k.Value
	}
	return rd.given.Tare
}

// deriveNet enters gross less bag, as soon as both are known.
func (rd *reading) deriveNet() {
	gross, bag := rd.newOrRecorded(atGross), rd.bagGrams()
	_, grossNew := rd.out.Field(atGross)
	_, bagNew := rd.out.Field(atBag)
	if gross == "" || bag == "" || !grossNew && !bagNew {
		return
	}
	g, errG := record.ParseQuantity(gross)
	b, errB := record.ParseQuantity(bag)
	if errG != nil || errB != nil {
		return
	}
	if _, recorded := known(rd.given.SoFar, atBag); !bagNew && !recorded {
		rd.put(Field{At: atBag, Value: b.Typed, Number: &b, Unit: "g", Derived: true}, 0, 0)
	}
	net := record.MilliQuantity(g.Milli - b.Milli)
	if said, ok := rd.out.Field(atNet); ok && !said.Derived {
		if !same(said.Value, net.Typed) && !said.Pending {
			said.Pending = true
			rd.ask(Question{About: atNet, Says: Digits(gross) + " less " + Digits(bag) + " is " + Digits(net.Typed) + ", not " + Digits(said.Value) + ". Which?"}, rd.tokenAt(said.From), rd.tokenAt(said.To))
		}
		return
	}
	rd.putNet(net)
}

func (rd *reading) putNet(net record.Quantity) {
	t := rd.traitOf(protocol.Mass, false)
	f := Field{At: atNet, Value: net.Typed, Number: &net, Unit: "g", Derived: true}
	f.Pending = t != nil && !rd.limits(t, "").hold(net.Value())
	rd.put(f, 0, 0)
	if f.Pending {
		rd.ask(Question{About: atNet, Says: "that leaves " + Digits(net.Typed) + " for the animal: again?"}, 0, 0)
	} else if t != nil {
		if why := rd.sinceLast(t, f); why != "" {
			rd.flagLast(atNet, why)
			rd.ask(Question{About: atNet, Says: "net " + Digits(net.Typed) + "; " + why + ". Again?"}, 0, 0)
		}
	}
}

// newOrRecorded is a value of this phrase that stands, else the recorded one.
func (rd *reading) newOrRecorded(at string) string {
	if f, ok := rd.out.Field(at); ok {
		if f.Pending || f.State != record.Unknown {
			return ""
		}
		return f.Value
	}
	k, _ := known(rd.given.SoFar, at)
	return k.Value
}

// worksOut tells whether a difference is written out: 1402-87=1315.
func (rd *reading) worksOut(s spoken) bool {
	bag, ok := rd.number(s.to + 1)
	if !ok || rd.word(bag.to) != "=" {
		return false
	}
	net, ok := rd.number(bag.to + 1)
	a, okA := s.whole()
	b, okB := bag.whole()
	c, okC := net.whole()
	return ok && okA && okB && okC && a-b == c
}
