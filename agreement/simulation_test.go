package agreement_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"dawnround/agreement"
)

// Programmes with a known truth: 25 grown animals, each read on 2 to 4 trips by
// one of three handlers, who read 0.8 long, 0.2 and 0.6 short. 600 replicates
// from seed 31; the Monte-Carlo error of a share near 0.95 is then 0.009.
func TestIntervalsCoverTheTruth(t *testing.T) {
	t.Parallel()
	const replicates = 600
	truth := []float64{0.8, -0.2, -0.6}
	covered := map[string]int{}
	bias := 0.0
	for n := range replicates {
		rng := rand.New(rand.NewPCG(31, uint64(n)))
		var rs []agreement.Reading
		var groups [][]float64
		for a := range 25 {
			size := 100 + 3*rng.NormFloat64()
			g := []float64{}
			for range 2 + rng.IntN(3) {
				h := rng.IntN(3)
				e := 0.5 * rng.NormFloat64()
				rs = append(rs, agreement.Reading{Animal: a, Handler: h, Value: size + truth[h] + e})
				g = append(g, size+e)
			}
			groups = append(groups, g)
		}
		o, err := agreement.Handlers(rs)
		if err != nil {
			t.Fatal(err)
		}
		for h, want := range truth {
			if o.Handlers[h].Lower <= want && want <= o.Handlers[h].Upper {
				covered["offset"]++
			}
		}
		bias += (o.ErrorSD*o.ErrorSD - 0.25) / replicates
		tem, err := agreement.Technical(groups)
		if err != nil {
			t.Fatal(err)
		}
		if tem.Lower <= 0.5 && 0.5 <= tem.Upper {
			covered["TEM"]++
		}
		icc, err := agreement.Repeatability(groups)
		if err != nil {
			t.Fatal(err)
		}
		if want := 9 / 9.25; icc.Lower <= want && want <= icc.Upper {
			covered["repeatability"]++
		}
	}
	for what, of := range map[string]float64{"offset": 3 * replicates, "TEM": replicates, "repeatability": replicates} {
		share := float64(covered[what]) / of
		t.Logf("%s: 95 %% intervals cover %.3f (Monte-Carlo error %.3f)", what, share, math.Sqrt(0.95*0.05/of))
		if share < 0.925 || share > 0.975 {
			t.Errorf("%s: 95 %% intervals cover %.3f", what, share)
		}
	}
	t.Logf("error variance: bias %.4f of 0.25", bias)
	if math.Abs(bias) > 0.01 {
		t.Errorf("error variance is off by %.4f on average", bias)
	}
}
