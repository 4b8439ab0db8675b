package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// settle decides, when all is said, what several numbers for one field are:
// the same again, repeat readings, a mend of a wrong read-back, or a dispute.
func (rd *reading) settle() {
	for i := range rd.out.Fields {
		f := &rd.out.Fields[i]
		said := rd.heard[keyOf(*f)]
		t := rd.traitAt(f.At)
		if n := len(said); t == nil && n > 1 && (f.At == atGross || f.At == atBag) && !f.Pending && !same(said[n-1].value, f.Value) {
			rd.dispute(rd.traitOf(protocol.Mass, false), f, said) // read back otherwise, and not said again
		}
		if len(said) < 2 || allSame(said) || t == nil || f.Pending && f.Why == notUnderstood {
			continue
		}
		last := said[len(said)-1].value
		if v, err := strconv.ParseFloat(last, 64); f.Pending && (err != nil || !rd.limits(t, f.Convention).hold(v)) {
			continue
		}
		switch {
		case !f.Pending && (rd.given.Repeats == f.At || rd.again || rd.areRepeats(t, said)):
			f.Again = nil
			for _, u := range said[1:] {
				q, err := record.ParseQuantity(u.value)
				if err == nil {
					f.Again = append(f.Again, q)
				}
			}
		case agreed(said):
			if f.Value != last {
				rd.corrected(f.At, f.Value, last)
			}
			f.number(last)
			f.Pending, f.Flag = false, ""
			rd.unask(f.At)
		default:
			rd.dispute(t, f, said)
		}
	}
}

func allSame(said []utterance) bool {
	for _, u := range said[1:] {
		if !same(u.value, said[0].value) {
			return false
		}
	}
	return true
}

// agreed tells whether the last number was said before by the same voice, so
// that what lay between was a wrong read-back.
func agreed(said []utterance) bool {
	last := said[len(said)-1]
	if last.asked {
		return false
	}
	for _, u := range said[:len(said)-1] {
		if same(u.value, last.value) && !u.asked {
			return true
		}
	}
	return false
}

// areRepeats: three or more near-equal numbers are repeat measures.
func (rd *reading) areRepeats(t *protocol.Trait, said []utterance) bool {
	if len(said) < 3 || rd.given.Speaker == Both {
		return false
	}
	low, high := 0.0, 0.0
	for i, u := range said {
		v, err := strconv.ParseFloat(u.value, 64)
		if err != nil || u.asked {
			return false
		}
		if i == 0 {
			low, high = v, v
		}
		low, high = min(low, v), max(high, v)
	}
	limit, _ := t.BetweenVisits()
	return high-low <= max(limit, 0.02*high)
}

func (rd *reading) dispute(t *protocol.Trait, f *Field, said []utterance) {
	var values, names []string
	for _, u := range said {
		if !slices.Contains(values, u.value) {
			values = append(values, u.value)
			names = append(names, Digits(u.value))
		}
		rd.fate(u.from, u.to, Asked, f.At)
	}
	f.Pending, f.Why = true, "two readings"
	rd.out.Questions = slices.DeleteFunc(rd.out.Questions, func(q Question) bool { return q.About == f.At })
	rd.ask(Question{About: f.At, Says: t.Name + ", " + strings.Join(names, " or ") + "?", Among: values}, said[0].from, said[0].to)
}
