package call

import (
	"slices"

	"dawnround/protocol"
	"dawnround/record"
)

// A reading is one phrase being read.
type reading struct {
	*lexicon
	given   *Given
	toks    []token
	found   [][]entry // by token: what of the vocabulary begins there, longest first
	numbers []numberAt
	breaths []breath // by token
	at      int      // the word that is looked at
	steps   int      // work done, which is bounded
	out     Heard

	last        string // address of the measurement said last
	correcting  bool   // after a correction word: a bare number belongs to the field before
	negated     bool   // the speaker said no to a read-back
	previous    bool   // all is about the animal before
	quiet       bool   // an incident runs
	topic       topic
	stage, sex  string
	heard       map[string][]utterance // every number said for a field, in order
	again       bool                   // repeat readings are being taken
	swapped     bool                   // two fields changed places, once in a phrase
	struck      string                 // address of what was struck, until a new value comes
	struckAt    int                    // the word behind the striking
	weighed     weighing
	young       litter
	row         foundRow
	lastRow     foundRow // of the parasites, as it stands
	lastSite    string   // of the parasites
	lastPut     string   // address of what was entered last
	lastSign    string   // … where that is a value of a sign
	part        partInHand
	sample      int // row of the sample that is open; 0: none
	samples     int
	labelAhead  string // said before its sample
	findings    int
	lastFinding string // row of what was seen last
	checks      int
	lost        int
	mark        string                      // address of the mark in hand
	tagSaid     string                      // side of the tag said last
	animal      struct{ known, there bool } // whether the phrase says that an animal was there
	inRun       int                         // behind the last number that the order took
	slot        int                         // in the calling order
	line        bool                        // a whole line of traps was named
	lineInHand  string                      // its name, before anything is said of it
}

// topic is what the words are about until another thing is named.
type topic uint8

const (
	tNone topic = iota
	tMeasure
	tYoung
	tParasite
	tSample
	tMark
	tTeats
	tPouch
	tTrap
	tFinding
	tTestes
	tRelease
)

// An utterance is one number said for a field.
type utterance struct {
	value string
	asked bool // with a question mark: the scribe reads back
	from  int  // tokens
	to    int
}

// Read reads one phrase. The sheet is that of the animal's species; nil where
// it is not known. It never fails: what is not understood is left, and said
// so.
func (r *Reader) Read(phrase string, sheet *protocol.Sheet, given Given) Heard {
	h, _ := r.read(phrase, sheet, given)
	return h
}

// read also tells how many steps the reading took.
func (r *Reader) read(phrase string, sheet *protocol.Sheet, given Given) (Heard, int) {
	rd := &reading{lexicon: r.lexicon(sheet), given: &given, toks: withoutHesitations(tokens(phrase)), heard: map[string][]utterance{}, quiet: given.Incident}
	rd.stage, rd.sex = given.Stage, given.Sex
	if k, ok := known(given.SoFar, "sex"); ok {
		rd.sex = k.Value
	}
	if k, ok := known(given.SoFar, "stage"); ok {
		rd.stage = k.Value
	}
	rd.slot = max(0, slices.Index(given.Order, given.OrderAt))
	rd.out.Said = phrase
	rd.softenStops()
	rd.scan()
	rd.decimalCommas()
	rd.cutBreaths()
	rd.dropAsides()
	rd.foretell()
	for rd.at < len(rd.toks) {
		rd.step()
	}
	rd.finish()
	rd.out.Words = words(phrase, rd.toks)
	return rd.out, rd.steps
}

// scan finds, at each word, what of the vocabulary begins there.
func (rd *reading) scan() {
	rd.found = make([][]entry, len(rd.toks))
	rd.numbers = make([]numberAt, len(rd.toks))
	for i := range rd.toks {
		rd.scanAt(i, rd.by[rd.toks[i].text])
		rd.scanAt(i, rd.shared[rd.toks[i].text])
		if len(rd.found[i]) > 1 {
			slices.SortStableFunc(rd.found[i], func(a, b entry) int { return len(b.words) - len(a.words) })
		}
	}
	rd.closeIdioms()
}

