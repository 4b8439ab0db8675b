package answer

import (
	"cmp"
	"math"
	"slices"

	"dawnround/fit"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// rateFemales is how many females seen twice it takes for a rate of births
// (common practice).
const rateFemales = 5

// Births is how many litters were born in a female-year, at least: one born and
// lost between two looks is not seen.
type Births struct {
	Females     int          `json:"females"` // grown, with their pouch seen on two trips or more
	FemaleYears float64      `json:"female_years"`
	Litters     int          `json:"litters"`
	Unseen      int          `json:"unseen"` // of them told by milk alone
	Rate        fit.Estimate `json:"rate"`   // exact for a Poisson count
	Refused     string       `json:"refused,omitempty"`
}

// births counts litters first seen after a female's first look as a grown
// animal, over the time from that look to her last.
func births(a *asked, mothers []mother, litters []Litter) Births {
	b := Births{Rate: fit.Lost("births a female-year")}
	if _, tells := a.pouch(&record.Handled{}); !tells {
		b.Refused = "births cannot be counted: the sheet has no sign that tells of young"
		return b
	}
	for _, m := range mothers {
		looks := m.grownLooks(a)
		if len(looks) == 0 || looks[0].At.Trip == looks[len(looks)-1].At.Trip {
			continue
		}
		from, to := looks[0].At.Night, looks[len(looks)-1].At.Night
		b.Females++
		b.FemaleYears += float64(to.Days(from)) / 365.25
		for _, l := range litters {
			if l.MotherID == m.id && from.Before(l.By) && !to.Before(l.By) {
				b.Litters++
				if l.Unseen {
					b.Unseen++
				}
			}
		}
	}
	if b.Refused = thin("births a female-year", b.Females, rateFemales, "females seen on two trips"); b.Refused != "" {
		return b
	}
	x := float64(b.Litters)
	b.Rate.Value, b.Rate.Status = x/b.FemaleYears, fit.Estimable
	b.Rate.Lower, b.Rate.Upper = 0, fit.ChiSquareQuantile(0.025, 2*x+2)/2/b.FemaleYears
	if x > 0 {
		b.Rate.Lower = fit.ChiSquareQuantile(0.975, 2*x) / 2 / b.FemaleYears
		b.Rate.SE = math.Sqrt(x) / b.FemaleYears
	}
	return b
}

// grownLooks are the captures of a grown female at which her pouch, or what
// shows breeding, was seen.
func (m mother) grownLooks(a *asked) []*register.Capture {
	return slices.DeleteFunc(slices.Clone(m.captures), func(c *register.Capture) bool {
		grown, unwritten := a.grown(stageAt(m.captures, c))
		return !grown && !unwritten || a.breedsAt(c.Handled) < breedingNo
	})
}

// BirthInterval is the time between two litters of a female that followed each
// other, as far as the looks bound it.
type BirthInterval struct {
	Mother   string    `json:"mother"`
	MotherID uuid.UUID `json:"mother_id"`
	Days     int       `json:"days"`     // between the first sights
	Shortest int       `json:"shortest"` // possible
	Longest  int       `json:"longest"`  // possible; 0: not bounded
}

// intervals are those between the litters of each female that follow each
// other; others may lie between them unseen.
func intervals(litters []Litter) []BirthInterval {
	out := []BirthInterval{}
	for i := 1; i < len(litters); i++ {
		was, now := litters[i-1], litters[i]
		if was.MotherID != now.MotherID || !was.By.Before(now.By) {
			continue
		}
		b := BirthInterval{Mother: now.Mother, MotherID: now.MotherID, Days: now.By.Days(was.By), Shortest: max(0, now.After.Days(was.By))}
		if !was.After.IsZero() {
			b.Longest = now.By.Days(was.After)
		}
		out = append(out, b)
	}
	return out
}

// FirstBreeding is when a female first bred, between two captures.
type FirstBreeding struct {
	Female   string       `json:"female"`
	FemaleID uuid.UUID    `json:"female_id"`
	After    record.Night `json:"after"` // the last capture that shows that she had not
	By       record.Night `json:"by"`    // the first that shows that she had
	Says     string       `json:"says"`
	AgeDays  [2]int       `json:"age_days,omitzero"` // where her own birth is known within a window
}

// firstBreeding finds the females that were seen not to have bred, and later
// to have.
func (a *asked) firstBreeding(mothers []mother) []FirstBreeding {
	out := []FirstBreeding{}
	for _, m := range mothers {
		f := FirstBreeding{Female: a.name(m.id), FemaleID: m.id}
		for _, c := range m.captures {
			never, parous, says := a.parity(c.Handled)
			if never && f.By.IsZero() {
				f.After = c.At.Night
			}
			if parous && f.By.IsZero() {
				f.By, f.Says = c.At.Night, says
			}
		}
		if f.After.IsZero() || f.By.IsZero() || !f.After.Before(f.By) {
			continue
		}
		f.AgeDays = a.ageBetween(m.id, f.After, f.By)
		out = append(out, f)
	}
	slices.SortStableFunc(out, func(x, y FirstBreeding) int { return x.By.Compare(y.By) })
	return out
}

// parity is what a capture says of whether she has ever bred.
func (a *asked) parity(h *record.Handled) (never, parous bool, says string) {
	if len(h.Young) > 0 {
		return false, true, "young in her row"
	}
	for _, g := range a.sheet.Signs {
		w, ok := g.Word(h.Signs[g.ID].Value)
		if !ok {
			continue
		}
		if w.Parous || w.Young {
			return false, true, cmp.Or(g.Name, g.ID) + " " + w.ID
		}
		never = never || w.Never
	}
	return never, false, ""
}

// ageBetween bounds an animal's age on two nights by her rows as a young.
func (a *asked) ageBetween(id uuid.UUID, after, by record.Night) [2]int {
	whole, ok := a.Animal(id)
	if !ok || len(whole.Rows) == 0 {
		return [2]int{}
	}
	first := whole.Rows[0].Mother
	mothers, _ := a.Animal(first.Animal)
	born := Litter{By: first.At.Night}
	for _, c := range mothers.Captures {
		if c.Handled == nil || !c.At.Night.Before(first.At.Night) {
			continue
		}
		if state, _ := a.pouch(c.Handled); state == pouchEmpty || state == pouchOccupied {
			born.After = c.At.Night
		}
	}
	if born.After.IsZero() {
		return [2]int{after.Days(born.By), 0}
	}
	return [2]int{after.Days(born.By), by.Days(born.After)}
}
