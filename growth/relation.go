package growth

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Relation ties the size of one trait to age.
type Relation struct {
	ID         string      `yaml:"id" json:"id,omitempty"`
	Species    string      `yaml:"-" json:"species"`                 // scientific name
	Common     string      `yaml:"-" json:"common_name,omitempty"`   // what people call the species
	Aliases    []string    `yaml:"aliases" json:"aliases,omitempty"` // other words for the trait
	Trait      string      `yaml:"trait" json:"trait"`
	Convention string      `yaml:"convention" json:"convention,omitempty"` // how the trait was measured
	Sex        string      `yaml:"sex" json:"sex,omitempty"`               // female, male; empty: both
	Unit       string      `yaml:"unit" json:"unit"`                       // of the size, a UCUM code
	AgesIn     string      `yaml:"ages in" json:"ages_in,omitempty"`       // d (unless said), wk, mo or a
	Form       string      `yaml:"form" json:"form"`
	Fitted     string      `yaml:"fitted" json:"fitted"` // AgeOnSize, SizeOnAge or GainOnSize: the two ways are not interchangeable
	Parameters []Parameter `yaml:"parameters" json:"parameters"`
	Covariance [][]float64 `yaml:"covariance" json:"covariance,omitempty"` // of the parameters, in their order and units
	Table      []Row       `yaml:"table" json:"table,omitempty"`           // of a tabulated relation, ascending

	Sizes        []float64 `yaml:"sizes" json:"sizes,omitempty"` // smallest and largest it holds for, in Unit
	Ages         []float64 `yaml:"ages" json:"ages,omitempty"`   // youngest and oldest it holds for, in AgesIn
	NewbornBelow float64   `yaml:"newborn below" json:"newborn_below,omitempty"`
	NewbornDays  float64   `yaml:"newborn days" json:"newborn_days,omitempty"` // what is newborn is at most so old

	Animals         int     `yaml:"animals" json:"animals,omitempty"`
	Measures        int     `yaml:"measures" json:"measures,omitempty"`
	Origin          string  `yaml:"animals were" json:"animals_were,omitempty"`         // captive, wild, both; empty: not told
	Residual        float64 `yaml:"residual sd" json:"residual_sd,omitempty"`           // in the unit of what is predicted
	ResidualPercent float64 `yaml:"residual percent" json:"residual_percent,omitempty"` // s.d. as a share of what is predicted
	AsymptoteSD     float64 `yaml:"asymptote sd" json:"asymptote_sd,omitempty"`         // spread of the animals' own asymptotes, in Unit
	Reading         float64 `yaml:"reading error" json:"reading_error,omitempty"`       // s.d. of one reading, in Unit
	ReadingSource   string  `yaml:"reading error source" json:"reading_error_source,omitempty"`

	Events    []Event `yaml:"events" json:"events,omitempty"`
	Source    string  `yaml:"source" json:"source"`
	Grade     string  `yaml:"grade" json:"grade,omitempty"` // S source read in part, M from memory, CP common practice
	TypedBy   string  `yaml:"typed by" json:"typed_by,omitempty"`
	CheckedBy string  `yaml:"checked by" json:"checked_by,omitempty"`
	Note      string  `yaml:"note" json:"note,omitempty"` // what to know before it is used
	Made      *Made   `yaml:"-" json:"made,omitempty"`    // how, where it was fitted from the programme's own animals
}

// The ways a relation can have been fitted.
const (
	AgeOnSize  = "age on size"
	SizeOnAge  = "size on age"
	GainOnSize = "gain on size"
)

// A Parameter is one coefficient of a form, with its unit.
type Parameter struct {
	Name  string  `yaml:"name" json:"name"`
	Value float64 `yaml:"value" json:"value"`
	Unit  string  `yaml:"unit" json:"unit,omitempty"`
}

// A Row of a tabulated relation.
type Row struct {
	Age  float64 `yaml:"age" json:"age"`
	Size float64 `yaml:"size" json:"size"`
}

