package protocol

import (
	"fmt"
	"slices"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

// FollowRule says what must be done after something was seen or done at a
// capture, and by when.
type FollowRule struct {
	When   string  `yaml:"when"` // a name of FollowCauses
	Of     string  `yaml:"of"`   // the sign found, the kind of sample, mark or incident; empty: any
	Do     string  `yaml:"do"`
	Who    string  `yaml:"who"`
	Within float64 `yaml:"within hours"`
	After  int     `yaml:"after days"`
}

// FollowCauses are what a follow-up can come of.
var FollowCauses = []string{"young at foot", "young in pouch", "finding", "sample", "mark put", "mark gone", "incident", "died"}

// Incident is how the team meets something that goes wrong: its steps in short,
// and by when it must be reported. The approval and a veterinarian decide; what
// stands here reminds.
type Incident struct {
	Kind   string   `yaml:"kind"` // a name of IncidentKinds
	Steps  []string `yaml:"steps"`
	Report float64  `yaml:"report within hours"`
	To     string   `yaml:"report to"` // a role, no name: ethics committee
	Source string   `yaml:"source"`
}

// IncidentKinds are what goes wrong at a trap; of a person only that it happened.
var IncidentKinds = []string{"young ejected", "torpor", "distress", "escape", "injury", "person hurt", "death"}

// usualSteps are the steps of a kind of which the team typed none: common
// practice, no source, and never more than a reminder of what to write down.
var usualSteps = map[string][]string{
	"young ejected": {
		"keep it warm, against skin, in the dark; never pull a young off a teat",
		"write whether it was attached, furred or bare, cool or warm, and how lively",
		"put it back only as your procedure says; write whether on the teat or in the pouch, and how the pouch was closed",
		"let mother and young go together, in the quiet, at her refuge; rest the nearest traps",
		"look at the release place at dawn",
	},
	"torpor":      {"warm slowly, dry, in the dark, with nothing in the hand", "write how cool and how slow, how long it was warmed, and what came of it", "let it go only when it moves as it should"},
	"distress":    {"stop; cover its eyes; into the shade", "release as soon as it is safe", "stiff, wobbling or dark urine hours or days later: call a veterinarian"},
	"injury":      {"stop the bleeding, keep it dark and quiet", "call a veterinarian before you decide anything else", "write what did it, and mend or shut that trap"},
	"escape":      {"write where and in what state it went", "if it was not processed, say so: the capture stays"},
	"person hurt": {"wash well with soap and water now, 15 minutes", "see a doctor; tell them it was a wild animal", "write here only that it happened: health is kept elsewhere"},
	"death":       {"write when, where and what was seen; keep it cool and labelled", "stop and think: close what may do it again", "a post-mortem tells what nobody saw: ask the veterinarian"},
}

// IncidentOf is how a kind of incident is met: as the team typed it, else with
// the usual steps and no deadline.
func (p *Protocol) IncidentOf(kind string) Incident {
	for _, i := range p.Incidents {
		if i.Kind == kind {
			if len(i.Steps) == 0 {
				i.Steps = usualSteps[kind]
			}
			return i
		}
	}
	return Incident{Kind: kind, Steps: usualSteps[kind], Source: "common practice, no source"}
}

// FollowUps are what must be done after a capture by the rules of the file, and
// the reports of its incidents. at is when it left the hand; newID mints the ids.
func (p *Protocol) FollowUps(c record.Capture, at time.Time, newID func() uuid.UUID) []record.FollowUp {
	if c.Handled == nil {
		return nil
	}
	var out []record.FollowUp
	add := func(what, who string, due time.Time) {
		if !slices.ContainsFunc(out, func(f record.FollowUp) bool { return f.What == what }) {
			out = append(out, record.FollowUp{FollowUp: newID(), On: c.Capture.String(), What: what, Who: who, Due: due})
		}
	}
	for _, rule := range p.FollowRules {
		if rule.follows(c) {
			add(rule.Do, rule.Who, rule.due(at))
		}
	}
	for _, happened := range incidentsOf(c) {
		if i := p.IncidentOf(happened); i.Report > 0 {
			add(fmt.Sprintf("report to %s: %s", i.To, i.Kind), "", at.Add(time.Duration(i.Report*float64(time.Hour))))
		}
	}
	return out
}

// due is by when; a rule without a time leaves it open.
func (f FollowRule) due(at time.Time) time.Time {
	switch {
	case f.Within > 0:
		return at.Add(time.Duration(f.Within * float64(time.Hour)))
	case f.After > 0:
		return at.AddDate(0, 0, f.After)
	}
	return time.Time{}
}

// incidentsOf are the kinds of what went wrong at a capture.
func incidentsOf(c record.Capture) []string {
	var out []string
	for _, i := range c.Handled.Incidents {
		out = append(out, i.Kind)
	}
	if c.Released != nil && c.Released.Fate.Ends() {
		out = append(out, "death")
	}
	return out
}

// follows tells whether a capture has what the rule speaks of.
func (f FollowRule) follows(c record.Capture) bool {
	is := func(of string) bool { return f.Of == "" || f.Of == of }
	h := c.Handled
	switch f.When {
	case "young at foot":
		return slices.ContainsFunc(h.Young, func(y record.Young) bool {
			return y.Where == "at foot" || y.Where == "same trap" || y.Where == "neighbouring trap"
		})
	case "young in pouch":
		return slices.ContainsFunc(h.Young, func(y record.Young) bool { return y.Where == "in pouch" || y.Attached == "yes" })
	case "finding":
		return slices.ContainsFunc(h.Findings, func(g record.Finding) bool { return g.State == record.Unknown && is(g.Sign) })
	case "sample":
		return slices.ContainsFunc(h.Samples, func(s record.Sample) bool { return is(s.Kind) })
	case "mark put":
		return slices.ContainsFunc(h.Marks, func(m record.Mark) bool { return m.Act == record.MarkPut && is(m.Kind) })
	case "mark gone":
		return slices.ContainsFunc(h.Marks, func(m record.Mark) bool { return m.Act == record.MarkGone && is(m.Kind) })
	case "incident":
		return slices.ContainsFunc(h.Incidents, func(i record.Incident) bool { return is(i.Kind) })
	case "died":
		return c.Released != nil && c.Released.Fate.Ends()
	}
	return false
}

func (r *review) followUps(p *Protocol) {
	for i := range p.FollowRules {
		f := &p.FollowRules[i]
		if f.When == "" {
			r.say(&f.When, "a follow-up without its cause", write("", FollowCauses))
		}
		r.oneOf(&f.When, "when", FollowCauses...)
		if f.Do == "" {
			r.say(&f.Do, "nothing to do", "write do: and what must be done")
		}
		notNegative(r, &f.Within, "within hours")
		notNegative(r, &f.After, "after days")
		if f.Within > 0 && f.After > 0 {
			r.say(&f.After, "two times", "keep one of within hours: and after days:")
		}
		r.followedThing(p, f)
	}
	for i := range p.Incidents {
		n := &p.Incidents[i]
		if n.Kind == "" {
			r.say(&n.Kind, "no kind", write("", IncidentKinds))
		}
		r.oneOf(&n.Kind, "incident", IncidentKinds...)
		notNegative(r, &n.Report, "report within hours")
		if n.Report > 0 && (n.To == "" || n.Source == "") {
			r.say(&n.Report, "a deadline without whom it is told, or where it comes from", "write report to: and source:, from your approval")
		}
	}
}

// followedThing sees that what a rule names is a word of the file.
func (r *review) followedThing(p *Protocol, f *FollowRule) {
	var known []string
	switch f.When {
	case "finding":
		for _, s := range p.Findings.Signs {
			known = append(known, s.ID)
		}
	case "sample":
		for _, s := range p.Samples {
			known = append(known, s.ID)
		}
	case "mark put", "mark gone":
		for _, m := range p.Marks {
			known = append(known, m.ID)
		}
	case "incident":
		known = IncidentKinds
	default:
		if f.Of != "" {
			r.say(&f.Of, fmt.Sprintf("%q: %s has no kinds", f.Of, f.When), "leave of: out")
		}
		return
	}
	r.oneOf(&f.Of, "of", known...)
}
