package call

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A token is one word, number or symbol of the phrase, with its place.
type token struct {
	text     string // in lower case, apostrophes straight
	from, to int    // bytes of the phrase
	stop     byte   // strongest stop between this token and the one before: 0 , . ?
	asked    bool   // a question mark follows
	capital  bool   // written with a capital
	glued    bool   // no space before it
	slashed  bool   // a stroke between two numbers before it: 4/5
	comma    bool   // a comma without a space between two numbers before it: 78,2
	num      numeral
	fate     Fate
	field    string // address it went to
}

// maxTokens bounds the work on one phrase; what follows is left unread.
const maxTokens = 180

// tokens cuts a phrase into words, numbers and symbols.
func tokens(phrase string) []token {
	c := cutter{phrase: phrase}
	for c.at < len(phrase) && len(c.out) < maxTokens {
		c.next()
	}
	for i := range c.out {
		c.out[i].num = numeralOf(c.out[i].text)
	}
	return c.out
}

// hesitations say nothing wherever they stand; openers say nothing where a
// breath opens with them.
var (
	hesitations = wordSet("um umm uh uhh uhm er err erm eh ehm hm hmm mm mmm ah")
	openers     = wordSet("then so well anyway also")
)

// withoutHesitations leaves out the words of a phrase that only fill a pause;
// the stop before one is that of the word behind it.
func withoutHesitations(toks []token) []token {
	kept := make([]token, 0, len(toks))
	var stop byte
	paused := false
	for i, t := range toks {
		if rank(t.stop) > rank(stop) {
			stop = t.stop
		}
		opens := len(kept) == 0 || stop != 0
		goesOn := i+1 < len(toks) && toks[i+1].stop == 0
		if hesitations[t.text] || t.text == "oh" && opens && i+1 < len(toks) && toks[i+1].num.class == noNumeral && !digitWords[toks[i+1].text] || openers[t.text] && opens && goesOn {
			if t.asked && len(kept) > 0 {
				kept[len(kept)-1].asked = true
			}
			paused = paused || !openers[t.text]
			continue
		}
		t.stop, stop = stop, 0
		if t.stop != '?' && paused && isUnending(kept) {
			t.stop = 0 // a pause, and no end: "for, um, three seconds"
		}
		paused = false
		kept = append(kept, t)
	}
	return otherSides(kept)
}

// isUnending tells whether no breath ends with the last word; "for" may be a
// four behind a number.
func isUnending(kept []token) bool {
	n := len(kept)
	return n > 0 && unending[kept[n-1].text] && (kept[n-1].text != "for" || n > 1 && kept[n-2].num.class == noNumeral && kept[n-2].text != "here")
}

// digitWords go on a mark behind "oh".
var digitWords = wordSet("double triple treble")

// unending are words no breath ends with.
var unending = wordSet("the a an of at about is was for her his from says reads and")

// otherSides puts the side in the place of "t'other" and "the other ear", where
// one side was named before.
func otherSides(toks []token) []token {
	side := ""
	for i := range toks {
		t := &toks[i]
		next, end := "", i+1 >= len(toks) || toks[i+1].stop != 0
		if i+1 < len(toks) {
			next = toks[i+1].text
		}
		switch {
		case t.text == "left" || t.text == "right":
			side = t.text
		case side != "" && (t.text == "t'other" || t.text == "other" && !end && (hasTwo[next] || toks[i+1].num.class != noNumeral)):
			t.text = map[string]string{"left": "right", "right": "left"}[side]
			side = ""
		}
	}
	return toks
}

// hasTwo are words behind "the other" that say that it is the other side.
var hasTwo = wordSet("ear eye foot pes testis testicle nut ball side nil none zero zip nostril ears")

// A cutter walks over a phrase.
type cutter struct {
	phrase string
	at     int
	stop   byte
	space  bool // white space since the last token
	slash  bool // a stroke since the last token
	comma  bool // a comma between two digits since the last token
	out    []token
}

func (c *cutter) peek(at int) rune {
	r, _ := utf8.DecodeRuneInString(c.phrase[min(at, len(c.phrase)):])
	return r
}

// before is the rune just before the place where the cutter stands.
func (c *cutter) before() rune {
	r, _ := utf8.DecodeLastRuneInString(c.phrase[:c.at])
	return r
}

