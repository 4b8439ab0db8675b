package trapside

import (
	"fmt"
	"strings"
	"time"

	"dawnround/page"
	"dawnround/place"
	"dawnround/protocol"
	"dawnround/register"
)

// Limit is a welfare limit with its source.
type Limit struct{ Name, Value, Means, Source string }

// lightAt is dusk and dawn at the first trap of the site that has a place.
func lightAt(r *register.Register, w Where, zone *time.Location) []page.Pair {
	for _, t := range walking(r, w.Site, w.Night) {
		if t.Datum == "" {
			continue
		}
		at := place.Point{Lat: t.Lat, Lon: t.Lon, Datum: place.Datum(t.Datum)}
		evening, err := at.Light(w.Night.Year, time.Month(w.Night.Month), w.Night.Day, zone)
		if err != nil {
			continue
		}
		next := w.Night.Add(1)
		morning, err := at.Light(next.Year, time.Month(next.Month), next.Day, zone)
		if err != nil {
			continue
		}
		return []page.Pair{
			{Term: "sunset", Is: evening.Sunset.String()}, {Term: "civil dusk", Is: evening.CivilDusk.String()},
			{Term: "civil dawn", Is: morning.CivilDawn.String()}, {Term: "sunrise", Is: morning.Sunrise.String()},
			{Term: "clear by", Is: clearBy(r.Protocol(), morning.Sunrise)},
		}
	}
	return nil
}

// clearBy is by when all traps are to be seen, by the team's own limit.
func clearBy(p *protocol.Protocol, sunrise place.Crossing) string {
	hours, source, on := p.Limit("hours after sunrise")
	if !on || sunrise.Course != place.Crosses {
		return "no limit typed"
	}
	return fmt.Sprintf("%s (%v h after sunrise; %s)", page.Clock(sunrise.At.Add(time.Duration(hours*float64(time.Hour)))), hours, source)
}

func limits(p *protocol.Protocol) []Limit {
	var out []Limit
	for _, l := range protocol.Limits {
		if value, source, on := p.Limit(l.ID); on {
			out = append(out, Limit{Name: l.ID, Value: strings.TrimSuffix(fmt.Sprintf("%v %s", value, unitWords(l.Unit)), " "), Means: l.Means, Source: source})
		}
	}
	return out
}

// unitWords is a UCUM code as people write it.
func unitWords(code string) string {
	switch code {
	case "Cel":
		return "°C"
	case "1":
		return ""
	case "mL":
		return "ml"
	}
	return code
}
