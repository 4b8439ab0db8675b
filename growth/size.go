package growth

import (
	"fmt"
	"math"
)

// A Size is what a relation expects of a trait: the mean, the 95 % confidence
// band of the mean and the 95 % prediction band of one animal's reading. Where
// the relation tells no error, the bands lie on the mean.
type Size struct {
	Mean             float64 `json:"mean"`
	MeanFrom, MeanTo float64 `json:"-"`
	From, To         float64 `json:"-"`
	Spread           Spread  `json:"band"`
}

// SizeAt is the size expected at an age in days. The error is an *Outside
// beyond the ages of the relation. A relation fitted as age on size is turned
// round, and its bands with it.
func (r *Relation) SizeAt(ageDays float64) (Size, error) {
	if r.Fitted == GainOnSize {
		return Size{}, fmt.Errorf("%s tells growth between two visits, not size at an age", r.Name())
	}
	age := ageDays / r.dayUnit()
	from, to := r.ageSpan()
	if rounding := 1e-9 * (to - from); age >= from-rounding && age <= to+rounding {
		age = math.Min(math.Max(age, from), to)
	} else {
		return Size{}, &Outside{Relation: r, What: "age", Value: ageDays, Unit: "days", From: from * r.dayUnit(), To: to * r.dayUnit()}
	}
	s := Size{Spread: r.band(r.Reading)}
	if r.Fitted == AgeOnSize {
		return r.turned(s, age), nil
	}
	s.Mean = r.predict(r.values(), age)
	mean, one := r.confidence(age), r.spread(s.Mean)
	if s.Spread == MeasurementOnly {
		one = r.Reading
	}
	s.about(r.wide(), mean, math.Hypot(mean, one))
	return s, nil
}

// about sets the bands from the standard deviations of the mean and of one
// reading.
func (s *Size) about(wide, mean, one float64) {
	s.MeanFrom, s.MeanTo = s.Mean-wide*mean, s.Mean+wide*mean
	s.From, s.To = s.Mean-wide*one, s.Mean+wide*one
}

// turned gives the size whose predicted age is the one asked about; a
// standard deviation in age is one in size by the slope there.
func (r *Relation) turned(s Size, age float64) Size {
	s.Mean = r.solve(age)
	slope := r.slope(s.Mean)
	mean := r.confidence(s.Mean) / slope
	one := r.spread(age) / slope
	if s.Spread == MeasurementOnly {
		one = r.Reading
	}
	s.about(r.wide(), mean, math.Hypot(mean, one))
	return s
}

// ageSpan is the range of ages a relation knows, in its own unit.
func (r *Relation) ageSpan() (from, to float64) {
	if r.Fitted == SizeOnAge {
		return r.Ages[0], r.Ages[1]
	}
	p := r.values()
	from, to = r.predict(p, r.Sizes[0]), r.predict(p, r.Sizes[1])
	if len(r.Ages) == 2 {
		from, to = math.Max(from, r.Ages[0]), math.Min(to, r.Ages[1])
	}
	return from, to
}

// Next is the size expected of an animal so many days after it had a size. A
// curve of known ages is followed from the age of that size; a curve of gains
// gives Fabens's gain, never below 0, since a bone does not shrink. Its bands
// hold the residual error and the spread of the asymptotes. The error is an
// *Outside beyond the range of the relation, at either end.
func (r *Relation) Next(size, afterDays float64) (Size, error) {
	if r.Fitted == GainOnSize {
		if !inside(r.Sizes, size) {
			return Size{}, r.outsideSize(size)
		}
		return r.gained(size, afterDays), nil
	}
	a, err := r.Age(size, 0)
	if err != nil || math.IsNaN(a.Days) {
		return Size{}, r.outsideSize(size)
	}
	return r.SizeAt(a.Days + afterDays)
}

func (r *Relation) gained(size, afterDays float64) Size {
	years := afterDays / 365.25
	asymptote, k := r.Parameters[0].Value, r.Parameters[1].Value
	gain := math.Max(0, FabensGain(size, years, asymptote, k))
	s := Size{Mean: size + gain, Spread: r.band(0)}
	mean := 0.0
	if len(r.Covariance) == 2 {
		byA, byK := -math.Expm1(-k*years), math.Max(0, asymptote-size)*years*math.Exp(-k*years)
		c := r.Covariance
		mean = math.Sqrt(math.Max(0, float64(byA*byA*c[0][0])+float64(2*byA*byK*c[0][1])+float64(byK*byK*c[1][1])))
	}
	one := math.Hypot(math.Hypot(r.Residual, r.ResidualPercent/100*gain), r.AsymptoteSD*-math.Expm1(-k*years))
	s.about(r.wide(), mean, math.Hypot(mean, one))
	return s
}

// AgesDays is the youngest and the oldest age a relation knows, in days. A curve
// of gains knows none.
func (r *Relation) AgesDays() (youngest, oldest float64) {
	if r.Fitted == GainOnSize {
		return math.NaN(), math.NaN()
	}
	from, to := r.ageSpan()
	return from * r.dayUnit(), to * r.dayUnit()
}
