package trapside

import (
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"
)

// lastWords is what a row said when it was last said anything: the value, and
// the month where that was not at the animal's last capture.
func (k *cardOf) lastWords(word string) string {
	if k.animal == nil {
		return ""
	}
	latest := true
	for _, c := range slices.Backward(k.animal.Captures) {
		if c.ID() == k.card.ID || c.Handled == nil {
			continue
		}
		if said := k.wordsAt(c, word); said != "" {
			if !latest && c.At.Trip != k.d.Capture.At.Trip {
				said += " (" + c.At.Night.Noon(k.now.Location()).Format("Jan 06") + ")"
			}
			return said
		}
		latest = false
	}
	return ""
}

// wordsAt is what one capture said of a row.
func (k *cardOf) wordsAt(c *register.Capture, word string) string {
	h := c.Handled
	switch word {
	case "species":
		if s, ok := k.p.Sheet(h.Species); ok {
			return s.Name
		}
		return h.Species
	case "sex":
		return string(h.Sex)
	case "stage":
		return h.Stage
	case "weight":
		if net, ok := h.MassMilli(); ok {
			return page.Grams(net)
		}
		return ""
	case "young":
		if len(h.Young) > 0 {
			return page.Count(len(h.Young), "young", "young")
		}
		return ""
	case "findings":
		return findingsWords(h.Findings)
	case "samples":
		return samplesWords(h.Samples)
	case "marks", "release":
		return ""
	}
	if s, ok := h.Signs[word]; ok {
		if s.Is() != record.Seen {
			return stateWords(s.State, s.Why)
		}
		if sign, ok := k.sheet.Sign(word); ok {
			return wordsOf(sign, s.Value)
		}
		return s.Value
	}
	return readingsWords(h.Measures, word)
}

// readingsWords is a trait's reading, or both of its sides.
func readingsWords(measures map[string]record.Reading, trait string) string {
	if r, ok := measures[trait]; ok {
		return readingSays(r)
	}
	var sides []string
	for _, side := range []string{"left", "right"} {
		if r, ok := measures[trait+"."+side]; ok {
			sides = append(sides, strings.ToUpper(side[:1])+" "+readingSays(r))
		}
	}
	return strings.Join(sides, " · ")
}

func readingSays(r record.Reading) string {
	switch {
	case r.Is() != record.Seen:
		return stateWords(r.State, r.Why)
	case r.Damaged:
		return r.Counts().Typed + " damaged"
	case r.Roughly:
		return "~" + r.Counts().Typed
	}
	return r.Counts().Typed
}

func findingsWords(findings []record.Finding) string {
	var out []string
	for _, f := range findings {
		if f.State == record.Unknown {
			out = append(out, findingWords(f))
		}
	}
	return strings.Join(out, ", ")
}

// findingWords is one finding as people say it: "ear left: tick 2".
func findingWords(f record.Finding) string {
	said := strings.TrimSpace(f.Part + " " + f.Side)
	if said == "" {
		said = "animal"
	}
	switch {
	case f.State != record.Unknown:
		if f.Sign != "" && f.Sign != "any" {
			said += ": " + f.Sign
		}
		return said + " " + stateWords(f.State, f.Why)
	case f.Count != nil:
		return said + ": " + f.Sign + " " + page.Number(int64(*f.Count)*1000)
	case f.Class != "":
		return said + ": " + f.Sign + " " + f.Class
	}
	return strings.TrimSpace(said + ": " + f.Sign + " " + f.Grade)
}

func samplesWords(samples []record.Sample) string {
	var out []string
	for _, s := range samples {
		out = append(out, s.Kind+" "+s.Label)
	}
	return strings.Join(out, ", ")
}
