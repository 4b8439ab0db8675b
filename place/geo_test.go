package place_test

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"dawnround/internal/shared"
	"dawnround/place"

	"pgregory.net/rapid"
)

// table reads reference rows, each by column name.
func table(t *testing.T, name string) []map[string]string {
	t.Helper()
	file, err := os.Open(shared.File(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var all []map[string]string
	for _, row := range rows[1:] {
		cells := map[string]string{}
		for i, column := range rows[0] {
			cells[column] = row[i]
		}
		all = append(all, cells)
	}
	return all
}

func float(t *testing.T, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.9f, want %.9f within %g", what, got, want, tolerance)
	}
}

// gridFor is the zone and datum behind an EPSG number of a grid.
func gridFor(t *testing.T, epsg int) (place.Datum, int) {
	t.Helper()
	for zone := 1; zone <= 60; zone++ {
		for _, g := range []place.Grid{{Datum: place.GDA2020, Zone: zone, South: true}, {Datum: place.GDA94, Zone: zone, South: true},
			{Datum: place.WGS84, Zone: zone, South: true}, {Datum: place.WGS84, Zone: zone}} {
			if g.EPSG() == epsg {
				return g.Datum, zone
			}
		}
	}
	t.Fatalf("no grid with EPSG number %d", epsg)
	return "", 0
}

// Rows recomputed with PROJ 9.1.1; two of them published in the GDA2020
// Technical Manual (ICSM).
func TestProjectionVectors(t *testing.T) {
	t.Parallel()
	checked := 0
	for _, row := range table(t, "standards/data/geo_vectors.csv") {
		if row["kind"] != "project" {
			continue
		}
		checked++
		name := row["name"]
		epsg, err := strconv.Atoi(strings.TrimPrefix(row["target_crs"], "EPSG:"))
		if err != nil {
			t.Fatal(err)
		}
		datum, zone := gridFor(t, epsg)
		if source := "EPSG:" + strconv.Itoa(datum.EPSG()); source != row["crs_or_ellipsoid"] {
			t.Errorf("%s: latitude and longitude are %s, want %s", name, source, row["crs_or_ellipsoid"])
		}
		p := place.Point{Lat: float(t, row["lat_or_point1"]), Lon: float(t, row["lon_or_point2"]), Datum: datum}
		g, err := p.GridIn(zone)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		near(t, name+" easting", g.Easting, float(t, row["easting_or_distance_m"]), 0.001)
		near(t, name+" northing", g.Northing, float(t, row["northing_or_azimuth12"]), 0.001)
		back, err := g.Point()
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		near(t, name+" latitude", back.Lat, p.Lat, 1e-9)
		near(t, name+" longitude", back.Lon, p.Lon, 1e-9)
		convergence, scale := gridNorth(t, p, zone)
		near(t, name+" convergence", convergence, float(t, row["convergence_or_azimuth21"]), 1e-5)
		near(t, name+" scale", scale, float(t, row["scale"]), 1e-7)
	}
	if checked < 9 {
		t.Errorf("only %d rows", checked)
	}
}

// gridNorth measures, over a short step north, by how many degrees grid north
// lies east of true north (the sign that PROJ has; the manual has the other)
// and the grid's scale.
func gridNorth(t *testing.T, p place.Point, zone int) (convergence, scale float64) {
	t.Helper()
	const step = 0.0005
	south, north := p, p
	south.Lat, north.Lat = max(-80, p.Lat-step), min(84, p.Lat+step)
	if p.Lat == 0 {
		south.Lat = 0 // the northing jumps at the equator
	}
	a, errA := south.GridIn(zone)
	b, errB := north.GridIn(zone)
	path, errC := place.Between(south, north)
	if errA != nil || errB != nil || errC != nil {
		t.Fatal(errA, errB, errC)
	}
	east, up := b.Easting-a.Easting, b.Northing-a.Northing
	return -math.Atan2(east, up) * 180 / math.Pi, math.Hypot(east, up) / path.Metres
}

func dms(d, m, s float64) float64 { return d + m/60 + s/3600 }

var (
	flinders  = place.Point{Lat: -dms(37, 57, 3.72030), Lon: dms(144, 25, 29.52440), Datum: place.GDA2020}
	buninyong = place.Point{Lat: -dms(37, 39, 10.15610), Lon: dms(143, 55, 35.38390), Datum: place.GDA2020}
)

// The worked example of the GDA2020 Technical Manual (ICSM).
func TestTechnicalManual(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		point             place.Point
		zone              int
		easting, northing float64
	}{
		{flinders, 55, 273741.297, 5796489.777},
		{buninyong, 54, 758173.797, 5828674.340},
	} {
		g, err := c.point.Grid()
		if err != nil || g.Zone != c.zone || !g.South {
			t.Fatalf("%+v, %v", g, err)
		}
		near(t, "easting", g.Easting, c.easting, 0.001)
		near(t, "northing", g.Northing, c.northing, 0.001)
	}
	path, err := place.Between(flinders, buninyong)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "distance", path.Metres, 54972.271, 0.001)
	near(t, "azimuth there", path.There, dms(306, 52, 5.37), 0.01/3600)
	near(t, "azimuth back", path.Back, dms(127, 10, 25.07), 0.01/3600)
}

