package place

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
)

// Parse reads a coordinate as typed, latitude before longitude and easting
// before northing:
//
//	-37.95103, 144.42487                     decimal degrees
//	37.95103 S 144.42487 E                   with letters, in either order
//	37°57'03.7"S 144°25'29.5"E               degrees, minutes, seconds
//	-37 57.062, 144 25.492                   degrees and minutes
//	55 273741 5796490                        zone, easting, northing (MGA)
//	273741 E 5796490 N zone 55 south         the same on UTM, which needs the half or the band
//	55H 273741 5796490
//
// The datum's name may stand in the text ("GDA2020 zone 55 …"); it must not
// contradict the datum given, and one of the two must be there. It refuses
// what cannot be: a latitude of 144, a swapped pair, an easting outside 100 000
// to 900 000, a grid reference without its zone, an Australian place north of
// the equator, minutes of 60. A pair is parted by a comma or a semicolon at
// most once, so a decimal comma is refused and not misread.
func Parse(text string, datum Datum) (Point, error) {
	p, err := parse(text, datum)
	if err != nil {
		return Point{}, fmt.Errorf("coordinate %q: %w", text, err)
	}
	return p, nil
}

func parse(text string, datum Datum) (Point, error) {
	tokens, err := tokenise(text)
	if err != nil {
		return Point{}, err
	}
	datum, tokens, err = statedDatum(tokens, datum)
	if err != nil {
		return Point{}, err
	}
	if _, known := datums[datum]; !known {
		return Point{}, fmt.Errorf("datum %q: not known; write GDA2020, GDA94 or WGS84", datum)
	}
	if isGrid(tokens) {
		return parseGrid(tokens, datum)
	}
	return parseDegrees(tokens, datum)
}

// A token is a number, a word in upper case, or the mark that parts a pair.
type token struct {
	word   string // "" for a number
	value  float64
	minus  bool // a number with its sign, as -0 counts
	whole  bool // a number without a decimal point
	parted bool // the comma or semicolon
}

func (t token) number() bool { return t.word == "" && !t.parted }

// plain writes the minus signs and minute marks of many keyboards as one.
var plain = strings.NewReplacer("−", "-", "–", "-", "º", " ", "°", " ", "'", " ", "’", " ", "′", " ", "\"", " ", "”", " ", "″", " ", ":", " ")

func tokenise(text string) ([]token, error) {
	rest := strings.ToUpper(plain.Replace(text))
	var tokens []token
	for {
		rest = strings.TrimLeftFunc(rest, unicode.IsSpace)
		if rest == "" {
			return tokens, nil
		}
		t, size, err := nextToken(rest)
		if err != nil {
			return nil, err
		}
		tokens, rest = append(tokens, t), rest[size:]
	}
}

const digitsAndPoint = "0123456789."

func nextToken(rest string) (token, int, error) {
	first := rune(rest[0])
	switch {
	case first == ',' || first == ';':
		return token{parted: true}, 1, nil
	case first >= 'A' && first <= 'Z':
		word := rest[:len(rest)-len(strings.TrimLeft(rest, "ABCDEFGHIJKLMNOPQRSTUVWXYZ"))]
		for name := range names { // a datum's name ends in digits
			if strings.HasPrefix(rest, name) {
				word = name
			}
		}
		return token{word: word}, len(word), nil
	}
	body := strings.TrimLeft(rest, "+-")
	digits := body[:len(body)-len(strings.TrimLeft(body, digitsAndPoint))]
	sign := rest[:len(rest)-len(body)]
	value, err := strconv.ParseFloat(digits, 64)
	if err != nil || len(sign) > 1 || len(digits) > 30 {
		return token{}, 0, fmt.Errorf("%q is no number; write -37.95103, 144.42487 or 55 273741 5796490", firstWord(rest))
	}
	if sign == "-" {
		value = -value
	}
	return token{value: value, minus: sign == "-", whole: !strings.Contains(digits, ".")}, len(sign) + len(digits), nil
}

