package protocol

import "dawnround/record"

// Sign finds a state seen on the animal or, failing that, on its young only.
func (s *Sheet) Sign(id string) (*Sign, bool) { return s.sign(id, false) }

// YoungSign finds a state seen on a young or, failing that, on grown animals
// only.
func (s *Sheet) YoungSign(id string) (*Sign, bool) { return s.sign(id, true) }

func (s *Sheet) sign(id string, young bool) (*Sign, bool) {
	var other *Sign
	for i := range s.Signs {
		switch g := &s.Signs[i]; {
		case g.ID != id:
		case (g.Of == OfYoung) == young:
			return g, true
		default:
			other = g
		}
	}
	return other, other != nil
}

// Word finds a value of the sign by its id.
func (g *Sign) Word(id string) (*Word, bool) {
	for i := range g.Values {
		if g.Values[i].ID == id {
			return &g.Values[i], true
		}
	}
	return nil, false
}

func (r *review) signs(s *Sheet) {
	for i := range s.Signs {
		g := &s.Signs[i]
		r.id(&g.ID)
		r.oneOf(&g.Sex, "sex", string(record.Female), string(record.Male))
		r.oneOf(&g.Of, "of", "animal", OfYoung)
		if len(g.Values) == 0 {
			r.say(&g.Values, "a sign without values", "write values: and the words it can be told in")
		}
		r.values(g)
	}
}

func (r *review) values(g *Sign) {
	var all []named
	for i := range g.Values {
		w := &g.Values[i]
		all = append(all, named{&w.ID, words(w.ID, w.Name, w.Aliases)})
		r.id(&w.ID)
		if w.Parous && w.Never {
			r.say(&w.ID, "she has bred, and never has", "take one away")
		}
	}
	r.names(all)
}