func TestDistanceVectors(t *testing.T) {
	t.Parallel()
	checked := 0
	for _, row := range table(t, "standards/data/geo_vectors.csv") {
		if row["kind"] != "distance" {
			continue
		}
		checked++
		point := func(text string) place.Point {
			pair := strings.Fields(text)
			return place.Point{Lat: float(t, pair[0]), Lon: float(t, pair[1]), Datum: place.WGS84}
		}
		path, err := place.Between(point(row["lat_or_point1"]), point(row["lon_or_point2"]))
		if err != nil {
			t.Errorf("%s: %v", row["name"], err)
		}
		near(t, row["name"], path.Metres, float(t, row["easting_or_distance_m"]), 0.001)
		near(t, row["name"]+" azimuth there", path.There, float(t, row["northing_or_azimuth12"]), 1e-6)
		near(t, row["name"]+" azimuth back", path.Back, float(t, row["convergence_or_azimuth21"]), 1e-6)
	}
	if checked < 3 {
		t.Errorf("only %d rows", checked)
	}
}

func TestBetween(t *testing.T) {
	t.Parallel()
	const unsaid = -1
	for _, c := range []struct {
		lat1, lon1, lat2, lon2, metres float64
		there, onward                  float64 // azimuths at both ends in the direction of travel
		source                         string
	}{
		{0, 0, 0.5, 179.5, 19936288.579, unsaid, unsaid, "near-antipodal; GeographicLib"},
		{0, 0, 0.5, 179.7, 19944127.421, unsaid, unsaid, "where Vincenty's repetition fails; from memory"},
		{-30, 0, 29.9, 179.8, 19989832.82761, 161.890524736, 18.090737246, "Karney 2013, worked example; from memory"},
		{0, 0, 90, 0, 10001965.7293, 0, 0, "WGS84 quarter meridian; from memory"},
		{0, 0, 0, 180, 20003931.4586, unsaid, unsaid, "twice the quarter meridian, over either pole"},
		{0, 10, 0, 11, 6378137 * math.Pi / 180, 90, 90, "by hand: the equator is a circle"},
		// Karney's test set of geodesics, as the GeographicLib tests have it.
		{35.60777, -139.44815, -11.17491, -69.95921, 8935244.5604818305, 111.098748429560326, 129.289270889708762, "Karney"},
		{-17.42761, 173.34268, -15.84784, 5.93557, 16076603.1631180673, -159.033557661192928, -20.787484651536988, "Karney"},
		{32.84994, 48.28919, -56.28556, -157.70868, 16727068.9438164461, 150.492927788121982, 48.113449399816759, "Karney"},
		{6.96833, 52.74123, -7.39675, -153.82709, 17102477.2496958388, 92.581585386317712, 90.721692165923907, "Karney"},
		{-87.85331, 85.66836, 66.48646, 16.09921, 17286615.3147144645, -65.120313040242748, -4.888658719272296, "Karney"},
		{-25.72959, -144.90758, -57.70581, 90.82121, 9413446.7452453107, -153.647468693117198, -48.343983158876487, "Karney"},
	} {
		path, err := place.Between(place.Point{Lat: c.lat1, Lon: c.lon1, Datum: place.WGS84}, place.Point{Lat: c.lat2, Lon: c.lon2, Datum: place.WGS84})
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.source, path.Metres, c.metres, 0.001)
		if c.there != unsaid {
			near(t, c.source+", azimuth there", path.There, math.Mod(c.there+360, 360), 1e-8)
		}
		if c.onward != unsaid {
			near(t, c.source+", azimuth back", path.Back, math.Mod(c.onward+540, 360), 1e-8)
		}
	}
}