func (rd *reading) scanAt(i int, entries []entry) {
	for _, e := range entries {
		rd.steps++
		if rd.matches(i, e) {
			rd.found[i] = append(rd.found[i], e)
		}
	}
}

func (rd *reading) matches(i int, e entry) bool {
	if i+len(e.words) > len(rd.toks) {
		return false
	}
	for k, w := range e.words {
		if rd.toks[i+k].text != w || k > 0 && rd.toks[i+k].stop != 0 {
			return false
		}
	}
	if e.alike && !rd.hearsAlikes() {
		return false
	}
	return true
}

// hearsAlikes: what was typed by hand or written on paper is not misheard.
func (rd *reading) hearsAlikes() bool {
	return rd.given.Source != Typed && rd.given.Source != Paper
}

// foretell looks over the phrase for what changes the meaning of all of it:
// the stage and sex that ranges depend on, and the running of an incident.
func (rd *reading) foretell() {
	for i := range rd.toks {
		if id, n := rd.lexID(i, kStage); n > 0 && rd.isGrown(id) && !rd.negatedAt(i) {
			rd.stage = id
		}
		if id, n := rd.lexID(i, kSex); n > 0 && (id == string(record.Female) || id == string(record.Male)) && rd.sex == "" && rd.lex(max(0, i-1), kYoung) == 0 {
			rd.sex = id
		}
		if id, n := rd.lexID(i, kIncident); n > 0 && !rd.negatedAt(i) && rd.incidentFits(id, i) {
			rd.quiet = true
		}
	}
}

func (rd *reading) isGrown(stage string) bool {
	if rd.lexicon.sheet == nil {
		return true
	}
	rank := rd.lexicon.sheet.StageRank(stage)
	return rank >= 0 && !rd.lexicon.sheet.Stages[rank].Young
}

// negatedAt tells whether "no" or "not" stands before a word.
func (rd *reading) negatedAt(i int) bool {
	w := rd.word(i - 1)
	if rd.correcting && i > 0 && rd.toks[i-1].fate == Taken {
		return false
	}
	return rd.joined(i) && (w == "no" || w == "not" || w == "without")
}

// denied tells whether a word before token i, in the same breath, says that it
// is not so.
func (rd *reading) denied(i int) bool {
	for k := i - 1; k >= 0 && k >= i-5 && rd.joined(k+1); k-- {
		if denials[rd.word(k)] && !(rd.toks[k].fate == Taken && rd.correcting) {
			return true
		}
	}
	return false
}

var denials = wordSet("no not didn't don't couldn't can't won't wasn't isn't haven't hasn't never without nil wouldn't forgot nearly almost doesn't aren't weren't if")

// rules are tried in this order at each word; the first that takes it wins.
var rules = []func(*reading) bool{
	(*reading).control,
	(*reading).speakOfPrevious,
	(*reading).querying,
	(*reading).confirming,
	(*reading).doubting,
	(*reading).saidBefore,
	(*reading).correction,
	(*reading).swapping,
	(*reading).idiom,
	(*reading).altering,
	(*reading).missing,
	(*reading).round,
	(*reading).chip,
	(*reading).tag,
	(*reading).incident,
	(*reading).sampling,
	(*reading).release,
	(*reading).clockTime,
	(*reading).weather,
	(*reading).action,
	(*reading).teats,
	(*reading).testes,
	(*reading).youngOnes,
	(*reading).weight,
	(*reading).shorthand,
	(*reading).measuring,
	(*reading).pouch,
	(*reading).condition,
	(*reading).namedSign,
	(*reading).parasite,
	(*reading).finding,
	(*reading).sexing,
	(*reading).status,
	(*reading).staging,
	(*reading).species,
	(*reading).unknownBeast,
	(*reading).bareNumber,
}

