package place_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"dawnround/place"

	"pgregory.net/rapid"
)

func TestGeneralise(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lat, lon         float64
		decimals         int
		wantLat, wantLon string
	}{
		{-37.951033, 144.424868, 0, "-38", "144"},
		{-37.951033, 144.424868, 1, "-38.0", "144.4"},
		{-37.951033, 144.424868, 2, "-37.95", "144.42"},
		{-37.951033, 144.424868, 3, "-37.951", "144.425"},
		{-0.05, 0.05, 1, "-0.1", "0.1"}, // half-way goes away from zero
		{-0.0499, 0.0499, 1, "0.0", "0.0"},
		{-0.15, 0.15, 1, "-0.2", "0.2"}, // though 0.15 in binary is a little less
		{1.005, -1.005, 2, "1.01", "-1.01"},
		{89.97, 179.96, 1, "90.0", "180.0"},
		{-0.4, -0.4, 0, "0", "0"},
	} {
		got, err := place.Point{Lat: c.lat, Lon: c.lon, Datum: place.WGS84}.Generalise(c.decimals)
		if err != nil || got.Lat != c.wantLat || got.Lon != c.wantLon || got.Datum != place.WGS84 {
			t.Errorf("%v, %v to %d: %+v, %v; want %s, %s", c.lat, c.lon, c.decimals, got, err, c.wantLat, c.wantLon)
		}
	}
}

// Distances from a cell's centre to its corner on WGS84, where the centre
// lies on the step; recomputed by an independent script.
func TestGeneraliseRadius(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lat      float64
		decimals int
		step     string
		radiusM  float64
	}{
		{0, 0, "1", 78451}, {0, 1, "0.1", 7845}, {0, 2, "0.01", 785}, {0, 3, "0.001", 78},
		{60, 0, "1", 62394}, {60, 1, "0.1", 6231}, {60, 2, "0.01", 623},
		{-12.4, 1, "0.1", 7756}, {-23.7, 1, "0.1", 7529}, {-37.9, 1, "0.1", 7082}, {-42.9, 2, "0.01", 689},
	} {
		got, err := place.Point{Lat: c.lat, Datum: place.WGS84}.Generalise(c.decimals)
		if err != nil || got.Step != c.step {
			t.Errorf("%v to %d: %+v, %v", c.lat, c.decimals, got, err)
		}
		near(t, "radius at "+got.Lat+" by "+c.step, got.RadiusM, c.radiusM, 0.51)
	}
}

// The released place is a whole number of steps, the true place lies within
// its radius, a coarser step has a larger radius, and the same place always
// gives the same release.
func TestGeneraliseHoldsTheTruePlace(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := anyPoint(t, "true")
		wider := math.Inf(1)
		for decimals := range 4 {
			released, err := p.Generalise(decimals)
			if err != nil {
				t.Fatal(err)
			}
			if again, _ := p.Generalise(decimals); again != released {
				t.Fatalf("%v gave %v and then %v", p, released, again)
			}
			lat, _ := strconv.ParseFloat(released.Lat, 64)
			lon, _ := strconv.ParseFloat(released.Lon, 64)
			for _, text := range []string{released.Lat, released.Lon} {
				if _, after, _ := strings.Cut(text, "."); len(after) != decimals || strings.Trim(text, "-0.") == "" && text[0] == '-' {
					t.Fatalf("%q for %d decimals", text, decimals)
				}
			}
			path, err := place.Between(p, place.Point{Lat: lat, Lon: lon, Datum: p.Datum})
			if err != nil || path.Metres > released.RadiusM+1e-3 || released.RadiusM >= wider {
				t.Fatalf("%v released as %+v, %g m away, %v", p, released, path.Metres, err)
			}
			wider = released.RadiusM
		}
	})
}

func TestGeneraliseRefuses(t *testing.T) {
	t.Parallel()
	for _, decimals := range []int{-1, 4} {
		if got, err := flinders.Generalise(decimals); err == nil {
			t.Errorf("%d decimals: %+v", decimals, got)
		}
	}
	if got, err := (place.Point{Lat: 144, Datum: place.WGS84}).Generalise(1); err == nil {
		t.Errorf("latitude 144: %+v", got)
	}
}
