package answer

import (
	"cmp"
	"slices"

	"dawnround/proportion"
	"dawnround/protocol"
	"dawnround/record"
)

// BreedingMonth is the grown animals of one sex and calendar month, all years
// together, each once a trip: how many show one state of one sign.
type BreedingMonth struct {
	Sex     record.Sex        `json:"sex"`
	Sign    string            `json:"sign"`
	Value   string            `json:"value"`
	Month   int               `json:"month"`
	With    int               `json:"with"`
	Checked int               `json:"checked"` // those with any state of breeding written, "nothing seen" among them
	Wilson  *proportion.Share `json:"wilson,omitempty"`
}

// months counts the states that show breeding, by calendar month.
func (a *asked) months(visits []visit) []BreedingMonth {
	type key struct {
		sex         record.Sex
		sign, value string
		month       int
	}
	type checked struct {
		sex   record.Sex
		month int
	}
	with, of := map[key]int{}, map[checked]int{}
	for _, v := range visits {
		sex := a.sex(v.animal)
		if sex == record.SexUnknown || !a.grownVisit(v) {
			continue
		}
		states, looked := a.states(v, sex)
		if !looked {
			continue
		}
		month := v.captures[0].At.Night.Month
		of[checked{sex, month}]++
		for s := range states {
			with[key{sex, s[0], s[1], month}]++
		}
	}
	out := []BreedingMonth{}
	for k, n := range with {
		m := BreedingMonth{k.sex, k.sign, k.value, k.month, n, of[checked{k.sex, k.month}], nil}
		out = append(out, m)
	}
	out = withZeros(out, func(sex record.Sex, month int) int { return of[checked{sex, month}] })
	for i := range out {
		if w, err := proportion.Wilson(out[i].With, out[i].Checked); err == nil && out[i].Checked >= shareFemales {
			out[i].Wilson = &w
		}
	}
	return out
}

// withZeros adds the months in which a state was looked for and not seen, in
// order.
func withZeros(rows []BreedingMonth, checked func(record.Sex, int) int) []BreedingMonth {
	known := map[BreedingMonth]int{}
	for _, m := range rows {
		known[BreedingMonth{Sex: m.Sex, Sign: m.Sign, Value: m.Value}] += m.With
	}
	for m := range known {
		for m.Month = 1; m.Month <= 12; m.Month++ {
			there := slices.ContainsFunc(rows, func(o BreedingMonth) bool {
				return o.Sex == m.Sex && o.Sign == m.Sign && o.Value == m.Value && o.Month == m.Month
			})
			if n := checked(m.Sex, m.Month); n > 0 && !there {
				rows = append(rows, BreedingMonth{m.Sex, m.Sign, m.Value, m.Month, 0, n, nil})
			}
		}
	}
	slices.SortFunc(rows, func(a, b BreedingMonth) int {
		return cmp.Or(cmp.Compare(a.Sex, b.Sex), cmp.Compare(a.Sign, b.Sign), cmp.Compare(a.Value, b.Value), a.Month-b.Month)
	})
	return rows
}

// states are the values, by sign, that a visit shows of those that tell of
// breeding in a sex; looked is false where nothing of the kind was written.
func (a *asked) states(v visit, sex record.Sex) (states map[[2]string]bool, looked bool) {
	states = map[[2]string]bool{}
	for _, g := range a.sheet.Signs {
		if g.Of == protocol.OfYoung || g.Sex != "" && g.Sex != string(sex) || !g.Breeds && g.ID != "reproductive" {
			continue
		}
		for _, c := range v.captures {
			s := c.Handled.Signs[g.ID]
			looked = looked || s.Is() == record.Seen || s.Is() == record.NoneSeen
			if w, ok := g.Word(s.Value); ok && g.Breeds && w.ID != "no" && !w.Never {
				states[[2]string{g.ID, w.ID}] = true
			}
		}
	}
	return states, looked
}
