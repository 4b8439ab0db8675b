package protocol

import (
	"fmt"
	"slices"
)

// LimitsSay stands beside every welfare limit and reminder.
const LimitsSay = "your approval, your ethics committee and local law decide"

// A LimitName is a welfare limit that a team may set.
type LimitName struct {
	ID    string
	Unit  string // UCUM code; "1" for a count
	Means string
}

// Limits are the welfare limits that can be kept in view. Each is off until a
// team types its value from its own approval.
var Limits = []LimitName{
	{"handling minutes", "min", "from the start of processing to release"},
	{"bag minutes", "min", "from the trap into a bag to release"},
	{"hours after sunrise", "h", "by when all traps are seen and cleared"},
	{"consecutive nights", "1", "nights running that one animal is caught before it is rested"},
	{"air temperature high", "Cel", "shade temperature above which traps are shut"},
	{"air temperature low", "Cel", "shade temperature below which traps are shut"},
	{"mass fall in trip percent", "%", "loss of mass since the first capture of the trip"},
	{"deaths per trip", "1", "deaths after which trapping stops and the committee is told"},
}

// LimitOf finds a welfare limit by its name.
func LimitOf(id string) (LimitName, bool) {
	i := slices.IndexFunc(Limits, func(l LimitName) bool { return l.ID == id })
	if i < 0 {
		return LimitName{}, false
	}
	return Limits[i], true
}

// Limit is a welfare limit as the team typed it, with its source; on is false
// where no value was typed.
func (p *Protocol) Limit(id string) (value float64, source string, on bool) {
	for _, l := range p.Limits {
		if l.ID == id && l.Value != nil {
			return *l.Value, l.Source, true
		}
	}
	return 0, "", false
}

func (r *review) limits(p *Protocol) {
	var all []named
	var known []string
	for _, l := range Limits {
		known = append(known, l.ID)
	}
	for i := range p.Limits {
		l := &p.Limits[i]
		all = append(all, named{&l.ID, []string{l.ID}})
		if l.ID == "" {
			r.say(&l.ID, "no id", write("", known))
		}
		r.oneOf(&l.ID, "welfare limit", known...)
		if l.Value != nil && l.Source == "" {
			r.say(&l.Source, "a limit without its source", "write source: and the approval it is from")
		}
		if l.Value != nil && *l.Value < 0 && l.ID != "air temperature low" && l.ID != "air temperature high" {
			r.say(&l.Value, fmt.Sprintf("value %v is below zero", *l.Value), "write it without the minus")
		}
	}
	r.names(all)
}
