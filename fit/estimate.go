package fit

import (
	"encoding/json"
	"math"
)

// Status tells whether a figure may be quoted.
type Status int

// What an estimate can be.
const (
	Estimable    Status = iota
	AtBoundary          // the value is an end of the range; curvature gives no error
	NotEstimable        // the data do not settle it
)

// String says it in words.
func (s Status) String() string {
	switch s {
	case AtBoundary:
		return "at the end of its range"
	case NotEstimable:
		return "not estimable"
	}
	return "estimable"
}

// MarshalText lets a status stand in JSON in words.
func (s Status) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// An Estimate is one figure with its standard error and 95 % interval. What
// is not known is NaN; an interval that is open above ends in +Inf. JSON says
// null for both.
type Estimate struct {
	Name         string
	Value, SE    float64
	Lower, Upper float64
	Scale        Link // the scale the value stands on; Identity is the natural one
	Status       Status
}

// MarshalJSON writes null for what is not known, and never NaN or infinity.
func (e Estimate) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Name      string   `json:"name"`
		Value     *float64 `json:"estimate"`
		SE        *float64 `json:"se"`
		Lower     *float64 `json:"lower"`
		Upper     *float64 `json:"upper"`
		Scale     Link     `json:"scale"`
		Estimable bool     `json:"estimable"`
		Status    Status   `json:"status"`
	}{e.Name, known(e.Value), known(e.SE), known(e.Lower), known(e.Upper), e.Scale, e.Status != NotEstimable, e.Status})
}

func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// Lost is an estimate that the data do not settle.
func Lost(name string) Estimate {
	nan := math.NaN()
	return Estimate{Name: name, Value: nan, SE: nan, Lower: nan, Upper: nan, Status: NotEstimable}
}

// StatusOf tells whether a quantity with the given derivatives by the
// parameters can be estimated. A quantity that a flat direction moves cannot;
// one that has run to a bound is at its boundary.
func (f Fit) StatusOf(gradient []float64) Status {
	length := math.Sqrt(dot(gradient, gradient))
	worst := Estimable
	for _, flat := range f.Flat {
		switch moved := math.Abs(dot(flat.Direction, gradient)) > 1e-3*length; {
		case length < 1e-12 || moved && flat.Boundary:
			worst = AtBoundary
		case moved:
			return NotEstimable
		}
	}
	return worst
}

// Variance is that of a quantity with the given derivatives by the
// parameters, by the delta method.
func (f Fit) Variance(gradient []float64) float64 {
	return math.Max(0, dot(gradient, f.Covariance.times(gradient)))
}

// Derive gives a natural-scale quantity its standard error by the delta
// method, and its interval as ±1.96 standard errors on the link's scale. The
// gradient is by the parameters on their link scale.
func (f Fit) Derive(name string, value float64, gradient []float64, link Link) Estimate {
	e := Estimate{Name: name, Value: value, Status: f.StatusOf(gradient)}
	e.SE = math.Sqrt(f.Variance(gradient))
	half := z95 * e.SE / link.Slope(value)
	switch {
	case e.Status == NotEstimable || math.IsNaN(value) || math.IsInf(value, 0):
		return Lost(name)
	case e.Status == AtBoundary || math.IsNaN(half) || math.IsInf(half, 0):
		e.SE, e.Lower, e.Upper, e.Status = math.NaN(), math.NaN(), math.NaN(), AtBoundary
		return e
	}
	e.Lower, e.Upper = link.Natural(link.Eta(value)-half), link.Natural(link.Eta(value)+half)
	return e
}

// Coefficient is parameter i as it stands on its link scale.
func (f Fit) Coefficient(i int, scale Link) Estimate {
	e := f.Derive(f.Names[i], f.X[i], unit(len(f.X), i), Identity)
	e.Scale = scale
	return e
}
