package fitting

import (
	"fmt"
	"math"
	"slices"

	"dawnround/fit"
	"dawnround/growth"
)

// FrancisOptions say what Francis's model holds beside the two mean gains.
// Alpha and Beta, where 0, are taken at the fifths of the data. Variability
// (individual growth), Outliers and Season each need at least 30 pairs.
type FrancisOptions struct {
	Alpha, Beta    float64
	Variability    bool
	Outliers       bool
	Season         bool
	TechnicalError float64 // s.d. of one reading, if known; 0: the error is estimated
}

// francis is the model at work.
type francis struct {
	FrancisOptions
	gains
	scale  float64 // of the gain at Beta
	spread float64 // range of the gains, over which outliers lie
	at     map[string]int
	names  []string
}

// Francis fits the mean annual gains at two sizes, with a standard deviation of
// gains in proportion to growth (variability ν), one of measurement (s, of a
// gain), a share p of outliers spread over the range of the gains, and a
// season: a sine of amplitude u that is fastest at time w of the year (Francis
// 1988, New Zealand Journal of Marine and Freshwater Research 22:43–51; from
// memory). Errors are by animal. It refuses fewer than 12 pairs, and anything
// but the two means and one standard deviation below 30.
func Francis(readings []Reading, o FrancisOptions) (Result, error) {
	g, err := gainsOf(readings)
	if err != nil {
		return Result{}, err
	}
	if extras := o.Variability || o.Outliers || o.Season; extras && len(g.pairs) < ManyPairs {
		return Result{}, &TooThin{Have: len(g.pairs), Need: ManyPairs, Of: "pairs for variability, outliers or season", Instead: "fit the two mean gains and one standard deviation only"}
	}
	f := newFrancis(g, o)
	l := f.likelihood()
	r := g.result("Francis", "Francis 1988, New Zealand Journal of Marine and Freshwater Research 22:43–51", l.maximise(true))
	f.tell(&r)
	return r, nil
}

func newFrancis(g gains, o FrancisOptions) *francis {
	f := &francis{FrancisOptions: o, gains: g, at: map[string]int{}}
	var from, gained []float64
	for _, p := range g.pairs {
		from, gained = append(from, p.from), append(gained, p.gain)
	}
	slices.Sort(from)
	if f.Alpha == 0 {
		f.Alpha = fit.Quantile(from, 0.2)
	}
	if f.Beta == 0 {
		f.Beta = fit.Quantile(from, 0.8)
	}
	if f.Beta-f.Alpha < 1e-3*math.Abs(f.Beta) {
		f.Alpha, f.Beta = from[0]-1e-3*math.Abs(from[0]), from[len(from)-1]+1e-3*math.Abs(from[0])
	}
	f.spread = slices.Max(gained) - slices.Min(gained)
	add := func(name string, used bool) {
		if used {
			f.at[name] = len(f.names)
			f.names = append(f.names, name)
		}
	}
	add("gain at alpha", true)
	add("gain at beta", true)
	add("s", o.TechnicalError == 0)
	add("variability", o.Variability)
	add("outliers", o.Outliers)
	add("season sine", o.Season)
	add("season cosine", o.Season)
	return f
}

func (f *francis) likelihood() likelihood {
	a, k, sd := f.begin()
	start := growth.OfFabens(a, k, f.Alpha, f.Beta)
	f.scale = math.Max(math.Abs(start.GainAlpha), sd)
	l := likelihood{names: f.names, units: len(f.animals), of: f.log}
	first := make([]float64, len(f.names))
	for name, i := range f.at {
		l.scales = append(l.scales, 0.1)
		switch name {
		case "gain at alpha":
			first[i] = start.GainAlpha / f.scale
		case "gain at beta":
			first[i] = start.GainBeta / f.scale
		case "s":
			first[i] = math.Log(sd)
		case "variability":
			first[i] = math.Log(0.2)
		case "outliers":
			first[i] = fit.Logit.Eta(0.03)
		}
	}
	l.starts = [][]float64{first}
	if f.Variability && f.TechnicalError == 0 {
		second := slices.Clone(first)
		second[f.at["s"]] = math.Log(sd / 3)
		second[f.at["variability"]] = math.Log(0.5)
		l.starts = append(l.starts, second)
	}
	return l
}

