package abundance

import (
	"fmt"
	"math"

	"dawnround/fit"
)

// A TwoSample is a closed population trapped twice.
type TwoSample struct {
	Marked   int // animals marked the first time
	Caught   int // animals caught the second time
	Recaught int // of these, marked
}

func (s TwoSample) check() error {
	if s.Marked < 0 || s.Caught < 0 || s.Recaught < 0 || s.Recaught > min(s.Marked, s.Caught) {
		return fmt.Errorf("%d marked, %d caught later, %d of them marked: expected counts, the last no larger than either other", s.Marked, s.Caught, s.Recaught)
	}
	return nil
}

func (s TwoSample) floats() (m, c, r, seen float64) {
	m, c, r = float64(s.Marked), float64(s.Caught), float64(s.Recaught)
	return m, c, r, m + c - r
}

// Chapman estimates N from two samples with little bias: (M+1)(C+1)/(R+1) − 1
// (Chapman 1951; variance Seber 1970; both in Seber 1982, section 3.1). It
// takes the population as closed, marks as kept, and all animals as equally
// catchable in one of the samples. It always gives a figure, but one that is
// much too low when R is small: below 7 recaptures it warns (Robson & Regier
// 1964, as in Seber 1982). The interval is log-normal.
func Chapman(s TwoSample) (Count, error) {
	if err := s.check(); err != nil {
		return Count{}, err
	}
	m, c, r, seen := s.floats()
	n := (m+1)*(c+1)/(r+1) - 1
	variance := (m + 1) * (c + 1) * (m - r) * (c - r) / ((r + 1) * (r + 1) * (r + 2))
	return s.count(LogNormal("N", n, math.Sqrt(variance), seen)), nil
}

// Petersen is the plain ratio M·C/R (Seber 1982, section 3.1, with the
// variance M²·C·(C−R)/R³); it is not estimable without
// recaptures.
func Petersen(s TwoSample) (Count, error) {
	if err := s.check(); err != nil {
		return Count{}, err
	}
	m, c, r, seen := s.floats()
	return s.count(LogNormal("N", m*c/r, math.Sqrt(m*m*c*(c-r)/(r*r*r)), seen)), nil
}

// Bailey is M(C+1)/(R+1), for a second sample in which one animal may be met
// more than once (Bailey 1951, 1952; Seber 1982, section 3.1).
func Bailey(s TwoSample) (Count, error) {
	if err := s.check(); err != nil {
		return Count{}, err
	}
	m, c, r, seen := s.floats()
	n := m * (c + 1) / (r + 1)
	variance := m * m * (c + 1) * (c - r) / ((r + 1) * (r + 1) * (r + 2))
	return s.count(LogNormal("N", n, math.Sqrt(variance), math.Min(seen, n))), nil
}

// A Count is N with what to know before quoting it.
type Count struct {
	N        fit.Estimate `json:"n"`
	Caught   int          `json:"caught"`
	Warnings []string     `json:"warnings"`
}

func (s TwoSample) count(n fit.Estimate) Count {
	c := Count{N: n, Caught: s.Marked + s.Caught - s.Recaught}
	switch {
	case c.Caught == 0:
		c.N = fit.Lost("N")
		c.Warnings = append(c.Warnings, "no animal was caught: there is nothing to estimate from")
	case s.Recaught == 0:
		c.Warnings = append(c.Warnings, "no marked animal was caught again: N cannot be bounded from above")
	case s.Recaught < 7:
		c.Warnings = append(c.Warnings, fmt.Sprintf("only %d recaptures: below 7 the estimate may be far too low", s.Recaught))
	}
	return c
}
