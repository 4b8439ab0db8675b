package call

import (
	"strconv"
	"strings"
)

// spoken is a number as it was said. Several readings are possible where the
// speaker left out the point: "seventy-four six" is 74.6 or 746.
type spoken struct {
	from, to int      // tokens
	readings []string // decimal texts, the likeliest first
	rough    bool     // "about", "and a bit"
	unended  bool     // "seventy-seven point …"
	unit     string   // that was said: mm, g, kg

	alternative string   // what it is if the word behind it was a misheard digit
	misheard    []string // words that were taken for digits
}

// text is the first reading.
func (s spoken) text() string {
	if len(s.readings) == 0 {
		return ""
	}
	return s.readings[0]
}

// whole is the number as a count, if it is one.
func (s spoken) whole() (int, bool) {
	n, err := strconv.Atoi(s.text())
	return n, err == nil
}

// number reads the number that begins at token i. The source says whether
// sound-alikes of digits may be taken. Each is read once.
func (rd *reading) number(i int) (spoken, bool) {
	if i < 0 || i >= len(rd.toks) {
		return spoken{from: i, to: i}, false
	}
	if c := &rd.numbers[i]; !c.known {
		c.spoken, c.ok = rd.readNumber(i)
		c.known = true
	}
	rd.steps++
	return rd.numbers[i].spoken, rd.numbers[i].ok
}

// A numberAt is what begins at a token, once it was read.
type numberAt struct {
	spoken spoken
	ok     bool
	known  bool
}

func (rd *reading) readNumber(i int) (spoken, bool) {
	s := spoken{from: i, to: i}
	if rd.lex(i, kRough) > 0 {
		s.rough = true
		i += rd.lex(i, kRough)
	}
	negative := i < len(rd.toks) && (rd.toks[i].text == "-" || rd.toks[i].text == "minus" || rd.toks[i].text == "negative")
	if negative {
		i++
	}
	if rd.kilo(i, &s) {
		rd.afterNumber(&s)
		return s, true
	}
	n := numberReader{toks: rd.toks, at: i, alike: rd.hearsAlikes(), dictated: rd.given.Source == Dictated, steps: &rd.steps}
	if !n.read() {
		return s, false
	}
	s.readings, s.unended, s.misheard, s.to = n.readings(), n.unended, n.misheard, n.at
	if value, ok := n.mayGoOn(); ok && rd.given.Source == Dictated && rd.word(s.to) != "by" {
		s.alternative = strings.TrimSuffix(s.readings[0], "0") + strconv.Itoa(value)
	}
	if negative {
		for k := range s.readings {
			s.readings[k] = "-" + s.readings[k]
		}
	}
	rd.afterNumber(&s)
	return s, true
}

// partsOfAKilo are the shares that are said of a kilo.
var partsOfAKilo = []struct{ words, of string }{
	{"three quarters of", "0.75"}, {"three quarter", "0.75"}, {"a quarter of", "0.25"}, {"one quarter of", "0.25"}, {"quarter of", "0.25"}, {"half of", "0.5"}, {"half", "0.5"},
}

// kilo reads "a kilo", "half a kilo" and "three quarters of a kilo".
func (rd *reading) kilo(i int, s *spoken) bool {
	share := "1"
	for _, p := range partsOfAKilo {
		if rd.says(i, p.words) && rd.joined(i+len(strings.Fields(p.words))) {
			share, i = p.of, i+len(strings.Fields(p.words))
			break
		}
	}
	if rd.word(i) == "a" && rd.joined(i+1) {
		i++
	} else if share == "1" {
		return false
	}
	id, n := rd.lexID(i, kUnit)
	if n == 0 || id != "kg" {
		return false
	}
	s.readings, s.unit, s.to = []string{share}, "kg", i+n
	if share == "1" {
		rd.afterKilos(s)
	}
	return true
}

