package call

// A numeral is what one word can be in a number.
type numeral struct {
	class numeralClass
	value int
}

type numeralClass uint8

const (
	noNumeral numeralClass = iota
	digit                  // nought to nine
	teen                   // ten to nineteen
	tens                   // twenty to ninety
	hundred
	thousand
	point
	literal // written in digits
	clock   // 05:52
)

var numerals = map[string]numeral{
	"zero": {digit, 0}, "oh": {digit, 0}, "o": {digit, 0}, "nought": {digit, 0}, "naught": {digit, 0},
	"one": {digit, 1}, "two": {digit, 2}, "three": {digit, 3}, "four": {digit, 4}, "five": {digit, 5},
	"six": {digit, 6}, "seven": {digit, 7}, "eight": {digit, 8}, "nine": {digit, 9}, "niner": {digit, 9},
	"ten": {teen, 10}, "eleven": {teen, 11}, "twelve": {teen, 12}, "thirteen": {teen, 13}, "fourteen": {teen, 14},
	"fifteen": {teen, 15}, "sixteen": {teen, 16}, "seventeen": {teen, 17}, "eighteen": {teen, 18}, "nineteen": {teen, 19},
	"twenty": {tens, 20}, "thirty": {tens, 30}, "forty": {tens, 40}, "fourty": {tens, 40}, "fifty": {tens, 50},
	"sixty": {tens, 60}, "seventy": {tens, 70}, "eighty": {tens, 80}, "ninety": {tens, 90},
	"hundred": {hundred, 100}, "thousand": {thousand, 1000},
	"point": {point, 0}, "decimal": {point, 0}, "dot": {point, 0},
}

// misheardDigits are digits as a transcriber may write them.
var misheardDigits = map[string]int{
	"won": 1, "too": 2, "to": 2, "for": 4, "fore": 4, "ate": 8, "sex": 6, "sicks": 6, "tree": 3, "fife": 5, "nein": 9, "owe": 0, "wan": 1, "tu": 2, "fours": 4, "fort": 4, "siks": 6, "sics": 6, "nigh": 9,
}

func numeralOf(text string) numeral {
	if n, ok := numerals[text]; ok {
		return n
	}
	if text == "" || !isDigit(rune(text[0])) {
		return numeral{}
	}
	for _, r := range text {
		if r == ':' {
			return numeral{class: clock}
		}
	}
	return numeral{class: literal}
}

// spelt tells whether the numeral is a word for a number below a hundred.
func (n numeral) spelt() bool { return n.class >= digit && n.class <= tens }

// begins tells whether a number may begin with it.
func (n numeral) begins() bool { return n.class >= digit && n.class <= literal }
