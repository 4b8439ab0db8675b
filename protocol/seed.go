package protocol

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/place"
	"dawnround/record"
)

// Datums are those a position may be given in.
var Datums = []string{string(place.WGS84), string(place.GDA2020), string(place.GDA94)}

// Seed gives the lines the file seeds, to be kept once when the protocol is
// first adopted: people, each site with its traps, label series, bag tares. The
// error names a value that Parse would have refused.
func (p *Protocol) Seed() ([]record.Body, error) {
	var lines []record.Body
	for _, s := range p.Seeds.People {
		lines = append(lines, record.Person{Initials: s.Initials, Name: s.Name, Role: s.Role})
	}
	for _, s := range p.Seeds.Sites {
		lines = append(lines, record.Site{Site: s.Site, Name: s.Name, Note: s.Note})
		for _, t := range s.Traps {
			trap, err := s.trap(t)
			if err != nil {
				return nil, fmt.Errorf("site %s, trap %s: %w", s.Site, t.Trap, err)
			}
			lines = append(lines, trap)
		}
	}
	for _, s := range p.Seeds.Labels {
		lines = append(lines, record.Labels{Sample: s.Kind, Series: s.Series, Team: s.Team})
	}
	for _, s := range p.Seeds.Bags {
		mass, err := record.ParseQuantity(s.Mass)
		if err != nil {
			return nil, fmt.Errorf("bag %s: %w", s.Bag, err)
		}
		lines = append(lines, record.Tare{Bag: s.Bag, Mass: mass})
	}
	return lines, nil
}

// trap makes the line of one trap, its place in latitude and longitude.
func (s SeedSite) trap(t SeedTrap) (record.Trap, error) {
	line := record.Trap{Site: s.Site, Trap: t.Trap, Type: t.Kind, ErrM: t.ErrM}
	if t.placed() {
		at, err := s.point(t)
		if err != nil {
			return line, err
		}
		line.Lat, line.Lon, line.Datum = at.Lat, at.Lon, s.Datum
	}
	var err error
	if line.From, err = night(t.From); err != nil {
		return line, err
	}
	line.To, err = night(t.To)
	return line, err
}

// point is where a trap stands.
func (s SeedSite) point(t SeedTrap) (place.Point, error) {
	if !t.inUTM() {
		return place.Point{Lat: t.Lat, Lon: t.Lon, Datum: place.Datum(s.Datum)}, nil
	}
	g := place.Grid{Datum: place.Datum(s.Datum), Zone: max(s.Zone, -s.Zone), South: s.Zone < 0, Easting: t.East, Northing: t.North}
	return g.Point()
}

func night(text string) (record.Night, error) {
	if text == "" {
		return record.Night{}, nil
	}
	return record.ParseNight(text)
}

func (t SeedTrap) inUTM() bool  { return t.East != 0 || t.North != 0 }
func (t SeedTrap) placed() bool { return t.inUTM() || t.Lat != 0 || t.Lon != 0 }

func (r *review) trapKinds(p *Protocol) {
	var all []named
	for i := range p.Traps {
		k := &p.Traps[i]
		all = append(all, named{&k.ID, words(k.ID, k.Name, nil)})
		r.id(&k.ID)
	}
	r.names(all)
}

func (r *review) seeds(p *Protocol) {
	var people, sites, bags []named
	for i := range p.Seeds.People {
		s := &p.Seeds.People[i]
		people = append(people, named{&s.Initials, []string{s.Initials}})
		r.id(&s.Initials)
	}
	for i := range p.Seeds.Sites {
		s := &p.Seeds.Sites[i]
		sites = append(sites, named{&s.Site, []string{s.Site}})
		r.id(&s.Site)
		r.site(p, s)
	}
	for i := range p.Seeds.Labels {
		s := &p.Seeds.Labels[i]
		r.series(&s.Series)
		if _, ok := p.Sample(s.Kind); !ok && s.Kind != "" {
			r.say(&s.Kind, fmt.Sprintf("sample kind %q is not under samples:", s.Kind), "describe it there, or leave it out for any kind")
		}
	}
	for i := range p.Seeds.Bags {
		s := &p.Seeds.Bags[i]
		bags = append(bags, named{&s.Bag, []string{s.Bag}})
		r.id(&s.Bag)
		if mass, err := record.ParseQuantity(s.Mass); err != nil || mass.Milli <= 0 {
			r.say(&s.Mass, fmt.Sprintf("mass g %q is not the mass of a bag", s.Mass), "write grams, like 102.5")
		}
	}
	r.names(people)
	r.names(sites)
	r.names(bags)
}

