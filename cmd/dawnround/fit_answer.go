package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"text/tabwriter"

	"dawnround/fit"
	"dawnround/survival"
)

// An estimated is the answer of fit abundance and fit survival: its struct is
// the JSON.
type estimated struct {
	Says       string         `json:"says"`
	Model      string         `json:"model"`
	Table      string         `json:"table"`
	Parameters []fit.Estimate `json:"parameters"` // natural scale, then the coefficients on theirs
	Covariance *covariance    `json:"covariance,omitempty"`
	Minus2LnL  *float64       `json:"minus2lnL"`
	Count      *int           `json:"parameter_count"`
	SampleSize int            `json:"sample_size"`
	SampleOf   string         `json:"sample_of"`
	AICc       *float64       `json:"aicc"`
	CHat       *float64       `json:"c_hat,omitempty"` // by which errors are widened
	QAICc      *float64       `json:"qaicc,omitempty"` // ĉ counted as a parameter
	Derived    []fit.Estimate `json:"derived"`

	Bootstrap *survival.Replicated `json:"bootstrap,omitempty"` // of the deviance
	Warnings  []string             `json:"warnings"`
	Assumes   string               `json:"assumes"`
	Source    string               `json:"source"`
	Seed      uint64               `json:"seed,omitempty"` // of what was drawn by chance
	Versions  versionInfo          `json:"versions"`
}

// covariance is that of the coefficients, null where it is not known.
type covariance struct {
	Names []string     `json:"names"`
	Rows  [][]*float64 `json:"rows"`
}

func covarianceOf(f fit.Fit, cHat float64) *covariance {
	out := &covariance{}
	for _, name := range f.Names {
		out.Names = append(out.Names, linked+name)
	}
	for _, row := range f.Covariance {
		cells := make([]*float64, len(row))
		for j, v := range row {
			cells[j] = finite(v * cHat)
		}
		out.Rows = append(out.Rows, cells)
	}
	return out
}

// linked begins the name of a coefficient on its link scale, and a list of
// them.
const linked = "link:"

// finite is nil for what is not known and what has no end.
func finite(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

func versions() versionInfo {
	return versionInfo{Version: release, Go: runtime.Version(), System: runtime.GOOS + "/" + runtime.GOARCH}
}

// figure is a number as a table shows it.
func figure(x float64) string {
	switch size := math.Abs(x); {
	case math.IsNaN(x):
		return "–"
	case math.IsInf(x, 0):
		return "no limit"
	case math.Abs(x-math.Round(x)) < 1e-9:
		return strconv.FormatFloat(math.Round(x), 'f', 0, 64)
	case size >= 100:
		return strconv.FormatFloat(x, 'f', 1, 64)
	case size >= 10:
		return strconv.FormatFloat(x, 'f', 2, 64)
	}
	return strconv.FormatFloat(x, 'f', 4, 64)
}

// person prints the answer to be read.
func (e estimated) person(w io.Writer) error {
	return text(func(b *bytes.Buffer) {
		fmt.Fprintf(b, "%s\n\n", e.Says)
		t := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
		fmt.Fprint(t, "\testimate\tse\tlower\tupper\tscale\t\n")
		for _, p := range slices.Concat(e.Parameters, e.Derived) {
			value := figure(p.Value)
			if p.Status == fit.NotEstimable {
				value = p.Status.String()
			}
			scale := p.Scale.String()
			if p.Status == fit.AtBoundary {
				scale += ", " + p.Status.String()
			}
			fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%s\t%s\t\n", p.Name, value, figure(p.SE), figure(p.Lower), figure(p.Upper), scale)
		}
		_ = t.Flush() // into memory
		if e.Minus2LnL != nil {
			fmt.Fprintf(b, "\n−2 ln L %.4f with %s", *e.Minus2LnL, plural(*e.Count, "parameter"))
			if e.AICc != nil {
				fmt.Fprintf(b, ", AICc %.4f", *e.AICc)
			}
			if e.QAICc != nil {
				fmt.Fprintf(b, ", QAICc %.4f", *e.QAICc)
			}
			fmt.Fprintf(b, " (sample size %d, %s)\n", e.SampleSize, e.SampleOf)
		}
		if r := e.Bootstrap; r != nil && r.Done > r.Failed {
			fmt.Fprintf(b, "bootstrap: deviance %s, %s on average when the model is true (%d of %d replicates, seed %d); ĉ %s, P %s\n",
				figure(r.Deviance), figure(r.Mean), r.Done, r.Asked, r.Seed, figure(r.CHat), figure(r.P))
		}
		fmt.Fprintln(b)
		for _, warning := range e.Warnings {
			fmt.Fprintf(b, "warning: %s\n", warning)
		}
		fmt.Fprintf(b, "assumes: %s\nsource: %s\n", e.Assumes, e.Source)
	})(w)
}

// derive adds a figure beside N, where it is known.
func (e *estimated) derive(name string, value, se float64) {
	if finite(value) != nil {
		nan := math.NaN()
		e.Derived = append(e.Derived, fit.Estimate{Name: name, Value: value, SE: se, Lower: nan, Upper: nan})
	}
}

// An evaluated is −2 ln L at fixed parameters.
type evaluated struct {
	Model     string      `json:"model"`
	At        string      `json:"at"`
	Minus2LnL *float64    `json:"minus2lnL"`
	N         *float64    `json:"N,omitempty"` // Σ 1/p* under the conditional likelihood, else as given
	Versions  versionInfo `json:"versions"`
}

// person prints −2 ln L, and what goes with it.
func (e evaluated) person(w io.Writer, more string) error {
	if e.Minus2LnL == nil {
		_, err := fmt.Fprintf(w, "these parameters cannot have given the data: −2 ln L has no value (%s)\n", e.Model)
		return err
	}
	_, err := fmt.Fprintf(w, "−2 ln L %.12g%s (%s)\n", *e.Minus2LnL, more, e.Model)
	return err
}