// The path back is the path there, as long and with its azimuths exchanged,
// and so is its mirror image, also where the points lie nearly opposite.
func TestBetweenIsSymmetric(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyPoint(t, "a"), anyPoint(t, "b")
		if rapid.Bool().Draw(t, "nearly opposite") {
			b.Lat = math.Max(-90, math.Min(90, -a.Lat+rapid.Float64Range(-1, 1).Draw(t, "off")))
			b.Lon = a.Lon + 180 - rapid.Float64Range(0, 1).Draw(t, "short")
			if b.Lon > 180 {
				b.Lon -= 360
			}
		}
		there, err1 := place.Between(a, b)
		back, err2 := place.Between(b, a)
		mirrored := func(p place.Point) place.Point { return place.Point{Lat: -p.Lat, Lon: -p.Lon, Datum: p.Datum} }
		mirror, err3 := place.Between(mirrored(a), mirrored(b))
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(err1, err2, err3)
		}
		const furthest = 20003931.4587
		if !(there.Metres >= 0 && there.Metres <= furthest) || math.Abs(there.Metres-back.Metres) > 1e-6 || math.Abs(there.Metres-mirror.Metres) > 1e-6 {
			t.Fatalf("%v to %v: %.7f, back %.7f, mirrored %.7f", a, b, there.Metres, back.Metres, mirror.Metres)
		}
	})
}

// A path through a third point is never shorter.
func TestBetweenIsShortest(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyPoint(t, "a"), anyPoint(t, "b"), anyPoint(t, "c")
		ab, _ := place.Between(a, b)
		bc, _ := place.Between(b, c)
		ac, _ := place.Between(a, c)
		if ac.Metres > ab.Metres+bc.Metres+1e-6 {
			t.Fatalf("%v to %v: %.6f, but %.6f through %v", a, c, ac.Metres, ab.Metres+bc.Metres, b)
		}
	})
}

func anyPoint(t *rapid.T, name string) place.Point {
	return place.Point{Lat: rapid.Float64Range(-90, 90).Draw(t, name+" lat"), Lon: rapid.Float64Range(-180, 180).Draw(t, name+" lon"), Datum: place.WGS84}
}