func firstWord(rest string) string { return strings.Fields(rest)[0] }

// names are the words a datum goes by in typed coordinates.
var names = map[string]Datum{"GDA2020": GDA2020, "MGA2020": GDA2020, "GDA94": GDA94, "MGA94": GDA94, "WGS84": WGS84}

// statedDatum takes the datum's name out of the tokens.
func statedDatum(tokens []token, datum Datum) (Datum, []token, error) {
	var left []token
	for _, t := range tokens {
		stated, ok := names[t.word]
		switch {
		case !ok:
			left = append(left, t)
		case datum != "" && datum != stated:
			return "", nil, fmt.Errorf("it says %s where %s is expected; a label alone does not turn one into the other", stated, datum)
		default:
			datum = stated
		}
	}
	if datum == "" {
		return "", nil, errors.New("no datum; write GDA2020, GDA94 or WGS84 with it")
	}
	return datum, left, nil
}

// isGrid tells metres from degrees: no angle has a number of 1000 or more.
func isGrid(tokens []token) bool {
	for _, t := range tokens {
		if math.Abs(t.value) >= 1000 || gridWords[t.word] {
			return true
		}
	}
	return false
}

// parseGrid reads zone, easting and northing; the zone stands first, or after
// the word "zone".
func parseGrid(tokens []token, datum Datum) (Point, error) {
	zone, half, metres, err := gridParts(tokens)
	switch {
	case err != nil:
		return Point{}, err
	case len(metres) != 2:
		return Point{}, errors.New("expected a zone, an easting and a northing in metres, with a decimal point and no spaces inside, such as 55 273741 5796490; or degrees with a decimal point")
	case zone == 0:
		return Point{}, errors.New("the zone is missing; an easting and a northing fit every zone: write it first, such as 55 273741 5796490")
	}
	south, err := southern(half, datum)
	if err != nil {
		return Point{}, err
	}
	return Grid{Datum: datum, Zone: zone, South: south, Easting: metres[0], Northing: metres[1]}.Point()
}

// gridParts sorts the tokens of a grid reference: the zone (0 where there is
// none), the word or band beside it, and the numbers left.
func gridParts(tokens []token) (zone int, half string, metres []float64, err error) {
	axes, before := "", ""
	for _, t := range tokens {
		switch {
		case t.number() && zone == 0 && (before == "ZONE" || len(metres) == 0) && t.whole && t.value >= 1 && t.value <= 60:
			zone, before = int(t.value), "the zone"
			continue
		case t.number():
			metres = append(metres, t.value)
		case half == "" && (t.word == "NORTH" || t.word == "SOUTH" || before == "the zone" && len(t.word) == 1):
			half = t.word
		case t.word == "E" || t.word == "N" || t.word == "ME" || t.word == "MN":
			axes += strings.TrimPrefix(t.word, "M")
		case !t.parted && !gridWords[t.word]:
			return 0, "", nil, fmt.Errorf("%q is not understood; write zone, easting, northing, such as 55 273741 5796490", t.word)
		}
		before = t.word
	}
	if strings.HasPrefix(axes, "N") {
		return 0, "", nil, errors.New("the northing stands first; write the easting before it")
	}
	return zone, half, metres, nil
}

// gridWords say nothing that the numbers do not.
var gridWords = map[string]bool{"ZONE": true, "MGA": true, "UTM": true, "M": true}

// southern tells the half of the earth from what stands beside the zone: a
// word, or a band letter (C to M south, N to X north, without I and O).
func southern(half string, datum Datum) (bool, error) {
	switch {
	case half == "SOUTH" || datum.australian() && (half == "" || half == "S"):
		return true, nil
	case half == "NORTH":
		return false, nil
	case half == "":
		return false, errors.New("north or south is missing; write it after the zone, such as 55 south")
	case half == "S":
		return false, errors.New("the S beside a zone may mean south, or band S in the north; write south or north")
	case strings.Contains("CDEFGHJKLM", half):
		return true, nil
	case strings.Contains("NPQRTUVWX", half):
		return false, nil
	}
	return false, fmt.Errorf("%q is no band of the grid; write south or north after the zone", half)
}

