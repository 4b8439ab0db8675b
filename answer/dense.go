package answer

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"

	"dawnround/density"
	"dawnround/fit"
	"dawnround/register"
)

// Dense is how many animals live on a hectare at a site, and where.
type Dense struct {
	State    string       `json:"state"` // of the notebook
	Which    Which        `json:"which"`
	Says     string       `json:"says"`
	Refused  string       `json:"refused,omitempty"` // why no estimate is given, and what would be enough
	Stopped  bool         `json:"stopped,omitempty"` // the work was ended early
	D        fit.Estimate `json:"d_per_ha"`          // of the latest trip with animals
	Sigma    fit.Estimate `json:"sigma_m"`           // scale of movement, shared by the trips
	Trips    []DenseTrip  `json:"trips"`
	Models   []DenseModel `json:"models,omitempty"`
	MarginM  float64      `json:"margin_m,omitempty"` // of the state space around the traps
	Assumes  []Assumed    `json:"assumes"`
	Warnings []string     `json:"warnings,omitempty"`
	LeftOut  []LeftOut    `json:"left_out"`
	Source   string       `json:"source"`

	survey density.Survey
	best   density.Result
}

// DenseTrip is one trip: what was caught where, and what follows.
type DenseTrip struct {
	Trip       string             `json:"trip"`
	Nights     int                `json:"nights"`
	Traps      int                `json:"traps"`
	Animals    int                `json:"animals"`
	Captures   int                `json:"captures"`
	Elsewhere  int                `json:"elsewhere"` // captures at another trap than the first, each trap once
	D          fit.Estimate       `json:"d_per_ha"`
	Population density.Population `json:"population"`
}

// DenseModel is one model, in words.
type DenseModel struct {
	Detection string       `json:"detection"`
	D         fit.Estimate `json:"d_per_ha"` // over all trips
	Sigma     fit.Estimate `json:"sigma_m"`
	Weight    float64      `json:"weight"`
}

// Below these no density is given; common in the trade, ten as for any estimate.
const (
	leastElsewhere = 20
	lineShare      = 0.05 // of their reach: traps narrower than this lie in a line
)

const denseSource = "spatial capture–recapture by maximum likelihood: Efford 2004, Oikos 106:598–610; Borchers & Efford 2008, Biometrics 64:377–385; multi-catch for single-catch traps: Efford, Borchers & Byrom 2009; models ranked by AICc: Burnham & Anderson 2002"

// HowDense estimates how many independent animals live on a hectare of a site.
// Each trip is closed and has a density of its own; detection (half-normal on
// the hazard, growing with effort) and movement are shared by all. A trap that
// was sprung, by whatever but the species asked for, counts half a night. The
// state space is a margin around the traps, widened until more makes no
// difference. It refuses where the traps have no positions or lie in a line, and
// below 10 animals or 20 captures at another trap. Where ctx ends first, the
// answer says so and gives no figure.
func HowDense(ctx context.Context, r *register.Register, q Which) (Dense, error) {
	return Homes(r, q).Estimate(ctx, nil)
}

// Estimate fits what Homes gathered; progress, which may be nil, hears of each
// evaluation of the likelihood. It reads no register.
func (d Dense) Estimate(ctx context.Context, progress func(int)) (Dense, error) {
	if d.Refused != "" {
		return d, nil
	}
	err := d.fit(ctx, density.Options{Workers: runtime.GOMAXPROCS(0), Progress: progress})
	var stopped *density.Stopped
	if errors.As(err, &stopped) {
		d.Stopped, d.D, d.Sigma, d.Models = true, fit.Lost("D_per_ha"), fit.Lost("sigma_m"), nil
		d.refuse(fmt.Sprintf("the work was stopped after %d evaluations of a likelihood; nothing was changed, and it can be asked again", stopped.Evaluations))
		return d, nil
	}
	if err == nil && d.Refused == "" {
		d.say()
	}
	return d, err
}

func (d *Dense) refuse(why string) {
	d.Refused = why
	d.Says = "How many live on a hectare is not estimated: " + why + "."
}

// tooThin says why no density can be told, and what would be enough.
func (d Dense) tooThin() string {
	animals, elsewhere, reach, width := 0, 0, 0.0, 0.0
	for i, t := range d.Trips {
		animals, elsewhere = animals+t.Animals, elsewhere+t.Elsewhere
		along, across := extent(d.survey[i].Traps)
		reach, width = max(reach, along), max(width, across)
	}
	switch {
	case len(d.Trips) == 0:
		return "no trip has captures of animals that live on their own in traps whose positions are written; positions of the traps, with their datum, and one trip of three nights or more would be a start"
	case width < lineShare*reach:
		return fmt.Sprintf("the traps lie in a line (%.0f m long, %.0f m wide), which cannot tell how far to its sides animals live; a second line beside it, about as far off as animals move, would be enough", reach, width)
	}
	return cmp.Or(thin("a density", animals, leastAnimals, "animals caught"), thin("a density", elsewhere, leastElsewhere, "captures of animals at another trap"))
}

