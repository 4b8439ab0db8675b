package growth

import (
	"encoding/json"
	"fmt"
	"math"
)

// A Spread says what the band of an age is made of.
type Spread int

// What a band can hold.
const (
	NoBand          Spread = iota // nothing is known of any error
	MeasurementOnly               // one reading's error; the spread between animals is not known
	BetweenAnimals                // the residual error of the relation, which holds both
)

// String labels the band.
func (s Spread) String() string {
	switch s {
	case MeasurementOnly:
		return "measurement only; spread between animals not known"
	case BetweenAnimals:
		return "spread between animals"
	}
	return "no error known; spread between animals not known"
}

// MarshalText lets a band's label stand in JSON.
func (s Spread) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// An Age is what a relation answers for a size: a point and a 95 % band, in
// days. Days is NaN where the size lies beyond the curve's reach and only a
// bound is known; To is then without limit, or From is the youngest age the
// relation knows.
type Age struct {
	Size     float64
	Days     float64
	From, To float64
	Spread   Spread
	Newborn  bool // too small for the relation: at most To days old
	Relation *Relation
}

// Age is the age at which an animal has this size. reading is the s.d. of one
// reading of it, in the relation's unit; where it is 0 the relation's own is
// taken. The error is an *Outside beyond the range of the relation.
//
// A relation fitted as age on size gives its prediction with residual standard
// deviation and error of the mean (a residual holds one reading's error
// already), 1.96 of them either way, or Student's quantile where the animals
// were few. One fitted as size on age is turned round: the band is every
// age at which a reading of this size lies within the 95 % prediction band.
// Without a residual the band is one reading's error alone.
func (r *Relation) Age(size, reading float64) (Age, error) {
	if reading == 0 {
		reading = r.Reading
	}
	a := Age{Size: size, Days: math.NaN(), Spread: r.band(reading), Relation: r}
	switch {
	case r.Fitted == GainOnSize:
		return a, fmt.Errorf("%s tells growth between two visits, not age: a curve with known ages is needed", r.Name())
	case math.IsNaN(size) || !inside(r.Sizes, size):
		return a, r.outsideSize(size)
	case r.NewbornBelow > 0 && size < r.NewbornBelow:
		a.Days, a.From, a.To, a.Newborn = r.NewbornDays/2, 0, r.NewbornDays, true
		return a, nil
	case r.Fitted == AgeOnSize:
		return a.onSize(reading)
	}
	return a.onAge(reading)
}

func (r *Relation) band(reading float64) Spread {
	switch {
	case r.SpreadKnown():
		return BetweenAnimals
	case reading > 0:
		return MeasurementOnly
	}
	return NoBand
}

func (r *Relation) outsideSize(size float64) *Outside {
	o := &Outside{Relation: r, What: r.Trait, Value: size, Unit: r.Unit, From: math.Inf(-1), To: math.Inf(1)}
	switch {
	case len(r.Sizes) == 2:
		o.From, o.To = r.Sizes[0], r.Sizes[1]
	case r.Fitted == SizeOnAge:
		p := r.values()
		o.From, o.To = r.predict(p, r.Ages[0]), r.predict(p, r.Ages[1])
	}
	return o
}

// onSize reads the age off a relation fitted as age on size.
func (a Age) onSize(reading float64) (Age, error) {
	r := a.Relation
	y := r.predict(r.values(), a.Size)
	if !inside(r.Ages, y) {
		return a, r.outsideSize(a.Size)
	}
	half := r.wide() * math.Hypot(r.spread(y), r.confidence(a.Size))
	if a.Spread == MeasurementOnly {
		half = z95 * reading * r.slope(a.Size)
	}
	a.Days = y * r.dayUnit()
	a.From, a.To = math.Max(0, (y-half)*r.dayUnit()), (y+half)*r.dayUnit()
	return a, nil
}

// onAge turns a relation fitted as size on age round.
func (a Age) onAge(reading float64) (Age, error) {
	r := a.Relation
	from, to := r.Ages[0], r.Ages[1]
	p := r.values()
	at := r.solve(a.Size)
	fits := func(age float64) bool {
		y := r.predict(p, age)
		half := r.wide() * math.Hypot(r.spread(y), r.confidence(age))
		if a.Spread == MeasurementOnly {
			half = z95 * reading
		}
		return math.Abs(a.Size-y) <= half
	}
	switch onCurve := a.Size >= r.predict(p, from) && a.Size <= r.predict(p, to); {
	case onCurve:
		a.Days = at * r.dayUnit()
	case !fits(at): // the end of the curve
		return a, r.outsideSize(a.Size)
	}
	a.From = math.Max(0, edge(fits, at, from)*r.dayUnit())
	a.To = edge(fits, at, to) * r.dayUnit()
	if a.To >= to*r.dayUnit() && a.Spread == BetweenAnimals && fits(to) {
		a.To = math.Inf(1)
	}
	return a, nil
}

// edge is how far towards the end ages go on fitting, from one that does.
func edge(fits func(float64) bool, at, end float64) float64 {
	const steps = 400
	inner := at
	for i := 1; i <= steps; i++ {
		outer := at + float64((end-at)*float64(i)/steps)
		if fits(outer) {
			inner = outer
			continue
		}
		for range 60 {
			mid := inner + (outer-inner)/2
			if fits(mid) {
				inner = mid
			} else {
				outer = mid
			}
		}
		return inner
	}
	return inner
}

// Warned is the band that a warning about pouch exit rests on: the band itself
// where the spread between animals is known; else the point ± the larger of 7
// days and 15 %, common practice, no source, and never less than the band.
func (a Age) Warned() (from, to float64) {
	if a.Spread == BetweenAnimals || a.Newborn || math.IsNaN(a.Days) {
		return a.From, a.To
	}
	half := Roughly(a.Days)
	return math.Max(0, math.Min(a.From, a.Days-half)), math.Max(a.To, a.Days+half)
}

// Roughly is the rule for an age whose error nobody knows: the larger of 7 days
// and 15 %. Common practice, no source.
func Roughly(days float64) float64 { return math.Max(7, 0.15*days) }

// String says the age: "97 days (95 ± …)".
func (a Age) String() string {
	switch {
	case a.Newborn:
		return fmt.Sprintf("newborn, at most %s", days(a.To))
	case math.IsNaN(a.Days) && math.IsInf(a.To, 1):
		return fmt.Sprintf("at least %s", days(a.From))
	case math.IsNaN(a.Days):
		return fmt.Sprintf("at most %s", days(a.To))
	case a.Spread == NoBand:
		return days(a.Days)
	case math.IsInf(a.To, 1):
		return fmt.Sprintf("%s (from %s, no upper limit)", days(a.Days), days(a.From))
	}
	if a.Spread == MeasurementOnly {
		return fmt.Sprintf("%s (%.0f to %.0f by measurement alone)", days(a.Days), a.From, a.To)
	}
	return fmt.Sprintf("%s (%.0f to %.0f)", days(a.Days), a.From, a.To)
}

func days(x float64) string {
	if math.Round(x) == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%.0f days", x)
}

// MarshalJSON writes null for what has no number.
func (a Age) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Size    float64  `json:"size"`
		Days    *float64 `json:"days"`
		From    *float64 `json:"from"`
		To      *float64 `json:"to"`
		Band    Spread   `json:"band"`
		Newborn bool     `json:"newborn,omitempty"`
	}{a.Size, finite(a.Days), finite(a.From), finite(a.To), a.Spread, a.Newborn})
}

func finite(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}
