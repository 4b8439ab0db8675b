package place

// A Datum is the frame a coordinate is measured in, by its usual name; the
// zero value is not stated. A place without a datum can be off by metres, and
// none is ever turned into another here: GDA94 and GDA2020 lie about 1.8 m
// apart, and a hand-held WGS84 fix cannot be told from GDA2020 at its
// accuracy, yet the label must not change in silence.
type Datum string

// The datums in use. Their zones: MGA for GDA2020 and GDA94, UTM for WGS84.
const (
	GDA2020 Datum = "GDA2020"
	GDA94   Datum = "GDA94"
	WGS84   Datum = "WGS84"
)

// ellipsoid is a flattened sphere: its equatorial radius in metres and its
// flattening.
type ellipsoid struct{ a, f float64 }

func (e ellipsoid) b() float64 { return e.a * (1 - e.f) }

var (
	grs80 = ellipsoid{6378137, 1 / 298.257222101} // GDA2020 Technical Manual (ICSM)
	wgs84 = ellipsoid{6378137, 1 / 298.257223563} // EPSG 7030
)

// datums holds, for each datum, its ellipsoid, the EPSG number of its latitude
// and longitude, and what is added to a zone's number for the grid.
var datums = map[Datum]struct {
	ellipsoid
	epsg, gridSouth, gridNorth int
}{
	GDA2020: {grs80, 7844, 7800, 0},
	GDA94:   {grs80, 4283, 28300, 0},
	WGS84:   {wgs84, 4326, 32700, 32600},
}

// EPSG is the number of the datum's latitude and longitude in the EPSG
// register, 0 where the datum is not known.
func (d Datum) EPSG() int { return datums[d].epsg }

// australian tells the datums whose grid is MGA: south only, zones 46 to 59.
func (d Datum) australian() bool { return d == GDA2020 || d == GDA94 }