// value is a parameter by name, as it stands in x; ok where it is in the model.
func (f *francis) value(x []float64, name string) (float64, bool) {
	i, ok := f.at[name]
	if !ok {
		return 0, false
	}
	return x[i], true
}

// natural are the parameters on their natural scale.
type natural struct {
	growth.Francis
	k                     float64
	variance, variability float64 // of measurement of a gain; ν
	outliers              float64
	sine, cosine          float64
}

func (f *francis) natural(x []float64) natural {
	n := natural{Francis: growth.Francis{Alpha: f.Alpha, Beta: f.Beta, GainAlpha: x[0] * f.scale, GainBeta: x[1] * f.scale}}
	n.k = n.K()
	n.variance = 2 * f.TechnicalError * f.TechnicalError
	if s, ok := f.value(x, "s"); ok {
		n.variance = math.Exp(2 * s)
	}
	if v, ok := f.value(x, "variability"); ok {
		n.variability = math.Exp(v)
	}
	if p, ok := f.value(x, "outliers"); ok {
		n.outliers = fit.Logit.Natural(p)
	}
	n.sine, _ = f.value(x, "season sine")
	n.cosine, _ = f.value(x, "season cosine")
	return n
}

// possible tells whether the parameters are those of a curve that levels off,
// with a season that never runs backwards.
func (n natural) possible() bool {
	return n.GainAlpha > n.GainBeta && !math.IsNaN(n.k) && !math.IsInf(n.k, 0) && math.Hypot(n.sine, n.cosine) <= 1
}

// grown is the time that growth takes for years, by season; with its
// derivatives by sine and cosine.
func (n natural) grown(p pair) (years, bySine, byCosine float64) {
	const turn = 2 * math.Pi
	bySine = (math.Sin(turn*p.done) - math.Sin(turn*p.begun)) / turn
	byCosine = (math.Cos(turn*p.done) - math.Cos(turn*p.begun)) / turn
	return p.years + n.sine*bySine + n.cosine*byCosine, bySine, byCosine
}

// log is ln L of one animal's gains.
func (f *francis) log(i int, x, gradient []float64) float64 {
	n := f.natural(x)
	if !n.possible() {
		return math.Inf(-1)
	}
	sum := 0.0
	for _, p := range f.of[i] {
		sum += f.pair(n, p, gradient)
	}
	return sum
}

func (f *francis) pair(n natural, p pair, gradient []float64) float64 {
	years, bySine, byCosine := n.grown(p)
	asymptote, left := n.Asymptote(), math.Exp(-n.k*years)
	mean := (asymptote - p.from) * (1 - left)
	nu2 := n.variability * n.variability
	log, byR, byV := normal(p.gain-mean, n.variance+nu2*mean*mean)
	weight := 1.0
	if _, ok := f.at["outliers"]; ok {
		inside, outside := (1-n.outliers)*math.Exp(log), n.outliers/f.spread
		weight = inside / (inside + outside)
		log = math.Log(inside + outside)
		gradient[f.at["outliers"]] += (1-weight)*(1-n.outliers) - weight*n.outliers
	}
	byMean := weight * (-byR + byV*2*nu2*mean)
	apart := n.GainAlpha - n.GainBeta
	byLeft := -(asymptote - p.from) * years * left / math.Exp(-n.k) // by q = e^(−k)
	byAsymptote := 1 - left
	gradient[0] += byMean * f.scale * (byAsymptote*(f.Beta-asymptote)/apart - byLeft/(f.Beta-f.Alpha))
	gradient[1] += byMean * f.scale * (byAsymptote*(asymptote-f.Alpha)/apart + byLeft/(f.Beta-f.Alpha))
	if at, ok := f.at["s"]; ok {
		gradient[at] += weight * byV * 2 * n.variance
	}
	if at, ok := f.at["variability"]; ok {
		gradient[at] += weight * byV * 2 * nu2 * mean * mean
	}
	if at, ok := f.at["season sine"]; ok {
		byYears := (asymptote - p.from) * n.k * left
		gradient[at] += byMean * byYears * bySine
		gradient[f.at["season cosine"]] += byMean * byYears * byCosine
	}
	return log
}

