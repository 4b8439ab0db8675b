package place_test

import (
	"testing"
	"time"
	_ "time/tzdata" // the zones below, wherever the test runs

	"dawnround/place"

	"pgregory.net/rapid"
)

func at(t *testing.T, text string) time.Time {
	t.Helper()
	moment, err := time.Parse("2006-01-02T15:04Z", text)
	if err != nil {
		t.Fatal(err)
	}
	return moment
}

func within(t *testing.T, what string, got place.Crossing, want time.Time, tolerance time.Duration) {
	t.Helper()
	if off := got.At.Sub(want).Abs(); got.Course != place.Crosses || off > tolerance {
		t.Errorf("%s: %v (%v), want %v", what, got, got.At.UTC(), want)
	}
}

// solar is the zone of a place's own longitude, for a local solar date.
func solar(lon float64) *time.Location { return time.FixedZone("solar", int(lon*240)) }

// Rows by an independent astronomical library (XEphem's core).
func TestSunVectors(t *testing.T) {
	t.Parallel()
	checked := 0
	for _, row := range table(t, "standards/data/sun_moon_vectors.csv") {
		if row["kind"] != "sun" {
			continue
		}
		checked++
		p := place.Point{Lat: float(t, row["lat"]), Lon: float(t, row["lon"]), Datum: place.WGS84}
		date, err := time.Parse(time.DateOnly, row["local_solar_date"])
		if err != nil {
			t.Fatal(err)
		}
		light, err := p.Light(date.Year(), date.Month(), date.Day(), solar(p.Lon))
		if err != nil {
			t.Fatal(err)
		}
		name := row["place"] + " " + row["local_solar_date"]
		within(t, name+" sunrise", light.Sunrise, at(t, row["sunrise_ut"]), time.Minute)
		within(t, name+" sunset", light.Sunset, at(t, row["sunset_ut"]), time.Minute)
		within(t, name+" civil dawn", light.CivilDawn, at(t, row["civil_dawn_ut"]), time.Minute)
		within(t, name+" civil dusk", light.CivilDusk, at(t, row["civil_dusk_ut"]), time.Minute)
	}
	if checked < 26 {
		t.Errorf("only %d rows", checked)
	}
}

func TestMoonVectors(t *testing.T) {
	t.Parallel()
	checked := 0
	for _, row := range table(t, "standards/data/sun_moon_vectors.csv") {
		if row["kind"] == "moon" {
			checked++
			near(t, "moon "+row["local_solar_date"], place.MoonLit(at(t, row["local_solar_date"])), float(t, row["moon_fraction"]), 0.005)
		}
	}
	if checked < 4 {
		t.Errorf("only %d rows", checked)
	}
	// Meeus 1998, example 48.a (from memory), and the new moon of example 49.a.
	near(t, "moon 1992-04-12", place.MoonLit(at(t, "1992-04-12T00:00Z")), 0.6786, 0.005)
	near(t, "new moon 1977-02-18", place.MoonLit(at(t, "1977-02-18T03:37Z")), 0, 0.005)
}

func TestMoonStaysWithinItsDisc(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		moment := time.Unix(rapid.Int64Range(-3e9, 5e9).Draw(t, "seconds"), 0)
		if lit := place.MoonLit(moment); !(lit >= 0 && lit <= 1) {
			t.Fatalf("%v: %v lit", moment, lit)
		}
	})
}

var tromso = place.Point{Lat: 69.65, Lon: 18.96, Datum: place.WGS84}

