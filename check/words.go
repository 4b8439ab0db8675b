package check

import (
	"fmt"
	"strings"
)

// unknownWords lists words the protocol in force does not have. Without a
// species in the protocol there is nothing to hold them against.
func unknownWords(k *card) []found {
	if len(k.protocol.Species) == 0 {
		return nil
	}
	w := words{card: k}
	if code := k.Species(); code != "" {
		_, ok := k.protocol.Sheet(code)
		w.hold("species", "species", code, ok)
	}
	w.marksAndSamples()
	w.findings()
	if k.sheet.Code != "" {
		w.ofSheet()
	}
	return w.out
}

type words struct {
	*card
	out []found
}

func (w *words) hold(field, what, said string, ok bool) {
	if said == "" || ok {
		return
	}
	w.out = append(w.out, found{
		field:    field,
		says:     fmt.Sprintf("%s %q is not a word of the protocol. It is kept as said.", capital(what), said),
		evidence: what + " " + said,
	})
}

func (w *words) marksAndSamples() {
	for _, m := range w.h.Marks {
		_, ok := w.protocol.MarkKind(m.Kind)
		w.hold("marks", "kind of mark", m.Kind, ok)
	}
	for _, s := range w.h.Samples {
		_, ok := w.protocol.Sample(s.Kind)
		w.hold("samples", "sample", s.Kind, ok)
	}
}

func (w *words) findings() {
	parts, signs := map[string]bool{}, map[string]bool{}
	for _, p := range w.protocol.Findings.Parts {
		parts[p.ID] = true
	}
	for _, s := range w.protocol.Findings.Signs {
		signs[s.ID] = true
	}
	for _, f := range w.h.Findings {
		w.hold("findings", "part", f.Part, parts[f.Part])
		w.hold("findings", "sign", f.Sign, signs[f.Sign])
	}
}

// ofSheet holds stage, measures and signs against the species sheet.
func (w *words) ofSheet() {
	w.hold("stage", "stage", w.h.Stage, w.sheet.StageRank(w.h.Stage) >= 0)
	for _, key := range sortedKeys(w.h.Measures) {
		_, ok := w.trait(key)
		w.hold("measures/"+key, "measure", key, ok)
	}
	for _, id := range sortedKeys(w.h.Signs) {
		g, ok := w.sheet.Sign(id)
		w.hold("signs/"+id, "sign", id, ok)
		if ok {
			_, known := g.Word(w.h.Signs[id].Value)
			w.hold("signs/"+id, id, w.h.Signs[id].Value, known)
		}
	}
	for i, y := range w.h.Young {
		for _, key := range sortedKeys(y.Measures) {
			id, _, _ := strings.Cut(key, ".")
			_, ok := w.sheet.YoungTrait(id)
			w.hold(youngField(i), "measure", key, ok)
		}
		for _, id := range sortedKeys(y.Signs) {
			g, ok := w.sheet.YoungSign(id)
			w.hold(youngField(i), "sign", id, ok)
			if ok {
				_, known := g.Word(y.Signs[id].Value)
				w.hold(youngField(i), id, y.Signs[id].Value, known)
			}
		}
	}
}
