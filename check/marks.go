package check

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

func impossibleNumber(k *card) []found {
	var out []found
	for _, m := range k.h.Marks {
		kind, ok := k.protocol.MarkKind(m.Kind)
		if !ok || kind.Form != protocol.Transponder || m.Act == record.MarkOld {
			continue
		}
		_, err := mark.ParseTransponder(m.Text)
		if err == nil {
			continue
		}
		if _, isMark := k.register.MarkKey(m, k.Species()); isMark {
			out = append(out, found{field: "marks", says: capital(err.Error()) + ".", evidence: m.Text})
		}
	}
	return out
}

// neighbour is a known mark one slip away, and where its animal was last.
type neighbour struct {
	key  register.MarkKey
	last *register.Capture
}

// near gives the marks one slip away, read before on the same species, sex
// (where both were told) and site.
func (k *card) near(key register.MarkKey) []neighbour {
	var out []neighbour
	for _, o := range k.register.MarksNear(key.Text) {
		if o.Kind != key.Kind || o.Species != key.Species || slices.Contains(k.marks, o) {
			continue
		}
		if c := k.lastMet(o); c != nil && c.Species() == k.Species() && !k.otherSex(c) && c.At.Site == k.At.Site {
			out = append(out, neighbour{o, c})
		}
	}
	return out
}

// lastMet is the last capture before this one that bears a mark, of any life.
func (k *card) lastMet(key register.MarkKey) *register.Capture {
	var last *register.Capture
	for _, s := range k.register.Spans(key) {
		for _, c := range s.Captures {
			if c.ID() != k.ID() && earlier(c, k.Capture) {
				last = c
			}
		}
	}
	return last
}

func (k *card) otherSex(c *register.Capture) bool {
	return told(handled(c).Sex) && told(k.h.Sex) && c.Handled.Sex != k.h.Sex
}

// nearKnownMark asks about a transponder never met before that is one slip
// from a known one. A chip put in now comes from a packet, whose numbers run
// on, and a scanned telegram bears a check sum: neither is a slip of the pen.
// One of the two marks must have been read only once, since a slip seldom
// happens twice.
func nearKnownMark(k *card) []found {
	var out []found
	for _, key := range k.marks {
		if k.form(key) != protocol.Transponder || k.bearing(key) != nil || k.act(key) != record.MarkRead || k.scanned(key) || k.lastMet(key) != nil {
			continue
		}
		for _, o := range k.near(key) {
			if k.times(key) > 1 && k.times(o.key) > 1 {
				continue
			}
			out = append(out, found{
				field: "marks",
				says: fmt.Sprintf("%s is not known; one slip away is %s, a %s last met %s at %s. Read it again?",
					key.Text, o.key.Text, strings.TrimSpace(string(handled(o.last).Sex)+" "+o.last.Species()), k.when(o.last), spot(o.last)),
				evidence: fmt.Sprintf("%s beside %s on %s", key.Text, o.key.Text, on(o.last)),
				beside:   beside(o.last),
			})
		}
	}
	return out
}

func (k *card) scanned(key register.MarkKey) bool {
	return slices.ContainsFunc(k.h.Marks, func(m record.Mark) bool {
		if !strings.Contains(m.How, "scan") {
			return false
		}
		mk, ok := k.register.MarkKey(m, key.Species)
		return ok && mk == key
	})
}

// times counts the captures that bear a mark, this one left out while it is a
// draft.
func (k *card) times(key register.MarkKey) int {
	n := 0
	for _, s := range k.register.Spans(key) {
		n += len(s.Captures)
	}
	return n
}

// readAfterGone asks about a mark that an earlier capture found gone: one crew
// put a new chip in, another met the animal with the old one.
func readAfterGone(k *card) []found {
	var out []found
	for _, key := range k.marks {
		c := k.last(func(c *register.Capture) bool { return c.Bears(key) })
		if c == nil || k.act(key) != record.MarkRead || k.actAmong(handled(c).Marks, key) != record.MarkGone {
			continue
		}
		out = append(out, found{
			field:    "marks",
			says:     fmt.Sprintf("%s is read, and was found gone %s. Which is right? Scan the whole body, twice.", key.Text, k.when(c)),
			evidence: fmt.Sprintf("%s read; gone on %s", key.Text, on(c)),
			beside:   beside(c),
		})
	}
	return out
}

// secondTransponder looks at the transponders in the animal as of now.
func secondTransponder(k *card) []found {
	var here []register.MarkKey
	put := false
	for _, key := range k.marks {
		if act := k.act(key); k.form(key) == protocol.Transponder && act != record.MarkGone {
			here = append(here, key)
			put = put || act == record.MarkPut
		}
	}
	if len(here) > 1 {
		texts := []string{here[0].Text, here[1].Text}
		slices.Sort(texts)
		return []found{{field: "marks", says: fmt.Sprintf("Two transponders in one animal: %s and %s. Both read, after a scan of the whole body?", texts[0], texts[1]), evidence: strings.Join(texts, " and ")}}
	}
	if !put {
		return nil
	}
	old, c := k.olderTransponder(here[0])
	if c == nil {
		return nil
	}
	return []found{{
		field:    "marks",
		says:     fmt.Sprintf("A second transponder: %s was read %s. Scan the whole body; if it is gone, say so.", old.Text, k.when(c)),
		evidence: fmt.Sprintf("%s put; %s on %s", here[0].Text, old.Text, on(c)),
		beside:   beside(c),
	}}
}

