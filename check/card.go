package check

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// card is one capture with what stands around it.
type card struct {
	*book
	*register.Capture
	h      *record.Handled // never nil
	sheet  *protocol.Sheet // an empty one where the species is not known
	marks  []register.MarkKey
	before []*register.Capture // the same animal's, by night
	draft  bool                // still in the hand
}

// found is what one rule has to say.
type found struct {
	field    string // row of the card
	says     string
	evidence string
	beside   []uuid.UUID
}

func (b *book) card(c *register.Capture, marks []register.MarkKey, before []*register.Capture) *card {
	k := &card{book: b, Capture: c, h: handled(c), marks: marks, before: dated(before)}
	if k.At.Night.IsZero() {
		k.before = nil // nobody can say what came before
	}
	return k
}

// dated leaves out captures whose night nobody wrote; they sort first.
func dated(captures []*register.Capture) []*register.Capture {
	for len(captures) > 0 && captures[0].At.Night.IsZero() {
		captures = captures[1:]
	}
	return captures
}

// flags asks every rule.
func (k *card) flags() []record.Flag {
	k.sheet = k.speciesSheet()
	var flags []record.Flag
	for _, rule := range captureRules {
		for _, f := range rule.find(k) {
			flags = append(flags, rule.flag(k.ID(), f))
		}
	}
	return flags
}

func (r Rule) flag(subject uuid.UUID, f found) record.Flag {
	return record.Flag{
		Rule: r.Name, Grade: r.Grade, Subject: subject,
		Field: f.field, Says: f.says, Evidence: f.evidence, Beside: f.beside,
	}
}

// speciesSheet is the sheet of the species said now, else said last.
func (k *card) speciesSheet() *protocol.Sheet {
	code := k.Species()
	for i := len(k.before) - 1; code == "" && i >= 0; i-- {
		code = k.before[i].Species()
	}
	if s, ok := k.protocol.Sheet(code); ok {
		return s
	}
	return &protocol.Sheet{}
}

var notHandled = &record.Handled{}

// handled is the processing of a capture, an empty one where there was none.
func handled(c *register.Capture) *record.Handled {
	if c.Handled == nil {
		return notHandled
	}
	return c.Handled
}

// last is the latest earlier capture that answers a question, nil where none
// does.
func (k *card) last(has func(*register.Capture) bool) *register.Capture {
	for i := len(k.before) - 1; i >= 0; i-- {
		if has(k.before[i]) {
			return k.before[i]
		}
	}
	return nil
}

// told reports a sex that was told.
func told(s record.Sex) bool { return s == record.Female || s == record.Male }

// sex is the sex said now, else told last.
func (k *card) sex() record.Sex {
	if k.h.Sex != record.SexUnknown {
		return k.h.Sex
	}
	if c := k.last(func(c *register.Capture) bool { return told(handled(c).Sex) }); c != nil {
		return c.Handled.Sex
	}
	return record.SexUnknown
}

// adult reports a capture whose stage is an adult one.
func (k *card) adult(c *register.Capture) bool {
	rank := k.sheet.StageRank(handled(c).Stage)
	return rank >= 0 && k.sheet.Stages[rank].Adult
}

// sameSpecies reports a capture that does not say another species.
func (k *card) sameSpecies(c *register.Capture) bool {
	return c.Species() == "" || k.Species() == "" || c.Species() == k.Species()
}

// act is what was done with a mark at this capture: put, found gone, or read.
func (k *card) act(key register.MarkKey) record.MarkAct { return k.actAmong(k.h.Marks, key) }

func (b *book) actAmong(marks []record.Mark, key register.MarkKey) record.MarkAct {
	act := record.MarkRead
	for _, m := range marks {
		if m.Act == record.MarkRead || m.Act == record.MarkOld {
			continue
		}
		if mk, ok := b.register.MarkKey(m, key.Species); ok && mk == key {
			act = m.Act
		}
	}
	return act
}

// form is the form of a mark's kind: transponder, tag or other.
func (k *card) form(key register.MarkKey) string {
	if kind, ok := k.protocol.MarkKind(key.Kind); ok {
		return kind.Form
	}
	return ""
}

// when says when an earlier capture was, and who had it in hand: "last night
// by AB".
func (k *card) when(c *register.Capture) string {
	says := "on " + c.At.Night.Words()
	switch days := k.At.Night.Days(c.At.Night); {
	case days == 0:
		says = "earlier the same night"
	case days == 1 && k.draft:
		says = "last night"
	case days == 1:
		says = "the night before"
	}
	if who := by(c); who != "" {
		says += " by " + who
	}
	return says
}

// by is who handled an animal, else who wrote the capture first.
func by(c *register.Capture) string {
	if h := handled(c).Handler; h != "" {
		return h
	}
	if len(c.Who) > 0 {
		return c.Who[0]
	}
	return ""
}

// beside names a capture.
func beside(c *register.Capture) []uuid.UUID { return []uuid.UUID{c.ID()} }

// on is a capture's night and trap in evidence: what the flag rests on, told
// so that it does not change with who asks or when.
func on(c *register.Capture) string {
	return strings.TrimSpace(c.At.Night.String() + " " + c.At.Trap)
}

// spot is where a capture was, in words.
func spot(c *register.Capture) string {
	switch {
	case c.At.Site == "":
		return "trap " + c.At.Trap
	case c.At.Trap == "":
		return "site " + c.At.Site
	}
	return fmt.Sprintf("trap %s at site %s", c.At.Trap, c.At.Site)
}

// firstOf gives the first finding, so that one matter is said once.
func firstOf(all []found) []found { return all[:min(1, len(all))] }

// sortedKeys are the keys of a map in order.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for key := range m {
		keys = append(keys, key)
	}
	slices.Sort(keys)
	return keys
}

// capital begins a sentence.
func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}