// afterNumber takes what belongs to a number behind it: its unit, "or so".
func (rd *reading) afterNumber(s *spoken) {
	for s.to < len(rd.toks) && rd.toks[s.to].stop == 0 {
		if n := rd.lex(s.to, kRoughAfter); n > 0 {
			s.rough = true
			s.to += n
			continue
		}
		if n := rd.exactly(s.to); n > 0 {
			s.to += n
			continue
		}
		id, n := rd.lexID(s.to, kUnit)
		if rd.says(s.to, "of a") && rd.joined(s.to+2) {
			if id, n = rd.lexID(s.to+2, kUnit); id != "kg" {
				break // "point nine of a kilo", and no other share
			}
			n += 2
		}
		if n == 0 || s.unit != "" {
			break
		}
		s.unit = id
		s.to += n
		if isFlat(rd.word(s.to)) && rd.joined(s.to) {
			s.to++
		}
		if id == "kg" {
			rd.afterKilos(s)
		}
	}
}

// exactly is how many words say that a number is exact.
func (rd *reading) exactly(i int) int {
	for _, p := range []string{"on the dot", "on the nose", "on the knocker", "to the gram", "on the button", "bang on", "spot on", "dead on"} {
		if rd.says(i, p) && rd.joined(i) {
			return len(strings.Fields(p))
		}
	}
	return 0
}

// afterKilos reads "a kilo and a half" and "one kilo two fifty".
func (rd *reading) afterKilos(s *spoken) {
	n := numberReader{toks: rd.toks, at: s.to, alike: rd.hearsAlikes(), steps: &rd.steps}
	if n.fraction() {
		s.readings = []string{s.readings[0] + "." + n.decimals}
		s.to = n.at
		return
	}
	if s.to >= len(rd.toks) || rd.toks[s.to].stop != 0 || !n.read() || n.decimals != "" {
		return
	}
	grams, err := strconv.Atoi(n.readings()[0])
	if err == nil && grams >= 10 && grams < 1000 && !strings.Contains(s.readings[0], ".") {
		s.readings = []string{s.readings[0] + "." + pad(grams)}
		s.to = n.at
		if id, k := rd.lexID(s.to, kUnit); id == "g" {
			s.to += k
		}
	}
}

func pad(grams int) string { return strconv.Itoa(1000 + grams)[1:] }

// A numberReader goes over the words of one number.
type numberReader struct {
	toks     []token
	at       int
	alike    bool // sound-alikes count as digits
	dictated bool // … and the phrase is known to be a transcript
	atoms    []atom
	sum      int  // of hundreds and thousands said in full
	full     bool // "a hundred and two", not "one oh two"
	decimals string
	hasPoint bool
	unended  bool
	written  string // a number in digits
	misheard []string
	steps    *int
}

// An atom is a number below a hundred that was said in one breath.
type atom struct {
	value  int
	single bool // one digit
	loose  bool // tens alone, to which a digit may yet belong
}

func (n *numberReader) read() bool {
	switch {
	case n.at >= len(n.toks):
		return false
	case n.toks[n.at].num.class == literal:
		n.literal()
		return true
	}
	start := n.at
	n.article()
	for n.within(start) && n.group(start) {
		*n.steps++
	}
	if n.at == start && !n.pointNext() {
		return false
	}
	n.tail()
	return n.full || len(n.atoms) > 0 || n.decimals != ""
}

// maxAtoms bounds a number; a transponder's has fifteen digits.
const maxAtoms = 24

// within tells whether the next token is in the same breath as the number.
func (n *numberReader) within(start int) bool {
	return len(n.atoms) < maxAtoms && n.at < len(n.toks) && (n.at == start || n.toks[n.at].stop == 0)
}

func (n *numberReader) text(i int) string {
	if i < 0 || i >= len(n.toks) {
		return ""
	}
	return n.toks[i].text
}

func (n *numberReader) class(i int) numeralClass {
	if i < 0 || i >= len(n.toks) || i > n.at && n.toks[i].stop != 0 {
		return noNumeral
	}
	return n.toks[i].num.class
}

func (n *numberReader) pointNext() bool { return n.class(n.at) == point }

