package protocol

import (
	"fmt"

	"dawnround/mark"
)

// The forms of a mark. A transponder's number is read by a reader and can be
// checked; a tag's belongs to a series.
const (
	Transponder = "transponder"
	Tag         = "tag"
	OtherForm   = "other" // notch, tattoo, pattern
)

// MarkKind finds a kind of mark.
func (p *Protocol) MarkKind(id string) (*MarkKind, bool) {
	for i := range p.Marks {
		if p.Marks[i].ID == id {
			return &p.Marks[i], true
		}
	}
	return nil, false
}

// Sample finds a kind of specimen.
func (p *Protocol) Sample(id string) (*SampleKind, bool) {
	for i := range p.Samples {
		if p.Samples[i].ID == id {
			return &p.Samples[i], true
		}
	}
	return nil, false
}

func (r *review) marks(p *Protocol) {
	var all []named
	for i := range p.Marks {
		m := &p.Marks[i]
		all = append(all, named{&m.ID, words(m.ID, m.Name, m.Aliases)})
		r.id(&m.ID)
		if m.Form == "" {
			r.say(&m.Form, "no form", "write form: transponder, tag or other")
		}
		r.oneOf(&m.Form, "form", Transponder, Tag, OtherForm)
		for j := range m.Series {
			r.series(&m.Series[j])
		}
	}
	r.names(all)
}

// series checks a batch of tags or labels.
func (r *review) series(text *string) {
	if _, err := mark.ParseSeries(*text); err != nil {
		r.say(text, fmt.Sprintf("%q is not a series of one prefix, the first not above the last", *text), "write it like B001–B250")
	}
}

func (r *review) samples(p *Protocol) {
	var all []named
	for i := range p.Samples {
		k := &p.Samples[i]
		all = append(all, named{&k.ID, words(k.ID, k.Name, k.Aliases)})
		r.id(&k.ID)
	}
	r.names(all)
}