// parseDegrees reads latitude and longitude, or the other way about where
// letters say so.
func parseDegrees(tokens []token, datum Datum) (Point, error) {
	first, second, err := halves(tokens)
	if err != nil {
		return Point{}, err
	}
	a, axisA, err := angle(first)
	if err != nil {
		return Point{}, err
	}
	b, axisB, err := angle(second)
	if err != nil {
		return Point{}, err
	}
	if axisA != "" && axisA == axisB {
		return Point{}, fmt.Errorf("both numbers are a %s; one of each is expected", axisA)
	}
	if axisA == "longitude" || axisB == "latitude" {
		a, b = b, a
	}
	p := Point{Lat: a, Lon: b, Datum: datum}
	if err := p.check(); err != nil {
		return Point{}, err
	}
	if datum.australian() && p.Lat > 0 {
		return Point{}, fmt.Errorf("latitude %v lies north of the equator, where %s is not used; write a minus or S before it", p.Lat, datum)
	}
	return p, nil
}

var errPair = errors.New("expected a latitude and a longitude, such as -37.95103, 144.42487 or 37 57 03.7 S 144 25 29.5 E")

// halves parts the tokens: at the comma, else at the letters, else in the
// middle.
func halves(tokens []token) (first, second []token, err error) {
	var commas, letters []int
	for i, t := range tokens {
		switch {
		case t.parted:
			commas = append(commas, i)
		case t.word != "":
			letters = append(letters, i)
		}
	}
	at, after := len(tokens)/2, len(tokens)/2
	switch {
	case len(commas) > 1:
		return nil, nil, errors.New("more than one comma; write decimals with a point and part the two numbers with one comma")
	case len(commas) == 1:
		at, after = commas[0], commas[0]+1
	case len(letters) == 2 && letters[0] == 0:
		at, after = letters[1], letters[1]
	case len(letters) > 0:
		at, after = letters[0]+1, letters[0]+1
	case len(tokens)%2 == 1:
		return nil, nil, errPair
	}
	if at == 0 || after >= len(tokens) {
		return nil, nil, errPair
	}
	return tokens[:at], tokens[after:], nil
}

// angle reads one to three numbers with a letter before or after.
func angle(tokens []token) (degrees float64, axis string, err error) {
	letter := ""
	switch first, last := tokens[0], tokens[len(tokens)-1]; {
	case first.word != "":
		letter, tokens = first.word, tokens[1:]
	case last.word != "":
		letter, tokens = last.word, tokens[:len(tokens)-1]
	}
	if len(tokens) < 1 || len(tokens) > 3 {
		return 0, "", errPair
	}
	unit := 1.0
	for i, t := range tokens {
		switch {
		case !t.number():
			return 0, "", errPair
		case i > 0 && (t.minus || t.value >= 60):
			return 0, "", fmt.Errorf("%v: minutes and seconds run from 0 to below 60", t.value)
		case i < len(tokens)-1 && !t.whole:
			return 0, "", fmt.Errorf("%v: only the last of degrees, minutes and seconds may have decimals", t.value)
		}
		degrees += math.Abs(t.value) * unit
		unit /= 60
	}
	if tokens[0].minus {
		degrees = -degrees
	}
	return withLetter(degrees, letter, tokens[0].minus)
}

func withLetter(degrees float64, letter string, minus bool) (float64, string, error) {
	axis := map[string]string{"": "", "N": "latitude", "S": "latitude", "E": "longitude", "W": "longitude"}
	name, known := axis[letter]
	switch {
	case !known:
		return 0, "", fmt.Errorf("%q is not understood; the letters are N, S, E and W", letter)
	case letter != "" && minus:
		return 0, "", fmt.Errorf("%v with the letter %s: write the minus or the letter, not both", degrees, letter)
	case letter == "S" || letter == "W":
		degrees = -degrees
	}
	return degrees, name, nil
}
