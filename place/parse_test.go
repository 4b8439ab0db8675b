package place_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"dawnround/place"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text  string
		datum place.Datum
		lat   float64
		lon   float64
	}{
		{"-37.95103, 144.42487", place.GDA2020, -37.95103, 144.42487},
		{"-37.95103,144.42487", place.GDA2020, -37.95103, 144.42487},
		{"−37.95103 144.42487", place.GDA2020, -37.95103, 144.42487},
		{"37.95103 S 144.42487 E", place.GDA94, -37.95103, 144.42487},
		{"S37.95103 E144.42487", place.GDA94, -37.95103, 144.42487},
		{"144.42487E; 37.95103S", place.GDA94, -37.95103, 144.42487},
		{"37.95103 s 144.42487", place.WGS84, -37.95103, 144.42487},
		{"40.0 N, 105.0 W", place.WGS84, 40, -105},
		{"40, -105", place.WGS84, 40, -105},
		{"-0 30 0, -0 0 36", place.WGS84, -0.5, -0.01},
		{`37°57'03.72030"S 144°25'29.52440"E`, place.GDA2020, flinders.Lat, flinders.Lon},
		{`37° 57′ 03.72030″ S, 144° 25′ 29.52440″ E`, place.GDA2020, flinders.Lat, flinders.Lon},
		{"-37 57 03.72030, 144 25 29.52440", place.GDA2020, flinders.Lat, flinders.Lon},
		{"-37:57:03.72030 144:25:29.52440", place.GDA2020, flinders.Lat, flinders.Lon},
		{"-37 57.062005, 144 25.4920733", place.GDA2020, flinders.Lat, flinders.Lon},
		{"N 37 30 E 144 15", place.WGS84, 37.5, 144.25},
		{"55 273741.297 5796489.777", place.GDA2020, flinders.Lat, flinders.Lon},
		{"55 273741.297, 5796489.777", place.GDA2020, flinders.Lat, flinders.Lon},
		{"MGA2020 zone 55 273741.297E 5796489.777N", "", flinders.Lat, flinders.Lon},
		{"273741.297 mE 5796489.777 mN zone 55", place.GDA2020, flinders.Lat, flinders.Lon},
		{"E 273741.297 N 5796489.777 zone55", place.GDA2020, flinders.Lat, flinders.Lon},
		{"55H 273741.297 5796489.777", place.WGS84, flinders.Lat, flinders.Lon},
		{"UTM 55 south 273741.297 5796489.777", place.WGS84, flinders.Lat, flinders.Lon},
		{"30U 708213.9506 5707224.5426 WGS84", "", 51.4778, -0.0015}, // geo_vectors.csv, Greenwich (PROJ 9.1.1)
		{"30 north 708213.9506 5707224.5426", place.WGS84, 51.4778, -0.0015},
		{"30N 708213.9506 5707224.5426", place.WGS84, 51.4778, -0.0015},
	} {
		got, err := place.Parse(c.text, c.datum)
		if err != nil || got.Datum == "" || c.datum != "" && got.Datum != c.datum {
			t.Errorf("%q: %+v, %v", c.text, got, err)
			continue
		}
		near(t, c.text+" latitude", got.Lat, c.lat, 1e-8)
		near(t, c.text+" longitude", got.Lon, c.lon, 1e-8)
	}
}

func TestParseRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text  string
		datum place.Datum
		says  string
	}{
		{"144.42487, -37.95103", place.GDA2020, "looks swapped"},
		{"144 S 37 E", place.GDA2020, "latitude -144"},
		{"37.95103, 144.42487", place.GDA2020, "north of the equator"},
		{"-37.95103, 244.42487", place.GDA2020, "longitude 244.42487"},
		{"273741 5796490", place.GDA2020, "zone is missing"},
		{"273741E 5796490N", place.GDA2020, "zone is missing"},
		{"55 5796490 273741", place.GDA2020, "looks swapped"},
		{"55 5796490N 273741E", place.GDA2020, "northing stands first"},
		{"55 99999 5796490", place.GDA2020, "outside 100000 to 900000"},
		{"5 273741 5796490", place.GDA2020, "zones 46 to 59"},
		{"zone 61 273741 5796490", place.WGS84, "expected a zone"},
		{"55 273741 5796490", place.WGS84, "north or south is missing"},
		{"55S 273741 5796490", place.WGS84, "S beside a zone"},
		{"55N 273741 5796490", place.GDA2020, "south of the equator"},
		{"55I 273741 5796490", place.WGS84, "no band"},
		{"55 273741", place.GDA2020, "expected a zone"},
		{"55 273741 5796490 10", place.GDA2020, "expected a zone"},
		{"55 hut 273741 5796490", place.GDA2020, "HUT"},
		{"GDA94 -37.9, 144.4", place.GDA2020, "it says GDA94 where GDA2020"},
		{"-37.9, 144.4", "", "no datum"},
		{"-37.9, 144.4", "AGD66", "not known"},
		{"-37,95103; 144,42487", place.GDA2020, "decimal point"},
		{"-37,95; 144,42", place.GDA2020, "more than one comma"},
		{"-37.9 S, 144.4 E", place.GDA2020, "not both"},
		{"37.9 S, 144.4 S", place.GDA2020, "both numbers are a latitude"},
		{"-37 60 0, 144 25 0", place.GDA2020, "below 60"},
		{"-37.5 30, 144 25", place.GDA2020, "only the last"},
		{"-37 -30, 144 25", place.GDA2020, "below 60"},
		{"-37.9", place.GDA2020, "expected a latitude"},
		{"-37.9,", place.GDA2020, "expected a latitude"},
		{"S 144.4", place.GDA2020, "expected a latitude"},
		{"37 1 1 1, 144", place.WGS84, "expected a latitude"},
		{"37 X 144 Y", place.WGS84, "letters are N, S, E and W"},
		{"", place.GDA2020, "expected a latitude"},
		{"37..5 144", place.WGS84, "no number"},
		{"--37 144", place.WGS84, "no number"},
		{"nowhere", place.WGS84, "expected a latitude"},
		{"٣٧, ١٤٤", place.WGS84, "no number"},
	} {
		got, err := place.Parse(c.text, c.datum)
		if err == nil || !strings.Contains(err.Error(), c.says) || !strings.HasPrefix(err.Error(), "coordinate ") {
			t.Errorf("%q: %+v, error %v; want an error with %q", c.text, got, err, c.says)
		}
	}
}

// What is written in any of the ways reads back.
func TestParseWhatWasWritten(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := place.Point{Lat: rapid.Float64Range(-60, -0.001).Draw(t, "lat"), Lon: rapid.Float64Range(93.5, 173).Draw(t, "lon"), Datum: place.GDA2020}
		g, err := p.Grid()
		if err != nil {
			t.Fatal(err)
		}
		sexagesimal := func(x float64) string {
			seconds := math.Round(math.Abs(x)*3600*1e6) / 1e6
			degrees := math.Floor(seconds / 3600)
			minutes := math.Floor((seconds - degrees*3600) / 60)
			return fmt.Sprintf("%.0f %.0f %.6f", degrees, minutes, math.Abs(seconds-degrees*3600-minutes*60))
		}
		for _, text := range []string{
			fmt.Sprintf("%.9f, %.9f", p.Lat, p.Lon),
			fmt.Sprintf("%.9f E %.9f S", p.Lon, -p.Lat),
			sexagesimal(p.Lat) + " S " + sexagesimal(p.Lon) + " E",
			fmt.Sprintf("%d %.4f %.4f", g.Zone, g.Easting, g.Northing),
		} {
			got, err := place.Parse(text, place.GDA2020)
			if err != nil {
				t.Fatal(err)
			}
			if path, err := place.Between(p, got); err != nil || path.Metres > 2e-4 {
				t.Fatalf("%q is %g m off, %v", text, path.Metres, err)
			}
		}
	})
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"-37.95103, 144.42487", `37°57'03.7"S 144°25'29.5"E`, "55H 273741 5796490", "MGA2020 zone 55 273741E 5796490N",
		"S 37.9 E 144.4", "-0 0 36; 1", "1e400, 2", "144.4 E 37.9", ",", "."} {
		f.Add(text, "GDA2020")
		f.Add(text, "WGS84")
		f.Add(text, "")
	}
	f.Fuzz(func(t *testing.T, text, datum string) {
		p, err := place.Parse(text, place.Datum(datum))
		if err != nil {
			return
		}
		if !(math.Abs(p.Lat) <= 90 && math.Abs(p.Lon) <= 180) || p.Datum.EPSG() == 0 {
			t.Fatalf("%q is nowhere: %+v", text, p)
		}
		again, err := place.Parse(fmt.Sprintf("%.12f, %.12f", p.Lat, p.Lon), p.Datum)
		if err != nil && p.Datum != place.WGS84 && p.Lat > -1e-12 {
			return // on the equator
		}
		if err != nil || math.Abs(again.Lat-p.Lat) > 1e-11 || math.Abs(again.Lon-p.Lon) > 1e-11 {
			t.Fatalf("%q gave %+v, which reads as %+v, %v", text, p, again, err)
		}
	})
}