// Short lines agree with the grid: metres on the grid over the scale.
func TestBetweenNeighboursAgreesWithGrid(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a := place.Point{Lat: rapid.Float64Range(-79, -1).Draw(t, "lat"), Lon: rapid.Float64Range(145, 149).Draw(t, "lon"), Datum: place.WGS84}
		ga, err := a.GridIn(55)
		if err != nil {
			t.Fatal(err)
		}
		gb := ga
		gb.Easting += rapid.Float64Range(-50, 50).Draw(t, "east")
		gb.Northing += rapid.Float64Range(-50, 50).Draw(t, "north")
		b, err := gb.Point()
		if err != nil {
			t.Fatal(err)
		}
		path, err := place.Between(a, b)
		if err != nil {
			t.Fatal(err)
		}
		// The scale on the sphere, by hand: 0.9996 (1 + E²/2R²), good to 1e-6 here.
		off := (ga.Easting+gb.Easting)/2 - 500000
		scale := 0.9996 * (1 + off*off/(2*6.378e6*6.378e6))
		metres := math.Hypot(gb.Easting-ga.Easting, gb.Northing-ga.Northing) / scale
		if math.Abs(path.Metres-metres) > 1e-3 {
			t.Fatalf("%.6f by the ellipsoid, %.6f by the grid", path.Metres, metres)
		}
	})
}

func TestBetweenRefuses(t *testing.T) {
	t.Parallel()
	for says, pair := range map[string][2]place.Point{
		"one datum":     {{Lat: -37, Lon: 144, Datum: place.GDA94}, {Lat: -37, Lon: 144, Datum: place.GDA2020}},
		"not known":     {{Lat: -37, Lon: 144}, {Lat: -37, Lon: 144}},
		"swapped":       {{Lat: 144, Lon: -37, Datum: place.WGS84}, {Datum: place.WGS84}},
		"longitude 200": {{Datum: place.WGS84}, {Lon: 200, Datum: place.WGS84}},
		"NaN":           {{Datum: place.WGS84}, {Lat: math.NaN(), Datum: place.WGS84}},
	} {
		if path, err := place.Between(pair[0], pair[1]); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, %v", says, path, err)
		}
	}
}

// Random points in their own zone come back to within 0.1 mm.
func TestGridRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := place.Point{Lat: rapid.Float64Range(-80, 84).Draw(t, "lat"), Lon: rapid.Float64Range(-180, 180).Draw(t, "lon"), Datum: place.WGS84}
		if rapid.Bool().Draw(t, "Australian") {
			p = place.Point{Lat: rapid.Float64Range(-60, 0).Draw(t, "south"), Lon: rapid.Float64Range(93.5, 173).Draw(t, "east"),
				Datum: rapid.SampledFrom([]place.Datum{place.GDA2020, place.GDA94}).Draw(t, "datum")}
		}
		g, err := p.Grid()
		if err != nil {
			t.Fatal(err)
		}
		back, err := g.Point()
		if err != nil {
			t.Fatal(err)
		}
		path, err := place.Between(p, back)
		if err != nil || path.Metres > 1e-4 || back.Datum != p.Datum {
			t.Fatalf("%v came back as %v, %g m away, %v", p, back, path.Metres, err)
		}
	})
}

func TestZone(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		lat, lon float64
		datum    place.Datum
		zone     int
	}{
		{-37, 143.999999, place.GDA2020, 54}, {-37, 144, place.GDA2020, 55},
		{-37, 149.999999, place.WGS84, 55}, {-37, 150, place.WGS84, 56},
		{0, -180, place.WGS84, 1}, {0, 180, place.WGS84, 1}, {0, 179.999, place.WGS84, 60}, {0, 0, place.WGS84, 31},
		// Norway and Svalbard: DMA Technical Manual 8358.2, from memory.
		{60, 2.999, place.WGS84, 31}, {60, 3, place.WGS84, 32}, {55.999, 3, place.WGS84, 31}, {64, 3, place.WGS84, 31}, {60, 6, place.WGS84, 32},
		{78, -0.001, place.WGS84, 30}, {78, 0, place.WGS84, 31}, {78, 8.999, place.WGS84, 31}, {78, 9, place.WGS84, 33}, {78, 20.999, place.WGS84, 33},
		{78, 21, place.WGS84, 35}, {78, 33, place.WGS84, 37}, {78, 41.999, place.WGS84, 37}, {78, 42, place.WGS84, 38}, {71.999, 9, place.WGS84, 32},
	} {
		if got := (place.Point{Lat: c.lat, Lon: c.lon, Datum: c.datum}).Zone(); got != c.zone {
			t.Errorf("%v, %v %s: zone %d, want %d", c.lat, c.lon, c.datum, got, c.zone)
		}
	}
}