// step lets the rules look at the next word.
func (rd *reading) step() {
	start := rd.at
	if rd.breaks(start) {
		rd.newClause(start)
		if rd.ofThePast(start) {
			return
		}
	}
	for _, rule := range rules {
		rd.steps++
		if rule(rd) {
			break
		}
	}
	if rd.at <= start {
		if rd.toks[start].fate == Between {
			rd.toks[start].fate = Left
		}
		rd.at = start + 1
	}
}

// newClause forgets what holds within one breath only.
func (rd *reading) newClause(i int) {
	if rd.toks[i].stop == '.' || rd.toks[i].stop == '?' {
		rd.part = partInHand{}
	}
}

// ofThePast leaves a breath that tells of another time or another animal,
// unless it corrects that animal.
func (rd *reading) ofThePast(i int) bool {
	_, to := rd.clause(i)
	if _, ok := rd.has(i, to, kPast, ""); !ok {
		return false
	}
	if _, ok := rd.has(i, to, kPrevious, ""); ok {
		return false
	}
	rd.leave(i, to)
	return true
}

// idiom leaves the rest of a breath that opens a figure of speech: "tail end
// of the round".
func (rd *reading) idiom() bool {
	i := rd.at
	if rd.lex(i, kChatter) == 0 {
		return false
	}
	_, to := rd.clause(i)
	rd.leave(i, to)
	return true
}

// word is the text of a token, empty outside the phrase.
func (rd *reading) word(i int) string {
	if i < 0 || i >= len(rd.toks) {
		return ""
	}
	return rd.toks[i].text
}

// joined tells whether token i follows its neighbour without a stop.
func (rd *reading) joined(i int) bool { return i > 0 && i < len(rd.toks) && rd.toks[i].stop == 0 }

// breaks tells whether the phrase or the breath ends before token i.
func (rd *reading) breaks(i int) bool { return i >= len(rd.toks) || i <= 0 || rd.toks[i].stop != 0 }

func (rd *reading) entry(i int, k kind) (entry, bool) {
	if i < 0 || i >= len(rd.toks) {
		return entry{}, false
	}
	for _, e := range rd.found[i] {
		rd.steps++
		if e.kind == k {
			return e, true
		}
	}
	return entry{}, false
}

// lexID is the meaning of the longest phrase of a kind that begins at token i,
// and how many words it has.
func (rd *reading) lexID(i int, k kind) (string, int) {
	e, ok := rd.entry(i, k)
	if !ok {
		return "", 0
	}
	return e.id, len(e.words)
}

func (rd *reading) lex(i int, k kind) int {
	_, n := rd.lexID(i, k)
	return n
}

// has finds a phrase of a kind, with this meaning if one is given, among the
// tokens from i to j.
func (rd *reading) has(i, j int, k kind, id string) (int, bool) {
	for ; i < j; i++ {
		if got, n := rd.lexID(i, k); n > 0 && (id == "" || got == id) {
			return i, true
		}
	}
	return 0, false
}

// maxFillers is how many little words may stand together.
const maxFillers = 6

// skip passes over little words that carry nothing, within the breath.
func (rd *reading) skip(i int) int {
	for start := i; i < start+maxFillers && rd.joined(i) && rd.lex(i, kFiller) > 0; {
		i += rd.lex(i, kFiller)
	}
	return i
}

// fate says what became of the tokens from i to j.
func (rd *reading) fate(i, j int, f Fate, field string) {
	for ; i < j && i < len(rd.toks); i++ {
		if i >= 0 && (rd.toks[i].fate != Asked || f == Asked) {
			rd.toks[i].fate, rd.toks[i].field = f, field
		}
	}
}

// isNumber tells whether a number begins at token i, passing "about".
func (rd *reading) isNumber(i int) bool {
	i += rd.lex(i, kRough)
	if i >= len(rd.toks) {
		return false
	}
	if rd.toks[i].num.begins() {
		return true
	}
	_, ok := rd.number(i)
	return ok
}