// literal takes a number written in digits, and "74 6" or "74 and a half".
func (n *numberReader) literal() {
	n.written = n.toks[n.at].text
	n.at++
	if n.fraction() {
		n.written += "." + n.decimals
		n.decimals = ""
		return
	}
	if n.class(n.at) == point && !strings.Contains(n.written, ".") {
		n.atoms = nil
		n.tail()
		if n.decimals != "" {
			n.written += "." + n.decimals
		}
		return
	}
	if n.at < len(n.toks) && n.toks[n.at].stop == 0 && isFlat(n.text(n.at)) && !strings.Contains(n.written, ".") {
		n.written += ".0"
		n.at++
	}
}

// article takes "a" before hundred and thousand, and those alone.
func (n *numberReader) article() {
	first, second := n.class(n.at), noNumeral
	if n.at+1 < len(n.toks) && n.toks[n.at+1].stop == 0 {
		second = n.toks[n.at+1].num.class
	}
	switch {
	case (n.text(n.at) == "a" || n.text(n.at) == "an") && (second == hundred || second == thousand):
		n.at++
		n.atoms = append(n.atoms, atom{value: 1})
	case first == hundred || first == thousand:
		n.atoms = append(n.atoms, atom{value: 1})
	}
}

// group takes one word of the number, or "and" where a number goes on.
func (n *numberReader) group(start int) bool {
	num := n.toks[n.at].num
	switch {
	case n.dictated && n.tensHeard():
	case num.spelt():
		n.atom(num)
	case num.class == hundred || num.class == thousand:
		return n.multiply(num.value)
	case n.text(n.at) == "and" && n.full && n.at+1 < len(n.toks) && n.toks[n.at+1].num.spelt() && n.toks[n.at+1].stop == 0 && !n.lastIsAtom():
		n.at++
	case n.alike && n.text(n.at) == "and" && n.full && !n.lastIsAtom() && n.soundsAfterAnd():
		return true
	case n.alike && n.sounds(start):
		return true
	default:
		return false
	}
	return true
}

func (n *numberReader) lastIsAtom() bool {
	c := n.class(n.at - 1)
	return c >= digit && c <= tens
}

func (n *numberReader) atom(num numeral) {
	last := len(n.atoms) - 1
	if num.class == digit && num.value > 0 && last >= 0 && n.atoms[last].loose {
		n.atoms[last] = atom{value: n.atoms[last].value + num.value}
	} else {
		n.atoms = append(n.atoms, atom{num.value, num.class == digit, num.class == tens})
	}
	n.at++
}

// multiply takes "hundred" or "thousand" for what was said before it.
func (n *numberReader) multiply(by int) bool {
	if len(n.atoms) != 1 || n.atoms[0].value == 0 || n.full && by == 1000 {
		return false
	}
	n.sum += n.atoms[0].value * by
	n.full = true
	n.atoms = nil
	n.at++
	if by == 1000 && n.class(n.at) == hundred {
		return false
	}
	return true
}

// sounds takes a word that sounds like a digit, where only a digit can stand.
func (n *numberReader) sounds(start int) bool {
	word := n.text(n.at)
	value, ok := misheardDigits[word]
	if !ok || !n.digitFits(word, start) {
		return false
	}
	n.misheard = append(n.misheard, word)
	n.atom(numeral{digit, value})
	return true
}

// tensHeard reads "ate tea" as eighty: a digit and its ending, written apart.
func (n *numberReader) tensHeard() bool {
	value, alike := misheardDigits[n.text(n.at)]
	if num := n.toks[n.at].num; num.class == digit {
		value, alike = num.value, true
	}
	next := n.at + 1
	if w := n.text(next); !alike || value < 4 || next >= len(n.toks) || n.toks[next].stop != 0 || w != "tea" && w != "tee" && w != "ty" {
		return false
	}
	n.misheard = append(n.misheard, n.text(n.at)+" "+n.text(next))
	n.atom(numeral{tens, value * 10})
	n.at++
	return true
}

