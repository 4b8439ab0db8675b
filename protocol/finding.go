package protocol

import "fmt"

// findings checks the vocabulary of health and parasites.
func (r *review) findings(v *Vocabulary) {
	var parts, signs []named
	for i := range v.Parts {
		p := &v.Parts[i]
		parts = append(parts, named{&p.ID, words(p.ID, p.Name, p.Aliases)})
		r.id(&p.ID)
	}
	for i := range v.Signs {
		s := &v.Signs[i]
		signs = append(signs, named{&s.ID, words(s.ID, s.Name, s.Aliases)})
		r.id(&s.ID)
		if s.Counted && len(s.Grades) > 0 {
			r.say(&s.Grades, "counted, and graded too", "take one away")
		}
	}
	r.names(parts)
	r.names(signs)
	r.classes(v.Classes)
}

// classes checks that the counted classes rise and do not overlap.
func (r *review) classes(classes []CountClass) {
	var all []named
	for i := range classes {
		c := &classes[i]
		all = append(all, named{&c.ID, []string{c.ID}})
		if c.ID == "" {
			r.say(&c.ID, "no id", "write it like 1–5")
		}
		notNegative(r, &c.Low, "low")
		if c.High != nil && *c.High < c.Low {
			r.say(&c.High, fmt.Sprintf("from %d to %d is no class", c.Low, *c.High), "write the smaller as low")
		}
		if i == 0 {
			continue
		}
		switch before := classes[i-1]; {
		case before.High == nil:
			r.say(&c.Low, fmt.Sprintf("class %s is open above, so it holds these counts too", before.ID), "give it a high, or put it last")
		case c.Low <= *before.High:
			r.say(&c.Low, fmt.Sprintf("overlaps class %s, which ends at %d", before.ID, *before.High), fmt.Sprintf("begin at %d", *before.High+1))
		}
	}
	r.names(all)
}
