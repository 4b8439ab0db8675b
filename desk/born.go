package desk

import (
	"slices"
	"time"

	"dawnround/answer"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// BirthWindow is when an animal was born: one unknown night of these.
type BirthWindow struct {
	Earliest record.Night `json:"earliest"`
	Latest   record.Night `json:"latest"`
	EDTF     string       `json:"edtf"` // level 2: one of these days
	How      string       `json:"how"`
}

// born is the narrowest window that the sizes of an animal as a young give, else
// what its mother's pouch showed before and when it was first seen; nil where
// neither has both ends.
func (w words) born(s *protocol.Sheet, a *register.Animal) *BirthWindow {
	var out *BirthWindow
	for _, r := range a.Rows {
		on := w.sheet(r.Mother.Species())
		aged, ok := on.AgeYoung(w.Relations(on), r.Measures, r.Sex, r.Mother.At.Night.Noon(time.UTC))
		if !ok || aged.Birth.Earliest.IsZero() {
			continue
		}
		b := BirthWindow{record.NightOf(aged.Birth.Earliest), record.NightOf(aged.Birth.Latest), aged.Birth.EDTF(), aged.Birth.How}
		if out == nil || b.Latest.Days(b.Earliest) < out.Latest.Days(out.Earliest) {
			out = &b
		}
	}
	if out != nil || len(a.Rows) == 0 {
		return out
	}
	mother := a.Rows[0].Mother
	litters, _ := answer.KinOf(w.Register, mother.Species(), mother.Animal)
	for _, l := range litters {
		for _, y := range l.Young {
			if id, ok := w.AnimalOf(y); ok && id == a.ID && !l.After.IsZero() {
				return &BirthWindow{l.After, l.By, "[" + l.After.String() + ".." + l.By.String() + "]", "no young in her pouch before, first seen at the end"}
			}
		}
	}
	return nil
}

// says is the window in a sentence.
func (b *BirthWindow) says() string {
	if b == nil {
		return ""
	}
	return "Born between " + b.Earliest.Words() + " and " + b.Latest.Words() + " (" + b.How + ")."
}

// kin puts the grades and the evidence of the links of mother and young beside
// the names, where nobody stated a grade, and gives the litters.
func (w words) kin(l *Life, species string) {
	litters, links := answer.KinOf(w.Register, species, l.ID)
	l.Litters = litters
	for _, k := range links {
		for i := range l.Mothers {
			if m := &l.Mothers[i]; k.Young == l.ID && m.Animal == k.Mother && k.Grade != "" {
				m.Sure, m.Evidence, m.By = string(k.Grade), k.Evidence, string(k.By)
			}
		}
		l.Mothers = slices.Compact(l.Mothers)
		for i := range l.Young {
			if c := &l.Young[i]; k.Mother == l.ID && c.Animal == k.Young && k.Grade != "" {
				c.Sure, c.By = string(k.Grade), string(k.By)
			}
		}
	}
}