// soundsAfterAnd reads "a hundred and to" at the end of a breath.
func (n *numberReader) soundsAfterAnd() bool {
	value, ok := misheardDigits[n.text(n.at+1)]
	if !ok || n.at+1 >= len(n.toks) || n.toks[n.at+1].stop != 0 || !n.endsAt(n.at+2) && n.toks[n.at+2].num.class != point {
		return false
	}
	n.misheard = append(n.misheard, n.text(n.at+1))
	n.at++
	n.atom(numeral{digit, value})
	return true
}

// mayGoOn is the digit that the next word may have been, where it was not
// taken for one: "seventy to check".
func (n *numberReader) mayGoOn() (int, bool) {
	last := len(n.atoms) - 1
	if n.at >= len(n.toks) || n.toks[n.at].stop != 0 || n.decimals != "" || n.written != "" || last < 0 || !n.atoms[last].loose {
		return 0, false
	}
	value, ok := misheardDigits[n.text(n.at)]
	return value, ok
}

// digitFits: "won fifty", "fifty ate", "twenty too" at the end of a clause.
func (n *numberReader) digitFits(word string, start int) bool {
	next := n.at + 1
	ends := next >= len(n.toks) || n.toks[next].stop != 0 || n.class(next) == point || n.text(next) == "and" && (n.text(next+1) == "a" || n.text(next+1) == "half")
	if n.at == start {
		return word == "won" && n.class(next).spoken()
	}
	last := len(n.atoms) - 1
	fits := last >= 0 && (n.atoms[last].loose || n.atoms[last].single || n.dictated && ends && n.atoms[last].value >= 20)
	if n.dictated && n.digitSounds(next) && n.endsAt(next+1) {
		ends = true // one for ate
	}
	if w := n.text(next); n.dictated && (w == "by" || w == "buy") {
		ends = true // thirty won by twenty
	}
	if n.dictated && n.full && len(n.atoms) == 0 && word != "for" {
		return ends // one hundred too
	}
	if word == "to" || word == "for" {
		return fits && ends
	}
	return fits && (ends || n.class(next).spoken())
}

// digitSounds tells whether token i is a digit or sounds like one.
func (n *numberReader) digitSounds(i int) bool {
	if i >= len(n.toks) || n.toks[i].stop != 0 {
		return false
	}
	_, alike := misheardDigits[n.toks[i].text]
	return alike || n.toks[i].num.class == digit
}

func (c numeralClass) spoken() bool { return c >= digit && c <= thousand }

// tail takes the point and its digits, "and a half", "flat".
func (n *numberReader) tail() {
	switch {
	case n.pointNext() && n.toks[n.at].stop == 0 || n.pointNext() && len(n.atoms) == 0 && !n.full:
		n.at++
		n.hasPoint = true
		n.afterPoint()
		n.unended = n.decimals == ""
	case n.fraction():
	case n.at < len(n.toks) && n.toks[n.at].stop == 0 && isFlat(n.text(n.at)):
		n.decimals = "0"
		n.at++
	}
}

func isFlat(word string) bool {
	return word == "flat" || word == "even" || word == "dead" || word == "exactly"
}

func (n *numberReader) afterPoint() {
	for n.at < len(n.toks) && n.toks[n.at].stop == 0 {
		num := n.toks[n.at].num
		value, alike := misheardDigits[n.text(n.at)]
		switch {
		case num.class == literal && n.decimals == "" && !strings.Contains(n.text(n.at), "."):
			n.decimals = n.text(n.at)
			n.at++
			return
		case num.class > digit && num.spelt() && strings.Trim(n.decimals, "0") != "":
			return // another number: tenths are said digit by digit
		case num.class == tens && n.class(n.at+1) == digit && n.toks[n.at+1].num.value > 0 && n.toks[n.at+1].stop == 0:
			n.decimals += strconv.Itoa(num.value + n.toks[n.at+1].num.value)
			n.at++
		case num.spelt():
			n.decimals += strconv.Itoa(num.value)
		case n.alike && alike && n.endsAt(n.at+1):
			n.misheard = append(n.misheard, n.text(n.at))
			n.decimals += strconv.Itoa(value)
		default:
			return
		}
		n.at++
		*n.steps++
	}
}

