package call

import (
	"strings"
)

// A numberReader goes over the words of one number.
type numberReader struct {
	toks     []token
	at       int
	alike    bool // sound-alikes count as digits
	dictated bool // … and the phrase is known to be dictated
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

func (n *numberReader) atom(num numeral) {
	last := len(n.atoms) - 1
	if num.class == digit && num.value > 0 && last >= 0 && n.atoms[last].loose {
		n.atoms[last] = atom{value: n.atoms[last].value + num.value}
	} else {
		n.atoms = append(n.atoms, atom{num.value, num.class == digit, num.class == tens})
	}
	n.at++
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