// An Event is something else seen at an age: eyes open.
type Event struct {
	Age  float64 `yaml:"age" json:"age"`
	Says string  `yaml:"says" json:"says"`
}

// Made says how a relation was fitted from the programme's own animals, so
// that it can be made again.
type Made struct {
	Model    string   `json:"model"`
	State    string   `json:"state"`   // of the notebook, or the hash of the table
	Animals  []string `json:"animals"` // those used
	Readings int      `json:"readings"`
}

// Days per unit of age.
var dayUnits = map[string]float64{"": 1, "d": 1, "wk": 7, "mo": 365.25 / 12, "a": 365.25}

func (r *Relation) dayUnit() float64 { return dayUnits[r.AgesIn] }

// Name is how a relation is named in an answer: its source, else its id.
func (r *Relation) Name() string {
	switch {
	case r.Made != nil:
		return "own curve " + r.Form + " (" + r.Made.State + ")"
	case r.Source != "":
		return r.Source
	}
	return r.ID
}

func (r *Relation) values() []float64 {
	p := make([]float64, len(r.Parameters))
	for i, v := range r.Parameters {
		p[i] = v.Value
	}
	return p
}

// predict is what the relation predicts at x, in its own units.
func (r *Relation) predict(p []float64, x float64) float64 {
	if r.Form == Tabulated {
		ages, sizes := r.columns()
		if r.Fitted == AgeOnSize {
			return between(sizes, ages, x)
		}
		return between(ages, sizes, x)
	}
	f, _ := FormOf(r.Form)
	return f.at(p, x)
}

func (r *Relation) columns() (ages, sizes []float64) {
	for _, row := range r.Table {
		ages, sizes = append(ages, row.Age), append(sizes, row.Size)
	}
	return ages, sizes
}

// span is the range of what is predicted from.
func (r *Relation) span() (from, to float64) {
	given := r.Ages
	if r.Fitted == AgeOnSize {
		given = r.Sizes
	}
	return given[0], given[1]
}

// slope is the derivative of what is predicted by x.
func (r *Relation) slope(x float64) float64 {
	from, to := r.span()
	h := 1e-5 * (to - from)
	p := r.values()
	low, high := math.Max(from, x-h), math.Min(to, x+h)
	return (r.predict(p, high) - r.predict(p, low)) / (high - low)
}