func (n *numberReader) endsAt(i int) bool { return i >= len(n.toks) || n.toks[i].stop != 0 }

// fraction takes "and a half", "and a quarter", "and three quarters", ½.
func (n *numberReader) fraction() bool {
	words := []string{n.text(n.at), n.text(n.at + 1), n.text(n.at + 2)}
	for i := range words {
		if n.at+i < len(n.toks) && n.toks[n.at+i].stop != 0 {
			clear(words[i:])
			break
		}
	}
	for _, f := range fractions {
		if strings.HasPrefix(strings.Join(words, " ")+" ", f.words+" ") {
			n.decimals = f.decimals
			n.at += f.n
			return true
		}
	}
	return false
}

var fractions = []struct {
	words, decimals string
	n               int
}{
	{"and a half", "5", 3}, {"and one half", "5", 3}, {"and half", "5", 2}, {"and a quarter", "25", 3}, {"and one quarter", "25", 3},
	{"and three quarters", "75", 3}, {"½", "5", 1}, {"¼", "25", 1}, {"¾", "75", 1},
}

// readings are the decimal texts this number may be, the likeliest first.
func (n *numberReader) readings() []string {
	if n.written != "" {
		return []string{n.written}
	}
	decimals := ""
	if n.decimals != "" {
		decimals = "." + n.decimals
	}
	if n.full {
		return n.fullReadings(decimals)
	}
	if len(n.atoms) == 0 {
		return []string{"0" + decimals}
	}
	whole := n.joined()
	if decimals != "" || len(n.atoms) < 2 || !n.atoms[len(n.atoms)-1].single {
		return []string{whole + decimals}
	}
	return []string{whole, n.joinedBut() + "." + strconv.Itoa(n.atoms[len(n.atoms)-1].value)}
}

// fullReadings: a number with hundreds said in full, and a digit after it is
// a tenth.
func (n *numberReader) fullReadings(decimals string) []string {
	switch len(n.atoms) {
	case 0:
		return []string{strconv.Itoa(n.sum) + decimals}
	case 1:
		return []string{strconv.Itoa(n.sum+n.atoms[0].value) + decimals}
	case 2:
		if n.atoms[1].single && decimals == "" && !n.atoms[0].single {
			return []string{strconv.Itoa(n.sum+n.atoms[0].value) + "." + strconv.Itoa(n.atoms[1].value)}
		}
		if n.atoms[0].single && n.atoms[0].value == 0 && n.atoms[1].single {
			return []string{strconv.Itoa(n.sum+n.atoms[1].value) + decimals}
		}
		if n.atoms[0].single && n.atoms[1].single && decimals == "" {
			return []string{strconv.Itoa(n.sum+n.atoms[0].value) + "." + strconv.Itoa(n.atoms[1].value)}
		}
		if n.sum >= 1000 && n.atoms[0].single && !n.atoms[1].single { // a thousand two fifty
			return []string{strconv.Itoa(n.sum+n.atoms[0].value*100+n.atoms[1].value) + decimals}
		}
	}
	text := strconv.Itoa(n.sum)
	for _, a := range n.atoms {
		text += strconv.Itoa(a.value)
	}
	return []string{text + decimals}
}

// joined puts the atoms beside one another: one sixty-two, eight oh five,
// seven five.
func (n *numberReader) joined() string { return join(n.atoms) }

func (n *numberReader) joinedBut() string { return join(n.atoms[:len(n.atoms)-1]) }

func join(atoms []atom) string {
	var b strings.Builder
	for _, a := range atoms {
		b.WriteString(strconv.Itoa(a.value))
	}
	text := b.String()
	if trimmed := strings.TrimLeft(text, "0"); trimmed != "" {
		return trimmed
	}
	return "0"
}