// tell reads the parameters, the implied curve and the residuals off the fit.
func (f *francis) tell(r *Result) {
	if r.lost() {
		return
	}
	x := r.Fit.X
	n := f.natural(x)
	size := len(x)
	single := func(i int, v float64) []float64 {
		g := make([]float64, size)
		g[i] = v
		return g
	}
	r.add(r.Fit.Derive("gain per year at "+short(f.Alpha), n.GainAlpha, single(0, f.scale), fit.Identity))
	r.add(r.Fit.Derive("gain per year at "+short(f.Beta), n.GainBeta, single(1, f.scale), fit.Identity))
	if beta := r.Estimates[1]; beta.Upper < 0 {
		r.Warnings = append(r.Warnings, fmt.Sprintf("animals of %s seem to shrink: error of the first reading is taken for growth, and k is too high; asymptotes of the animals' own allow for it", short(f.Beta)))
	}
	if i, ok := f.at["s"]; ok {
		r.positive(i, "s of gain")
	}
	if i, ok := f.at["variability"]; ok {
		r.positive(i, "variability")
	}
	if i, ok := f.at["outliers"]; ok {
		r.add(r.Fit.Derive("share of outliers", n.outliers, single(i, fit.Logit.Slope(n.outliers)), fit.Logit))
	}
	if i, ok := f.at["season sine"]; ok {
		r.season(n, i, size)
	}
	a, q, apart := n.Asymptote(), math.Exp(-n.k), n.GainAlpha-n.GainBeta
	byA, byK := make([]float64, size), make([]float64, size)
	byA[0], byA[1] = f.scale*(f.Beta-a)/apart, f.scale*(a-f.Alpha)/apart
	byK[0], byK[1] = f.scale/(f.Beta-f.Alpha)/q, -f.scale/(f.Beta-f.Alpha)/q
	r.add(r.Fit.Derive("A", a, byA, fit.Log))
	r.add(r.Fit.Derive("k", n.k, byK, fit.Log))
	r.relate(f.gains, a, n.k, [][]float64{byA, byK})
	r.Relation.Residual, r.Relation.ResidualPercent = math.Sqrt(n.variance), 100*n.variability
	grown := func(p pair) float64 { years, _, _ := n.grown(p); return years }
	r.gainResiduals(f.gains, func(_ pair, mean float64) float64 {
		return math.Hypot(r.Relation.Residual, n.variability*mean)
	}, grown)
}

// season tells amplitude and time of the season from its sine and cosine. Growth
// is fastest where the derivative of time grown is.
func (r *Result) season(n natural, at, size int) {
	u := math.Hypot(n.sine, n.cosine)
	w := math.Mod(math.Atan2(-n.cosine, n.sine)/(2*math.Pi)+1, 1)
	byU, byW := make([]float64, size), make([]float64, size)
	byU[at], byU[at+1] = n.sine/u, n.cosine/u
	byW[at], byW[at+1] = n.cosine/(u*u*2*math.Pi), -n.sine/(u*u*2*math.Pi)
	r.add(r.Fit.Derive("season amplitude", u, byU, fit.Identity))
	r.add(r.Fit.Derive("season fastest at share of the year", w, byW, fit.Identity))
}