func TestEPSG(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		grid place.Grid
		want int
	}{
		{place.Grid{Datum: place.GDA2020, Zone: 55, South: true}, 7855},
		{place.Grid{Datum: place.GDA2020, Zone: 46, South: true}, 7846},
		{place.Grid{Datum: place.GDA2020, Zone: 45, South: true}, 0},
		{place.Grid{Datum: place.GDA2020, Zone: 55}, 0},
		{place.Grid{Datum: place.GDA94, Zone: 55, South: true}, 28355},
		{place.Grid{Datum: place.WGS84, Zone: 55, South: true}, 32755},
		{place.Grid{Datum: place.WGS84, Zone: 32}, 32632},
		{place.Grid{Datum: place.WGS84, Zone: 61}, 0},
		{place.Grid{Zone: 55, South: true}, 0},
	} {
		if got := c.grid.EPSG(); got != c.want {
			t.Errorf("%+v: %d, want %d", c.grid, got, c.want)
		}
	}
	if got := []int{place.GDA2020.EPSG(), place.GDA94.EPSG(), place.WGS84.EPSG(), place.Datum("").EPSG()}; !slices.Equal(got, []int{7844, 4283, 4326, 0}) {
		t.Error(got)
	}
}

func TestGridRefuses(t *testing.T) {
	t.Parallel()
	for says, grid := range map[string]place.Grid{
		"looks swapped":     {Datum: place.GDA2020, Zone: 55, South: true, Easting: 5796490, Northing: 273741},
		"outside 100000":    {Datum: place.GDA2020, Zone: 55, South: true, Easting: 99_999, Northing: 5796490},
		"900001":            {Datum: place.GDA2020, Zone: 55, South: true, Easting: 900_001, Northing: 5796490},
		"northing":          {Datum: place.GDA2020, Zone: 55, South: true, Easting: 273741, Northing: 579649},
		"zones 46 to 59":    {Datum: place.GDA2020, Zone: 5, South: true, Easting: 273741, Northing: 5796490},
		"south of":          {Datum: place.GDA94, Zone: 55, Easting: 273741, Northing: 5796490},
		"from 1 to 60":      {Datum: place.WGS84, Zone: 61, Easting: 273741, Northing: 5796490},
		"not known":         {Zone: 55, South: true, Easting: 273741, Northing: 5796490},
		"easting NaN":       {Datum: place.WGS84, Zone: 55, Easting: math.NaN(), Northing: 5796490},
		"northing 10000001": {Datum: place.WGS84, Zone: 55, South: true, Easting: 273741, Northing: 10_000_001},
	} {
		if p, err := grid.Point(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, %v", says, p, err)
		}
	}
	for says, p := range map[string]place.Point{
		"grid ends":  {Lat: 85, Datum: place.WGS84},
		"south of":   {Lat: 1, Lon: 145, Datum: place.GDA2020},
		"zones 46":   {Lat: -30, Lon: 10, Datum: place.GDA2020},
		"impossible": {Lat: 144, Lon: -37, Datum: place.GDA2020},
	} {
		if g, err := p.Grid(); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v, %v", says, g, err)
		}
	}
	for _, zone := range []int{53, 57, 1} {
		if g, err := flinders.GridIn(zone); zone != 54 && (err == nil || !strings.Contains(err.Error(), "zone")) {
			t.Errorf("zone %d: %v, %v", zone, g, err)
		}
	}
}

func BenchmarkBetween(b *testing.B) {
	for b.Loop() {
		if _, err := place.Between(flinders, buninyong); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkGrid(b *testing.B) {
	for b.Loop() {
		if _, err := flinders.Grid(); err != nil {
			b.Fatal(err)
		}
	}
}
