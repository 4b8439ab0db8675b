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

func (n *numberReader) text(i int) string {
	if i < 0 || i >= len(n.toks) {
		return ""
	}
	return n.toks[i].text
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
