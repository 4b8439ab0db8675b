package fit_test

import (
	"math"
	"testing"

	"dawnround/fit"

	"pgregory.net/rapid"
)

func near(t interface {
	Helper()
	Errorf(string, ...any)
}, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance*(1+math.Abs(want))) {
		t.Errorf("%s: got %.15g, want %.15g", what, got, want)
	}
}

func TestLinksGoThereAndBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		eta := rapid.Float64Range(-15, 15).Draw(t, "eta")
		for _, link := range []fit.Link{fit.Identity, fit.Log, fit.Logit} {
			natural := link.Natural(eta)
			near(t, link.String()+" and back", link.Eta(natural), eta, 1e-9)
			slope := (link.Natural(eta+1e-5) - link.Natural(eta-1e-5)) / 2e-5
			near(t, link.String()+" slope", link.Slope(natural), slope, 1e-6)
		}
		p, logP, logQ := fit.LogLogit(eta)
		near(t, "p", p, fit.Logit.Natural(eta), 1e-14)
		near(t, "ln p and ln q", math.Exp(logP)+math.Exp(logQ), 1, 1e-12)
		near(t, "ln p", logP, math.Log(fit.Logit.Natural(eta)), 1e-9)
	})
}

func TestSharesSumToOneAndGoBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		eta := rapid.SliceOfN(rapid.Float64Range(-20, 20), 0, 5).Draw(t, "eta")
		shares := fit.Shares(eta)
		sum := 0.0
		for _, s := range shares {
			sum += s
		}
		near(t, "sum", sum, 1, 1e-12)
		back, err := fit.ShareEtas(shares)
		if err != nil {
			t.Fatal(err)
		}
		for i := range eta {
			near(t, "eta", back[i], eta[i], 1e-9)
		}
	})
}
