package demo_test

import (
	"testing"
	"time"

	"dawnround/place"
)

// The crew keep to the three hours after sunrise that their approval gives.
func TestAllAreReleasedInTime(t *testing.T) {
	t.Parallel()
	r := seedOne().register()
	limit, _, on := r.Protocol().Limit("hours after sunrise")
	if !on {
		t.Fatal("the protocol sets no limit")
	}
	latest := 0.0
	for _, c := range r.Captures() {
		dawn := c.At.Night.Add(1)
		at := place.Point{Lat: -20.62, Lon: 144.65, Datum: place.GDA2020}
		light, err := at.Light(dawn.Year, time.Month(dawn.Month), dawn.Day, brisbane)
		if err != nil {
			t.Fatal(err)
		}
		hours := c.Released.At.Sub(light.Sunrise.At).Hours()
		latest = max(latest, hours)
		if hours > limit {
			t.Errorf("%s on %s: released %.1f h after sunrise", c.At.Trap, c.At.Night, hours)
		}
	}
	if latest < 0.5 {
		t.Errorf("the latest release of all was %.1f h after sunrise: nobody works so fast", latest)
	}
	t.Logf("latest release %.1f h after sunrise", latest)
}
