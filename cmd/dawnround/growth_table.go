package main

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	curves "dawnround/growth/fitting"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// sizeColumns are those of a table of repeated measures: the first three must
// be there.
var sizeColumns = []string{"animal", "date", "value", "sex", "age"}

// readSizes reads a plain table of animal, date, value, and where they are
// known sex (female, male, F, M) and age in days. An empty value is no reading.
func readSizes(file string, text []byte) ([]curves.Reading, error) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, []byte("\ufeff"))))
	header, err := r.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: no table: expected a header animal,date,value and a row for each reading", file)
	}
	at := map[string]int{}
	for i, name := range header {
		name = strings.ToLower(strings.TrimSpace(name))
		if _, twice := at[name]; twice && slices.Contains(sizeColumns, name) {
			return nil, fmt.Errorf("%s: column %s stands twice in the header; keep one", file, name)
		}
		at[name] = i
	}
	for _, name := range sizeColumns[:3] {
		if _, ok := at[name]; !ok {
			return nil, fmt.Errorf("%s: header %q: no column %s; a table has animal,date,value and may have sex,age", file, strings.Join(header, ","), name)
		}
	}
	var out []curves.Reading
	for {
		row, err := r.Read()
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w; mend that line of the table", file, err)
		}
		line, _ := r.FieldPos(0)
		cell := func(name string) string {
			if i, ok := at[name]; ok {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		if cell("value") == "" {
			continue
		}
		one, err := readSizeRow(cell)
		if err != nil {
			return nil, fmt.Errorf("%s line %d, %w", file, line, err)
		}
		out = append(out, one)
	}
}

var sexWords = map[string]string{"": "", "female": "female", "f": "female", "male": "male", "m": "male", "unknown": "", "u": ""}

func readSizeRow(cell func(string) string) (curves.Reading, error) {
	one := curves.Reading{Animal: cell("animal"), Age: math.NaN()}
	wrong := func(column, expected string) error {
		return fmt.Errorf("column %s: %q: expected %s", column, cell(column), expected)
	}
	if one.Animal == "" {
		return one, wrong("animal", "the animal's name; leave the row out where it is not known")
	}
	day, err := time.Parse(time.DateOnly, cell("date"))
	if err != nil {
		return one, wrong("date", "a date like 2026-05-14")
	}
	one.Day = float64(day.Unix() / 86400)
	if one.Size, err = strconv.ParseFloat(cell("value"), 64); err != nil || math.Abs(one.Size) > 1e9 || math.IsNaN(one.Size) {
		return one, wrong("value", "a number, or nothing where it was not measured")
	}
	sex, ok := sexWords[strings.ToLower(cell("sex"))]
	if !ok {
		return one, wrong("sex", "female, male, or nothing")
	}
	one.Sex = sex
	if age := cell("age"); age != "" {
		if one.Age, err = strconv.ParseFloat(age, 64); err != nil || !(one.Age >= 0 && one.Age < 1e6) {
			return one, wrong("age", "days from 0 on, or nothing where it is not known")
		}
	}
	return one, nil
}

// sizesIn takes a trait of a species out of the programme's captures. Readings
// of damaged parts and rough ones are left out and counted, as are captures
// outside the normal protocol. A female's mass holds her pouch young's, and is
// taken as it was weighed.
func sizesIn(r *register.Register, o growthAsked) (measuredSizes, error) {
	m := measuredSizes{from: "the notebook", state: r.State()}
	if r.Protocol() == nil {
		return m, hinted{fmt.Errorf("the programme has no protocol yet"), "dawnround protocol adopt FILE"}
	}
	s, ok := r.Protocol().Sheet(o.species)
	if !ok {
		return m, speciesUnknown(r, o.species)
	}
	t, ok := s.Trait(o.trait)
	if !ok || t.Of == protocol.OfYoung {
		var ids []string
		for _, t := range s.Traits {
			ids = append(ids, t.ID)
		}
		return m, hinted{fmt.Errorf("--trait %q: not a trait of %s", o.trait, s.Code), "its traits are " + strings.Join(slices.Compact(ids), ", ")}
	}
	m.species, m.trait, m.unit = cmp.Or(s.Scientific, s.Code), t.ID, t.Unit
	doubtful, outside := 0, 0
	trips := map[string]string{}
	for _, trip := range r.Trips() {
		trips[trip.Trip.Trip] = trip.Outside
	}
	sexes := map[uuid.UUID]record.Sex{}
	for _, c := range r.Captures() {
		if c.Species() != s.Code || c.Handled == nil || o.site != "" && c.At.Site != o.site {
			continue
		}
		size, sure, ok := sizeAt(c, t)
		switch {
		case !ok:
		case !sure:
			doubtful++
		case trips[c.At.Trip] != "":
			outside++
		default:
			m.readings = append(m.readings, curves.Reading{Animal: c.Animal.String(), Size: size, Age: math.NaN(),
				Day: float64(c.At.Night.Days(record.Night{Year: 1970, Month: 1, Day: 1}))})
			sexes[c.Animal] = agreed(sexes, c.Animal, c.Handled.Sex)
		}
	}
	for i := range m.readings {
		id := uuid.MustParse(m.readings[i].Animal)
		if sex := sexes[id]; sex == record.Female || sex == record.Male {
			m.readings[i].Sex = string(sex)
		}
	}
	m.leave(doubtful, "readings that were rough, or of a damaged part")
	m.leave(outside, "readings of trips outside the normal protocol")
	return m, nil
}

func (m *measuredSizes) leave(n int, what string) {
	if n > 0 {
		m.left = append(m.left, fmt.Sprintf("%d %s", n, what))
	}
}

// sizeAt is what a capture says of a trait, in its unit, and whether it is sure.
func sizeAt(c *register.Capture, t *protocol.Trait) (size float64, sure, ok bool) {
	if t.ID == protocol.Mass {
		milli, ok := c.Handled.MassMilli()
		return float64(milli) / 1000, true, ok
	}
	for _, key := range []string{t.ID, t.ID + ".left", t.ID + ".right"} {
		if reading, there := c.Handled.Measures[key]; there && reading.Is() == record.Seen {
			return float64(reading.Counts().Milli) / 1000, !reading.Damaged && !reading.Roughly, true
		}
	}
	return 0, false, false
}

// disputed marks an animal whose sex was written both ways.
const disputed = record.Sex("disputed")

func agreed(sexes map[uuid.UUID]record.Sex, animal uuid.UUID, sex record.Sex) record.Sex {
	known := sexes[animal]
	switch {
	case sex == record.SexUnknown:
		return known
	case known == record.SexUnknown || known == sex:
		return sex
	}
	return disputed
}
