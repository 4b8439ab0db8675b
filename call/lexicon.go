package call

import (
	"slices"
	"strings"

	"dawnround/protocol"
)

// A kind is what a word or phrase of the vocabulary can be.
type kind uint8

const (
	kTrait kind = iota + 1
	kYoungTrait
	kSign      // name of a sign: pouch, teats
	kSignValue // id is "sign=value"
	kYoungSign // id is "sign=value"
	kPart
	kFindSign
	kGrade
	kSample
	kMark
	kStage
	kSpecies
	kSide
	kConvention
	kUnit
	kRough
	kRoughAfter
	kCorrect
	kConfirm
	kNegative
	kMissing // no, skip, not checked: what follows or stands before was not taken
	kMissingAfter
	kWhy
	kControl
	kQuery
	kPrevious
	kSwap
	kAgain
	kFiller
	kSex
	kStatus
	kOutcome
	kRound
	kWeigh
	kYoung
	kYoungWord
	kAmount
	kMedium
	kLabel
	kAction
	kIncident
	kRelease
	kWeather
	kChatter
	kPast    // makes its breath a story
	kForeign // a noun that makes the number before it no measurement
	kTeat
	kDimension
	kChip
	kWear
)

// An entry is one phrase of the vocabulary.
type entry struct {
	words []string
	kind  kind
	id    string
	alike bool // sounds like it
	short bool // an abbreviation of one letter: only before a number in digits
}

// A lexicon is the vocabulary for one species sheet, by first word, beside
// what all species of the programme share.
type lexicon struct {
	by       map[string][]entry
	shared   map[string][]entry
	sheet    *protocol.Sheet
	protocol *protocol.Protocol
}

// newLexicon makes the vocabulary of a sheet; without one it is what all
// species share.
func newLexicon(p *protocol.Protocol, s *protocol.Sheet, shared map[string][]entry) *lexicon {
	l := &lexicon{by: map[string][]entry{}, shared: shared, sheet: s, protocol: p}
	if s == nil {
		l.programme(p)
		for k, table := range common {
			l.table(k, table)
		}
		l.each(chipAlikes, func(w string) { l.add(kChip, "chip", w, true) })
		for _, w := range ejections() {
			l.add(kIncident, "young ejected", w, false)
		}
		for _, w := range idioms() {
			l.add(kChatter, "chatter", w, false)
		}
		for _, w := range holds() {
			l.add(kChatter, "chatter", w, false)
		}
		for _, w := range previousAnimal() {
			l.add(kPrevious, "previous", w, false)
		}
		return l
	}
	l.traits(s)
	l.signs(s)
	for _, g := range s.Stages {
		l.all(kStage, g.ID, g.ID, g.Name, g.Aliases)
	}
	return l
}

// programme enters what all species of a programme share.
func (l *lexicon) programme(p *protocol.Protocol) {
	for _, s := range p.Species {
		l.all(kSpecies, s.Code, s.Name, s.Scientific, s.Aliases)
	}
	for _, m := range p.Marks {
		l.all(kMark, m.ID, m.ID, m.Name, m.Aliases)
		for _, w := range append([]string{m.ID, m.Name}, m.Aliases...) {
			if w != "" && !strings.HasSuffix(w, "s") {
				l.add(kMark, m.ID, w+"s", false)
			}
		}
	}
	for _, k := range p.Samples {
		l.all(kSample, k.ID, k.ID, k.Name, k.Aliases)
		for _, w := range append([]string{k.ID, k.Name}, k.Aliases...) {
			if strings.Contains(w, " ") && !strings.HasSuffix(w, "s") && !strings.HasSuffix(w, "y") {
				l.add(kSample, k.ID, w+"s", false)
			}
		}
	}
	for _, f := range p.Findings.Parts {
		l.all(kPart, f.ID, f.ID, f.Name, f.Aliases)
	}
	for _, f := range p.Findings.Parts {
		l.each(commonParts[f.ID], func(w string) { l.addNew(kPart, f.ID, w) })
	}
	for _, f := range p.Findings.Signs {
		l.all(kFindSign, f.ID, f.ID, f.Name, f.Aliases)
		for _, w := range append([]string{f.ID, f.Name}, f.Aliases...) {
			if a, b, ok := strings.Cut(w, " "); ok && !strings.Contains(b, " ") { // tip's gone
				l.add(kFindSign, f.ID, a+"'s "+b, false)
				l.add(kFindSign, f.ID, a+" is "+b, false)
			}
		}
		l.each(commonFindAlikes[f.ID], func(w string) { l.add(kFindSign, f.ID, w, true) })
		for _, g := range f.Grades {
			l.add(kGrade, g, g, false)
		}
	}
}