// solve finds the x within the range at which y is predicted. What is predicted
// rises with x.
func (r *Relation) solve(y float64) float64 {
	lo, hi := r.span()
	p := r.values()
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if r.predict(p, mid) < y {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}

// SpreadKnown tells whether the relation says how far animals of one size
// differ in age.
func (r *Relation) SpreadKnown() bool {
	return r.Residual > 0 || r.ResidualPercent > 0 || r.AsymptoteSD > 0
}

// confidence is the standard deviation of the predicted mean at x, from the
// covariance of the parameters; 0 where that was not told.
func (r *Relation) confidence(x float64) float64 {
	if len(r.Covariance) == 0 {
		return 0
	}
	p := r.values()
	gradient := make([]float64, len(p))
	for i := range p {
		h := 1e-6 * (math.Abs(p[i]) + math.Sqrt(math.Abs(r.Covariance[i][i])))
		was := p[i]
		p[i] = was + h
		above := r.predict(p, x)
		p[i] = was - h
		gradient[i] = (above - r.predict(p, x)) / (2 * h)
		p[i] = was
	}
	variance := 0.0
	for i, g := range gradient {
		for j, o := range gradient {
			variance += float64(g * o * r.Covariance[i][j])
		}
	}
	return math.Sqrt(math.Max(0, variance))
}

// spread is the standard deviation of a single animal's reading about what is
// predicted, y, without the error of the mean.
func (r *Relation) spread(y float64) float64 {
	own := 0.0
	if f, _ := FormOf(r.Form); f.OfAge && r.Parameters[0].Value > 0 {
		own = r.AsymptoteSD * y / r.Parameters[0].Value
	}
	return math.Hypot(math.Hypot(r.Residual, r.ResidualPercent/100*y), own)
}

// z95 bounds the central 95 % of a normal distribution.
const z95 = 1.959963984540054

// wide is by how many standard deviations a 95 % band reaches either way:
// Student's quantile with as many degrees of freedom as there were animals
// beyond the parameters (3 at least), or 1.96 where their number is not told or
// only measurement is known.
func (r *Relation) wide() float64 {
	if r.Animals == 0 || !r.SpreadKnown() {
		return z95
	}
	return student(math.Max(3, float64(r.Animals-len(r.Parameters))))
}

// student is the 97.5 % quantile of Student's distribution, by its expansion in
// 1/df (Abramowitz & Stegun 1964, 26.7.5), right to 0.5 % from 3 on.
func student(df float64) float64 {
	const z, z3, z5, z7 = z95, z95 * z95 * z95, z95 * z95 * z95 * z95 * z95, z95 * z95 * z95 * z95 * z95 * z95 * z95
	const z9 = z7 * z95 * z95
	return z + (z3+z)/(4*df) + (5*z5+16*z3+3*z)/(96*df*df) + (3*z7+19*z5+17*z3-15*z)/(384*df*df*df) +
		(79*z9+776*z7+1482*z5-1920*z3-945*z)/(92160*df*df*df*df)
}

// An Outside is the answer beyond a relation's range: no number is given there.
type Outside struct {
	Relation *Relation
	What     string  // the trait, or "age"
	Value    float64 // what was asked about, in Unit
	Unit     string
	From, To float64 // where the relation holds
}

// Error says what was asked, where the relation holds, and whose it is.
func (o *Outside) Error() string {
	return fmt.Sprintf("%s %s: outside range: %s holds from %s to %s; no number is given there",
		o.What, with(o.Value, o.Unit), o.Relation.Name(), short(o.From), with(o.To, o.Unit))
}

// short writes a number with at most four figures that matter.
func short(x float64) string {
	switch size := math.Abs(x); {
	case math.IsInf(x, 0):
		return "no limit"
	case size >= 100 || x == math.Round(x):
		return fmt.Sprintf("%.0f", x)
	case size >= 10:
		return fmt.Sprintf("%.1f", x)
	}
	return fmt.Sprintf("%.3g", x)
}

// with puts a unit behind a number; the unit of an index is not written.
func with(x float64, unit string) string {
	if unit == "1" || unit == "" {
		return short(x)
	}
	return short(x) + " " + unit
}

// For lists the relations for a trait of a species and sex, an animal's sex
// unknown being "". Species and trait go by any of their names, in large or
// small letters, with _ or a space.
func For(relations []Relation, species, trait, sex string) []Relation {
	var out []Relation
	for _, r := range relations {
		if r.OfSpecies(species) && r.OfTrait(trait) && (r.Sex == "" || r.Sex == sex) {
			out = append(out, r)
		}
	}
	return out
}

// OfSpecies tells whether a word names the relation's species.
func (r *Relation) OfSpecies(word string) bool {
	return alike(word, r.Species) || alike(word, r.Common)
}

// OfTrait tells whether a word names the relation's trait.
func (r *Relation) OfTrait(word string) bool {
	return alike(word, r.Trait) || slices.ContainsFunc(r.Aliases, func(a string) bool { return alike(word, a) })
}

func alike(a, b string) bool {
	spaced := strings.NewReplacer("_", " ", "-", " ")
	return b != "" && strings.EqualFold(strings.TrimSpace(spaced.Replace(a)), spaced.Replace(b))
}

// inside tells whether x lies in a range that was given.
func inside(given []float64, x float64) bool {
	return len(given) != 2 || x >= given[0] && x <= given[1]
}

// ascending tells whether numbers rise from each to the next.
func ascending(x []float64) bool {
	return !slices.ContainsFunc(x, math.IsNaN) && slices.IsSorted(x) && len(slices.Compact(slices.Clone(x))) == len(x)
}