// site checks a site and its traps.
func (r *review) site(p *Protocol, s *SeedSite) {
	r.oneOf(&s.Datum, "datum", Datums...)
	if slices.ContainsFunc(s.Traps, SeedTrap.placed) && s.Datum == "" {
		r.say(&s.Datum, "positions without their datum", write("", Datums))
	}
	if slices.ContainsFunc(s.Traps, SeedTrap.inUTM) && s.Zone == 0 {
		r.say(&s.Zone, "east and north without their zone", "write utm zone: 1 to 60, negative in the south")
	}
	spans := map[string][]*SeedTrap{}
	for i := range s.Traps {
		t := &s.Traps[i]
		r.id(&t.Trap)
		r.position(s, t)
		notNegative(r, &t.ErrM, "accuracy m")
		if t.Kind != "" && !slices.ContainsFunc(p.Traps, func(k TrapKind) bool { return k.ID == t.Kind }) {
			r.say(&t.Kind, fmt.Sprintf("kind %q is not under trap kinds:", t.Kind), "describe it there")
		}
		name := strings.ToLower(t.Trap)
		for _, other := range spans[name] {
			if overlap(*t, *other) {
				r.say(&t.Trap, fmt.Sprintf("trap %s stands here twice, first on line %d", t.Trap, r.spots[&other.Trap].line), "rename one; for a trap that was moved, say from and to")
			}
		}
		spans[name] = append(spans[name], t)
	}
}

// overlap tells whether two positions were in use on one night. ISO dates
// compare as text.
func overlap(a, b SeedTrap) bool {
	return (a.To == "" || b.From == "" || a.To >= b.From) && (b.To == "" || a.From == "" || b.To >= a.From)
}

// position checks where a trap stands, and when.
func (r *review) position(s *SeedSite, t *SeedTrap) {
	latLon, utm := t.Lat != 0 || t.Lon != 0, t.inUTM()
	switch {
	case latLon && utm:
		r.say(&t.Lat, "two positions for one trap", "keep lat and lon, or east and north")
	case latLon && (t.Lat == 0 || t.Lon == 0):
		r.say(&t.Lat, "half a position", "write both lat and lon")
	case utm && (t.East == 0 || t.North == 0):
		r.say(&t.East, "half a position", "write both east and north")
	case utm && s.Zone != 0 && slices.Contains(Datums, s.Datum):
		if _, err := s.point(*t); err != nil {
			r.say(&t.East, err.Error(), "correct it, or the site's utm zone or datum")
		}
	case t.Lat < -90 || t.Lat > 90 || t.Lon < -180 || t.Lon > 180:
		r.say(&t.Lat, fmt.Sprintf("lat %v, lon %v is nowhere", t.Lat, t.Lon), "write decimal degrees, south and west negative")
	}
	r.night(&t.From, "from")
	r.night(&t.To, "to")
	if t.From != "" && t.To != "" && t.From > t.To {
		r.say(&t.To, fmt.Sprintf("valid to %s, before it is valid from %s", t.To, t.From), "write the earlier as from")
	}
}

func (r *review) night(field *string, key string) {
	if _, err := night(*field); err != nil {
		r.say(field, fmt.Sprintf("%s %q is not a date", key, *field), "write it like 2026-05-13")
	}
}