// The finding that tells of a biopsy taken on an earlier occasion.
const (
	healedHole = "healed hole"
	inTheEar   = "ear"
)

// noChipButOldHole asks of a species that is chipped whether one sampled
// before, and so chipped before, has lost its chip or was not scanned well.
func noChipButOldHole(k *card) []found {
	if !k.chipped() || !hasHole(k.Capture) || k.last(func(c *register.Capture) bool { return hasHole(c) || sampledOnce(k, c) }) != nil {
		return nil
	}
	for _, key := range k.marks {
		if k.form(key) == protocol.Transponder && k.act(key) != record.MarkPut {
			return nil
		}
	}
	return []found{{
		field:    "findings",
		says:     "An old hole in the ear and no chip read: it was held before. A scan of the whole body, out of the cage? Else it has lost its chip, and may be one of the old animals.",
		evidence: healedHole + ", no transponder read",
	}}
}

// chipped reports a species that is marked with transponders.
func (k *card) chipped() bool {
	return slices.ContainsFunc(k.sheet.Marks, func(id string) bool {
		kind, ok := k.protocol.MarkKind(id)
		return ok && kind.Form == protocol.Transponder
	})
}

func hasHole(c *register.Capture) bool {
	return slices.ContainsFunc(handled(c).Findings, func(f record.Finding) bool {
		return f.Part == inTheEar && f.Sign == healedHole && f.State != record.NoneSeen && f.State != record.NotChecked
	})
}

// sampledOnce reports a capture at which a sample taken once per animal was
// taken.
func sampledOnce(k *card, c *register.Capture) bool {
	return slices.ContainsFunc(handled(c).Samples, func(s record.Sample) bool { return k.once(s.Kind) })
}

// olderTransponder is another transponder of this life that was not found
// gone, then or now.
func (k *card) olderTransponder(than register.MarkKey) (register.MarkKey, *register.Capture) {
	for i := len(k.before) - 1; i >= 0; i-- {
		for _, key := range k.before[i].Marks() {
			if key == than || k.form(key) != protocol.Transponder || slices.Contains(k.marks, key) || k.gone(key) {
				continue
			}
			return key, k.before[i]
		}
	}
	return register.MarkKey{}, nil
}

func (k *card) gone(key register.MarkKey) bool {
	spans := k.register.Spans(key)
	last := spans[len(spans)-1]
	return last.Gone != nil && slices.Contains(k.before, last.Gone)
}

// livesJoined asks when two marks read together were met before, never
// together and not on captures that another mark joins.
func livesJoined(k *card) []found {
	var known []register.MarkKey
	for _, key := range k.marks {
		if k.bearing(key) != nil {
			known = append(known, key)
		}
	}
	if len(known) < 2 || k.joined(known[0], known[1]) {
		return nil
	}
	a, b := k.bearing(known[0]), k.bearing(known[1])
	return []found{{
		field: "marks",
		says: fmt.Sprintf("%s and %s were never read together: %s %s, %s %s. Keeping this makes the two one animal. Read both again?",
			known[0].Text, known[1].Text, known[0].Text, k.when(a), known[1].Text, k.when(b)),
		evidence: fmt.Sprintf("%s on %s; %s on %s", known[0].Text, on(a), known[1].Text, on(b)),
		beside:   append(beside(a), beside(b)...),
	}}
}

// joined reports two marks whose earlier captures hang together, by marks
// they share or by a line that says they are the same.
func (k *card) joined(a, b register.MarkKey) bool {
	var reached []*register.Capture
	reach := func(c *register.Capture) {
		if !slices.Contains(reached, c) {
			reached = append(reached, c)
		}
	}
	for _, c := range k.before {
		if c.Bears(a) && c.Bears(b) {
			return true
		}
		if c.Bears(a) {
			reach(c)
		}
	}
	for i := 0; i < len(reached); i++ {
		same := k.register.SaidSame(reached[i].ID())
		for _, c := range k.before {
			if slices.Contains(same, c.ID()) || slices.ContainsFunc(reached[i].Marks(), c.Bears) {
				reach(c)
			}
		}
	}
	return slices.ContainsFunc(reached, func(c *register.Capture) bool { return c.Bears(b) })
}

// markInTwoSpecies asks, for a mark that speaks within a species and is new in
// this one, about the same text read on another species: a mark misread, a
// species mistaken, or two animals. It is asked once, of the later.
func markInTwoSpecies(k *card) []found {
	var out []found
	for _, key := range k.marks {
		if key.Species == "" || k.bearing(key) != nil {
			continue
		}
		for _, o := range k.register.MarksReading(key.Text) {
			if o.Kind != key.Kind || o.Text != key.Text || o.Species == key.Species {
				continue
			}
			was := k.register.Spans(o)[0].Captures[0]
			if !k.draft && was.Compare(k.Capture) > 0 {
				continue
			}
			out = append(out, found{
				field:    "marks",
				says:     fmt.Sprintf("%s %s was read on %s too, %s at %s. Two animals?", capital(key.Kind), key.Text, was.Species(), k.when(was), spot(was)),
				evidence: fmt.Sprintf("%s %s in %s and %s", key.Kind, key.Text, was.Species(), k.Species()),
				beside:   beside(was),
			})
			break
		}
	}
	return out
}