func (c *cutter) next() {
	r, size := utf8.DecodeRuneInString(c.phrase[c.at:])
	switch {
	case unicode.IsSpace(r):
		c.space = true
		c.at += size
	case isDigit(r):
		c.number()
	case unicode.IsLetter(r):
		c.word()
	case isApostrophe(r):
		c.possessive(size)
	default:
		c.symbol(r, size)
	}
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func isApostrophe(r rune) bool { return r == '\'' || r == '’' || r == '‘' }

func (c *cutter) add(to int, text string) {
	first, _ := utf8.DecodeRuneInString(c.phrase[c.at:])
	c.out = append(c.out, token{
		text: text, from: c.at, to: to, stop: c.stop,
		capital: unicode.IsUpper(first), glued: !c.space && c.stop == 0 && len(c.out) > 0,
	})
	c.out[len(c.out)-1].slashed, c.out[len(c.out)-1].comma = c.slash, c.comma
	c.at, c.stop, c.space, c.slash, c.comma = to, 0, false, false, false
}

// number takes digits with a decimal part, thousands or a clock time: 74.2,
// 74⸍6, 1,460, 05:52.
func (c *cutter) number() {
	end := c.digits(c.at)
	whole := c.phrase[c.at:end]
	mark, size := utf8.DecodeRuneInString(c.phrase[end:])
	after := c.digits(end + size)
	part := after - end - size
	switch {
	case part == 0:
		c.add(end, whole)
	case mark == '.' || mark == '⸍' || mark == '·':
		c.add(after, whole+"."+c.phrase[end+size:after])
	case mark == ',' && len(whole) <= 3 && part == 3:
		c.add(after, whole+c.phrase[end+size:after])
	case mark == ':' && len(whole) <= 2 && part == 2:
		c.add(after, whole+":"+c.phrase[end+size:after])
	default:
		c.add(end, whole)
	}
}

// digits is the end of the run of digits that begins at a place.
func (c *cutter) digits(at int) int {
	for at < len(c.phrase) && isDigit(rune(c.phrase[at])) {
		at++
	}
	return min(at, len(c.phrase))
}

// word takes letters, with an apostrophe inside a word that ends in n't or is
// o'clock; the possessive and short "is" become words of their own.
func (c *cutter) word() {
	end := c.at
	for end < len(c.phrase) {
		r, size := utf8.DecodeRuneInString(c.phrase[end:])
		inside := isApostrophe(r) && c.joins(end, size)
		if !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) && !inside {
			break
		}
		end += size
	}
	if c.peek(end) == '/' && end-c.at == 1 && unicode.IsLetter(c.peek(end+1)) && !unicode.IsLetter(c.peek(end+2)) {
		_, size := utf8.DecodeRuneInString(c.phrase[end+1:])
		end += 1 + size // N/C
	}
	text := strings.ToLower(c.phrase[c.at:end])
	c.add(end, strings.Map(straight, text))
}

func straight(r rune) rune {
	if isApostrophe(r) {
		return '\''
	}
	return r
}

// joins tells whether an apostrophe belongs to the word around it: didn't,
// o'clock, t'other.
func (c *cutter) joins(at, size int) bool {
	before, after := strings.ToLower(c.phrase[c.at:at]), strings.ToLower(c.phrase[at+size:])
	if strings.HasPrefix(after, "t") && strings.HasSuffix(before, "n") {
		return len(after) == 1 || !unicode.IsLetter(rune(after[1]))
	}
	return (before == "o" && strings.HasPrefix(after, "clock")) || (before == "t" && strings.HasPrefix(after, "other"))
}

// possessive takes 's, 're, 'll and their like as a word.
func (c *cutter) possessive(size int) {
	end := c.at + size
	for end < len(c.phrase) && unicode.IsLetter(c.peek(end)) {
		_, n := utf8.DecodeRuneInString(c.phrase[end:])
		end += n
	}
	if end == c.at+size || !unicode.IsLetter(c.before()) && !isDigit(c.before()) {
		c.at += size // a quotation mark
		return
	}
	c.add(end, "'"+strings.ToLower(c.phrase[c.at+size:end]))
}

// symbol takes a symbol that says something, or notes a stop.
func (c *cutter) symbol(r rune, size int) {
	switch r {
	case '.', '!', ';':
		c.stops('.')
	case ',', ':', '(', ')', '/', '|', '>':
		c.comma = r == ',' && isDigit(c.before()) && isDigit(c.peek(c.at+size))
		c.slash = r == '/' && isDigit(c.before()) && isDigit(c.peek(c.at+size))
		c.stops(',')
	case '?':
		c.stops('?')
		if len(c.out) > 0 {
			c.out[len(c.out)-1].asked = true
		}
	case '♀', '♂', '=', '~', '%', '°', '×', '*', '"', '#', '+', '&', '½', '¼', '¾':
		c.add(c.at+size, string(r))
		return
	case '-', '−', '–', '—':
		c.dash(r, size)
		return
	}
	c.space = true
	c.at += size
}

// dash tells apart minus, skipped and the hyphen within a word.
func (c *cutter) dash(r rune, size int) {
	before, after := c.before(), c.peek(c.at+size)
	switch {
	case unicode.IsLetter(before) && unicode.IsLetter(after) && r == '-':
		c.at += size
		c.space = true
	case isDigit(before) && isDigit(after), isDigit(after) && r != '—' && !unicode.IsLetter(before):
		c.add(c.at+size, "-")
	default:
		c.add(c.at+size, "–")
	}
}

func (c *cutter) stops(stop byte) {
	if rank(stop) > rank(c.stop) {
		c.stop = stop
	}
}

func rank(stop byte) int { return strings.IndexByte(",.?", stop) }