// startSigma is about how far animals move, from the distances between their
// following captures: their mean is σ√π where both are normal about one centre.
func startSigma(s density.Survey) float64 {
	sum, n := 0.0, 0.0
	for _, t := range s {
		for _, a := range t.Animals {
			for i := 1; i < len(a.Caught); i++ {
				p, q := t.Traps[a.Caught[i-1].Trap].At, t.Traps[a.Caught[i].Trap].At
				sum, n = sum+math.Hypot(p.X-q.X, p.Y-q.Y), n+1
			}
		}
	}
	return sum / n / math.Sqrt(math.Pi)
}

// most cells of a trip's state space, and how many σ its margin is at first.
const (
	mostCells   = 1500
	marginSigma = 4.5
	cellSigma   = 0.5 // of a cell's side; common practice, no source
)

// spread lays the state spaces for a σ.
func (d *Dense) spread(sigma float64) error {
	d.MarginM = math.Ceil(marginSigma * sigma)
	for i := range d.survey {
		side := cellSigma * sigma
		for {
			space, err := density.Around(d.survey[i].Traps, d.MarginM, side)
			if err != nil {
				return err
			}
			d.survey[i].Space = space
			if len(space.Cells) <= mostCells {
				break
			}
			side *= 1.2
		}
	}
	return nil
}

// fit lays the state space, twice more where animals turn out to move farther
// than it allows for, and compares the models.
func (d *Dense) fit(ctx context.Context, o density.Options) error {
	sigma := startSigma(d.survey)
	for range 3 {
		if err := d.spread(sigma); err != nil {
			return err
		}
		r, err := density.Fit(ctx, d.survey, d.model(), o)
		if err != nil {
			return err
		}
		d.best = r
		if r.D.Status == fit.NotEstimable || len(r.Sigma) == 0 || r.Boundless {
			d.refuse("not estimable: these captures set no limit to how far animals move; traps over a wider area would be enough")
			return nil
		}
		if now := r.Sigma[0].Value; math.Abs(now-sigma) <= 0.1*sigma {
			break
		} else {
			sigma = now
		}
	}
	return d.compare(ctx, o)
}

// model is density by trip, and detection as the effects say.
func (d Dense) model(detect ...string) density.Model {
	m := density.Model{Traps: density.Single, Shape: density.HazardHalfNormal, Detect: detect}
	if len(d.survey) > 1 {
		m.Density = []string{"trip"}
	}
	return m
}

// compare fits the other model that the captures can tell, and takes the better.
func (d *Dense) compare(ctx context.Context, o density.Options) error {
	results, words := []density.Result{d.best}, []string{"the same for all, by effort"}
	nights, again := 0, 0
	for _, t := range d.Trips {
		nights, again = max(nights, t.Nights), again+t.Captures-t.Animals
	}
	if tellsBehaviour(nights, again) {
		r, err := density.Fit(ctx, d.survey, d.model("after-capture"), o)
		if err != nil {
			return err
		}
		results, words = append(results, r), append(words, "after the first capture, by effort")
	}
	var candidates []fit.Candidate
	for i, r := range results {
		candidates = append(candidates, r.Candidate(words[i]))
	}
	table, err := fit.Compare(candidates, fit.Inflation{})
	if err != nil {
		return err
	}
	for _, ranked := range table {
		r := results[slices.Index(words, ranked.Name)]
		if len(d.Models) == 0 {
			d.best = r
		}
		d.Models = append(d.Models, DenseModel{ranked.Name, r.D, r.Sigma[0], ranked.Weight})
	}
	d.take()
	return nil
}

// take reads the better model.
func (d *Dense) take() {
	d.Sigma, d.Warnings = d.best.Sigma[0], d.best.Warnings
	for i := range d.Trips {
		d.Trips[i].D, d.Trips[i].Population = d.best.D, d.best.Populations[i]
		if len(d.best.ByLabel) == len(d.Trips) {
			d.Trips[i].D = d.best.ByLabel[i]
		}
	}
	d.D = d.Trips[len(d.Trips)-1].D
}

// say opens the answer with one sentence, and tells what it takes for granted.
func (d *Dense) say() {
	t := d.Trips[len(d.Trips)-1]
	d.Says = fmt.Sprintf("On the trip %s about %s independent animals lived on a hectare at %s (95 %% interval %s to %s); they move about with a scale of %s m.",
		t.Trip, figures(t.D.Value, 2), d.Which.Site, figures(t.D.Lower, 2), figures(t.D.Upper, 2), figures(d.Sigma.Value, 2))
	a := d.best.Array
	edge := fmt.Sprintf("the margin is %.0f m; an animal living at its edge is caught with a chance of at most %s", d.MarginM, figures(a.EdgeP, 1))
	if a.Widened {
		edge = fmt.Sprintf("the margin is %.0f m; half as much again adds %.1f %% to the area sampled", d.MarginM, 100*a.Outside)
	}
	d.Assumes = []Assumed{
		{"nobody came, went, was born or died during a trip, and each animal kept its centre", "each trip is taken by itself; an animal met on two counts on each"},
		{"homes are round, and animals are caught alike but for distance and what the model allows", d.Models[0].Detection + " has most support"},
		{"nobody beyond the margin is caught", edge},
		{"traps that hold one animal are fitted as if they left room for others", fmt.Sprintf("%.0f %% of trap-nights were occupied, sprung and bycatch included; above 50 %% this can no longer be trusted", 100*a.Saturation)},
		{"detection and movement are the same on all trips", "taken, not tested"},
	}
}