// Polar night and midnight sun are words. Twilight at Tromsø: the same
// library as the vectors.
func TestAlwaysUpAndNeverUp(t *testing.T) {
	t.Parallel()
	dark, err := tromso.Light(2026, time.December, 22, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	if dark.Sunrise.Course != place.NeverUp || dark.Sunset.Course != place.NeverUp || dark.Sunrise.String() != "never up" {
		t.Errorf("22 December: sunrise %v, sunset %v", dark.Sunrise, dark.Sunset)
	}
	within(t, "civil dawn", dark.CivilDawn, at(t, "2026-12-22T08:32Z"), 3*time.Minute)
	within(t, "civil dusk", dark.CivilDusk, at(t, "2026-12-22T12:54Z"), 3*time.Minute)
	bright, err := tromso.Light(2026, time.June, 21, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]place.Crossing{"dawn": bright.CivilDawn, "sunrise": bright.Sunrise, "sunset": bright.Sunset, "dusk": bright.CivilDusk} {
		if c.String() != "always up" || !c.At.IsZero() {
			t.Errorf("21 June: %s %v", name, c)
		}
	}
	pole, err := place.Point{Lat: -90, Datum: place.WGS84}.Light(2026, time.January, 1, time.UTC)
	if err != nil || pole.Sunrise.Course != place.AlwaysUp {
		t.Errorf("south pole in January: %+v, %v", pole, err)
	}
}

// The civil date decides, also on the days the clocks change and on both
// sides of the date line.
func TestLightBelongsToTheLocalDate(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name, zone string
		lat, lon   float64
	}{
		{"Melbourne", "Australia/Melbourne", -37.8136, 144.9631}, // clocks back 5 April, forward 4 October 2026
		{"Apia", "Pacific/Apia", -13.83, -171.77},                // UTC+13, though west of 180
		{"Pago Pago", "Pacific/Pago_Pago", -14.28, -170.70},      // UTC-11
		{"Boulder", "America/Denver", 40, -105},
		{"Suva", "Pacific/Fiji", -18.14, 178.44},
	} {
		zone, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		p := place.Point{Lat: c.lat, Lon: c.lon, Datum: place.WGS84}
		var last place.Daylight
		for day := range 365 {
			date := time.Date(2026, time.January, 1+day, 0, 0, 0, 0, zone)
			light, err := p.Light(date.Year(), date.Month(), date.Day(), zone)
			if err != nil {
				t.Fatal(err)
			}
			for _, crossing := range []place.Crossing{light.CivilDawn, light.Sunrise, light.Sunset, light.CivilDusk} {
				if got := crossing.At.Format(time.DateOnly); got != date.Format(time.DateOnly) || crossing.At.Location() != zone {
					t.Errorf("%s: %v is not of %v", c.name, crossing.At, date)
				}
			}
			if step := light.Sunrise.At.Sub(last.Sunrise.At); day > 0 && (step-24*time.Hour).Abs() > 5*time.Minute {
				t.Errorf("%s: %v is %v after the sunrise before", c.name, light.Sunrise.At, step)
			}
			last = light
		}
	}
}

// Dawn, sunrise, sunset and dusk come in this order, and refraction makes the
// day longer than twelve hours at the equinox.
func TestLightComesInOrder(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := place.Point{Lat: rapid.Float64Range(-60, 60).Draw(t, "lat"), Lon: rapid.Float64Range(-180, 180).Draw(t, "lon"), Datum: place.WGS84}
		light, err := p.Light(2026, time.January, rapid.IntRange(1, 365).Draw(t, "day"), solar(p.Lon))
		if err != nil {
			t.Fatal(err)
		}
		order := []place.Crossing{light.CivilDawn, light.Sunrise, light.Sunset, light.CivilDusk}
		if light.CivilDawn.Course == place.AlwaysUp || light.CivilDusk.Course == place.AlwaysUp {
			order = order[1:3] // bright nights
		}
		for i := range order[1:] {
			if order[i].Course != place.Crosses || !order[i].At.Before(order[i+1].At) {
				t.Fatalf("%v: %v, then %v", p, order[i], order[i+1])
			}
		}
		equinox, err := p.Light(2026, time.March, 20, solar(p.Lon))
		if err != nil || equinox.Sunset.At.Sub(equinox.Sunrise.At) <= 12*time.Hour {
			t.Fatalf("%v: equinox from %v to %v, %v", p, equinox.Sunrise.At, equinox.Sunset.At, err)
		}
	})
}

func TestLightRefusesNowhere(t *testing.T) {
	t.Parallel()
	if light, err := (place.Point{Lat: 144.9, Lon: -37.8, Datum: place.GDA2020}).Light(2026, time.March, 20, time.UTC); err == nil {
		t.Errorf("%+v", light)
	}
}

func TestCrossingRoundsToTheMinute(t *testing.T) {
	t.Parallel()
	if got := (place.Crossing{At: time.Date(2026, 3, 20, 6, 59, 45, 0, time.UTC)}).String(); got != "07:00" {
		t.Error(got)
	}
}

func BenchmarkLight(b *testing.B) {
	for b.Loop() {
		if _, err := flinders.Light(2026, time.March, 20, time.UTC); err != nil {
			b.Fatal(err)
		}
	}
}
