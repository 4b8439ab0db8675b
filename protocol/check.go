package protocol

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"
)

// protocol checks the whole file for what cannot stand.
func (r *review) protocol(p *Protocol) {
	if strings.TrimSpace(p.Name) == "" {
		r.say(&p.Name, "no name", "write name: and what the programme is called")
	}
	r.zone(p)
	if len(p.Species) == 0 {
		r.say(&p.Species, "no species", "write species: with at least one sheet, such as - {code: DM, name: a name}")
	}
	r.sheets(p)
	r.marks(p)
	r.samples(p)
	r.findings(&p.Findings)
	r.trapKinds(p)
	r.limits(p)
	r.followUps(p)
	r.seeds(p)
}

func (r *review) zone(p *Protocol) {
	_, err := time.LoadLocation(p.Zone)
	if err != nil || p.Zone == "" || p.Zone == "Local" {
		r.say(&p.Zone, fmt.Sprintf("zone %q is not an IANA time zone", p.Zone), "write it like Australia/Brisbane")
	}
}

// wellFormed is an id that can stand in a field's address, a table's heading
// and a sentence alike.
var wellFormed = regexp.MustCompile(`^[\p{L}\p{N}]([\p{L}\p{N}\p{M} _'’-]{0,38}[\p{L}\p{N}\p{M}])?$`)

// id checks one id.
func (r *review) id(id *string) {
	switch {
	case *id == "":
		r.say(id, "no id", "give it one")
	case !wellFormed.MatchString(*id):
		r.say(id, fmt.Sprintf("%q cannot be an id", *id), "write at most 40 letters, digits, spaces and -, beginning with a letter or digit")
	}
}

// A named thing is called by its id, its name and its aliases.
type named struct {
	field *string // the id's field
	words []string
}

// names checks that no two things answer to one word, in large or small
// letters.
func (r *review) names(things []named) {
	taken := map[string]*string{}
	for _, t := range things {
		for _, word := range t.words {
			w := strings.ToLower(strings.TrimSpace(word))
			first, ok := taken[w]
			switch {
			case w == "" || ok && first == t.field:
			case !ok:
				taken[w] = t.field
			case strings.EqualFold(*first, *t.field):
				r.say(t.field, fmt.Sprintf("%q stands here twice, first on line %d", *t.field, r.spots[first].line), "give each its own")
			default:
				r.say(t.field, fmt.Sprintf("%q means both %s (line %d) and %s", word, *first, r.spots[first].line, *t.field), "take it from one of them")
			}
		}
	}
}

// words is an id, a name and aliases in one list.
func words(id, name string, aliases []string) []string {
	return append([]string{id, name}, aliases...)
}

// oneOf checks a word against a list; empty is allowed.
func (r *review) oneOf(field *string, key string, known ...string) {
	if *field != "" && !slices.Contains(known, *field) {
		r.say(field, fmt.Sprintf("%s %q is not known here (%s)", key, *field, strings.Join(known, ", ")), write(*field, known))
	}
}

// notNegative checks a number.
func notNegative[N int | float64](r *review, field *N, key string) {
	if *field < 0 {
		r.say(field, fmt.Sprintf("%s %v is below zero", key, *field), "write it without the minus, or leave it out")
	}
}