func (l *lexicon) traits(s *protocol.Sheet) {
	for _, t := range s.Traits {
		k := kTrait
		if t.Of == protocol.OfYoung {
			k = kYoungTrait
		}
		l.all(k, t.ID, t.ID, t.Name, t.Aliases)
		if t.Of == protocol.OfYoung {
			l.plurals(t.ID, append([]string{t.ID, t.Name}, t.Aliases...))
			l.plurals(t.ID, strings.Split(commonTraits[t.ID], ", "))
		}
		for _, w := range t.SoundsLike {
			l.add(k, t.ID, w, true)
		}
	}
	for id, words := range commonTraits {
		if t, ok := s.Trait(id); ok && t.ID == id && t.Of != protocol.OfYoung {
			l.each(words, func(w string) { l.add(kTrait, id, w, false) })
			l.each(protocol.HeardAs[id], func(w string) { l.add(kTrait, id, w, true) })
		}
		if t, ok := s.YoungTrait(id); ok && t.Of == protocol.OfYoung {
			l.each(words, func(w string) { l.add(kYoungTrait, id, w, false) })
			l.each(protocol.HeardAs[id], func(w string) { l.add(kYoungTrait, id, w, true) })
		}
	}
}

// plurals enters the names of a young's trait for a whole litter: "crown rumps".
func (l *lexicon) plurals(id string, names []string) {
	for _, w := range names {
		if w != "" && !strings.HasSuffix(w, "s") {
			l.add(kYoungTrait, id, w+"s", false)
		}
	}
}

func (l *lexicon) signs(s *protocol.Sheet) {
	for _, g := range s.Signs {
		k := kSignValue
		if g.Of == protocol.OfYoung {
			k = kYoungSign
		} else {
			l.all(kSign, g.ID, g.ID, g.Name, g.Aliases)
		}
		for _, v := range g.Values {
			id := g.ID + "=" + v.ID
			name := v.Name
			if strings.Contains(name, ":") || strings.Contains(name, ",") {
				name = ""
			}
			l.all(k, id, v.ID, name, v.Aliases)
			l.each(commonSigns[id], func(w string) { l.add(k, id, w, false) })
		}
	}
}

// all enters an id, a name and aliases for one meaning.
func (l *lexicon) all(k kind, id, first, name string, aliases []string) {
	for _, w := range append([]string{first, name}, aliases...) {
		l.add(k, id, w, false)
	}
}

// table enters lines of the form "id: phrase, phrase".
func (l *lexicon) table(k kind, table string) {
	for line := range strings.Lines(table) {
		id, words, ok := strings.Cut(strings.TrimSpace(line), ":")
		if !ok {
			continue
		}
		l.each(words, func(w string) { l.add(k, id, w, false) })
	}
}

func (l *lexicon) each(words string, do func(string)) {
	for w := range strings.SplitSeq(words, ",") {
		if w = strings.TrimSpace(w); w != "" {
			do(w)
		}
	}
}

// add enters one phrase.
func (l *lexicon) add(k kind, id, phrase string, alike bool) {
	words := make([]string, 0, 4)
	for _, t := range tokens(phrase) {
		words = append(words, t.text)
	}
	if strings.HasPrefix(phrase, "'") {
		words = []string{phrase} // the short "is" of it's
	}
	if len(words) == 0 || numerals[words[0]].class != noNumeral && len(words) == 1 {
		return
	}
	e := entry{words: words, kind: k, id: id, alike: alike, short: len(words) == 1 && len(words[0]) == 1 && words[0][0] < 0x80}
	same := func(o entry) bool { return o.kind == k && slices.Equal(o.words, words) }
	if !slices.ContainsFunc(l.by[words[0]], same) {
		l.by[words[0]] = append(l.by[words[0]], e)
	}
}

// addNew enters a phrase of the trade unless the programme gives it a meaning
// of the same kind.
func (l *lexicon) addNew(k kind, id, phrase string) {
	words := tokens(phrase)
	taken := func(e entry) bool {
		return e.kind == k && slices.EqualFunc(e.words, words, func(w string, t token) bool { return w == t.text })
	}
	if !slices.ContainsFunc(l.by[words[0].text], taken) {
		l.add(k, id, phrase, false)
	}
}

// Reader reads phrases with the vocabulary of one programme. It may be used
// from many goroutines.
type Reader struct {
	protocol *protocol.Protocol
	sheets   map[string]*lexicon
	none     *lexicon
}

// New makes the vocabulary of a programme.
func New(p *protocol.Protocol) *Reader {
	r := &Reader{protocol: p, sheets: map[string]*lexicon{}, none: newLexicon(p, nil, nil)}
	for i := range p.Species {
		r.sheets[p.Species[i].Code] = newLexicon(p, &p.Species[i], r.none.by)
	}
	return r
}

// lexicon is the vocabulary for a sheet; a sheet of another protocol gets its
// own each time.
func (r *Reader) lexicon(s *protocol.Sheet) *lexicon {
	if s == nil {
		return r.none
	}
	if l, ok := r.sheets[s.Code]; ok && l.sheet == s {
		return l
	}
	return newLexicon(r.protocol, s, r.none.by)
}
