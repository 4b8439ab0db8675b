package call

import (
	"slices"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// finish settles what only the whole phrase can tell.
func (rd *reading) finish() {
	rd.notUnderstood()
	rd.stillStruck()
	rd.leftNumbers()
	rd.unexplained()
	rd.borders()
	rd.dropTotals()
	rd.settle()
	rd.settleWeight()
	rd.keepWhatWas()
	rd.trapNotAnimal()
	rd.bycatch()
	rd.agreeStatus()
	if rd.given.NothingOpen && len(rd.out.Questions) == 0 {
		rd.out.ByOrder = false
	}
	for i := range rd.out.Fields {
		if f := &rd.out.Fields[i]; f.Pending && f.Value == "" && slices.Contains(rd.out.Again, f.At) {
			f.Why = "to be measured again"
		}
	}
}

// keepWhatWas sees to it that no recorded value is replaced without a
// correction, by whatever way the new one came.
func (rd *reading) keepWhatWas() {
	for _, k := range rd.recorded() {
		f, ok := rd.out.Field(k.At)
		if !ok || f.Pending || f.Value == "" || same(f.Value, k.Value) {
			continue
		}
		kept := func(c Correction) bool { return c.At == k.At && same(c.Was, k.Value) }
		if !slices.ContainsFunc(rd.out.Corrected, kept) {
			rd.out.Corrected = append(rd.out.Corrected, Correction{At: k.At, Was: k.Value, Now: f.Value})
		}
	}
}

// bycatch notes that the animal is none of those the programme is about.
func (rd *reading) bycatch() {
	f, ok := rd.out.Field("species")
	if !ok || strings.HasPrefix(f.Value, "dead") {
		return
	}
	if out, dead := rd.out.Field("outcome"); dead && out.Value == "dead" {
		return
	}
	if s, known := rd.lexicon.protocol.Sheet(f.Value); known && !s.Bycatch {
		return
	}
	if _, said := rd.out.Field("bycatch"); said {
		return
	}
	rd.out.Fields = append(rd.out.Fields, Field{At: "bycatch", Value: "yes", Derived: true})
}

// agreeStatus asks where new and a known mark are said of one animal.
func (rd *reading) agreeStatus() {
	f, ok := rd.out.Field("status")
	if !ok || f.Value != string(record.New) {
		return
	}
	kind, ok := rd.markKind(protocol.Transponder)
	if !ok {
		return
	}
	for _, part := range []string{"/text", "/tail"} {
		m, said := rd.out.Field("marks/" + kind.ID + part)
		if !said || m.Value == "" {
			continue
		}
		for _, k := range rd.given.Marks {
			if strings.HasSuffix(k.Text, m.Value) {
				rd.ask(Question{About: "status", Says: "new, but that chip is known: recapture?"}, rd.tokenAt(f.From), rd.tokenAt(f.To))
				return
			}
		}
	}
}
