package mark

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// A Transponder is a transponder's number as text.
type Transponder struct {
	Number   string   // 15 digits; for an older chip its ten (or nine) characters in upper case
	Older    bool     // not a number of ISO 11784, so nothing about it can be checked
	Warnings []string // what is odd about the number, in words
}

// ParseTransponder reads a number as typed, printed or sent by a reader:
//
//	982000001088420                 15 digits; spaces, dots and hyphens between them are ignored
//	8000F58000109BA4                16 hexadecimal digits, the 64 bits of ISO 11784
//	10000000982000001088420         the long form of 23 digits: animal 1, retagging 1, user 2,
//	                                reserved 2, data block 1, code 4, national number 12
//	LA 982 000001088420             a reader's line, with or without the reserved and data fields
//	LA 00000 0 982 000001088420     between, a start character (STX) before and a line end after
//	7F7D12AB34, 123*456*789         older chips: kept as they are
//
// Every ISO form becomes 15 digits. Sixteen decimal digits are taken for a
// miscounted number; write 0x before them where they are hexadecimal.
// An error says what is wrong and what to do; warnings ride with the result.
// The order of the 23 digits is from memory of ISO 24631-6; the older forms
// are common practice.
func ParseTransponder(text string) (Transponder, error) {
	line := trimLine(text)
	if line == "" {
		return Transponder{}, errors.New("transponder: empty; scan or type a number of 15 digits")
	}
	if fields, animal, ok := readerFields(line); ok {
		return parseReader(text, fields, animal)
	}
	if err := spreadsheetDamage(line); err != nil {
		return Transponder{}, err
	}
	bare := stripped(line)
	switch {
	case allDigits(bare) && len(bare) == 15:
		return fromDecimal(bare)
	case allDigits(bare) && len(bare) == 23:
		return fromLong(bare)
	case isHex64(bare):
		return fromHex(bare)
	case isOlder(line, bare):
		return older(line, bare), nil
	}
	return Transponder{}, misread(text, bare)
}

// trimLine removes what a reader puts around a number: the start character
// STX, the end character ETX, line ends and spaces.
func trimLine(text string) string {
	return strings.ToUpper(strings.TrimFunc(text, func(r rune) bool {
		return unicode.IsSpace(r) || r == '\x02' || r == '\x03'
	}))
}

var separators = strings.NewReplacer(" ", "", ".", "", "-", "", "\u00a0", "", "\u2009", "", "\u202f", "")

func stripped(text string) string { return separators.Replace(text) }

// readerFields splits a reader's line: L, then A (animal) or R (other), then
// fields apart by spaces. The form is as seen from readers; the figure in
// ISO 24631-6 was not to be had.
func readerFields(line string) (fields []string, animal, ok bool) {
	fields = strings.Fields(line)
	if fields[0] != "LA" && fields[0] != "LR" {
		return nil, false, false
	}
	return fields[1:], fields[0] == "LA", true
}

func parseReader(text string, fields []string, animal bool) (Transponder, error) {
	if len(fields) == 4 && allDigits(fields[0]+fields[1]) { // reserved field, data flag
		fields = fields[2:]
	}
	number := strings.Join(fields, "")
	if !allDigits(number) || len(number) != 15 {
		return Transponder{}, fmt.Errorf("reader line %q: %d characters where 15 digits were expected; scan again", text, len(number))
	}
	t, err := fromDecimal(number)
	if err == nil && !animal {
		t.Warnings = append(t.Warnings, "the reader calls this no animal's transponder (R)")
	}
	return t, err
}

// fromDecimal takes exactly 15 digits.
func fromDecimal(digits string) (Transponder, error) {
	if strings.HasSuffix(digits, "000000000") {
		return Transponder{}, fmt.Errorf("transponder %s: ends in nine or more zeros, as after rounding in a spreadsheet; take the number from the scan or the paper", digits)
	}
	return fromIdentification(Identification{
		Animal:   true,
		Country:  uint16(decimal(digits[:3])),
		National: decimal(digits[3:]),
	})
}

// fromLong takes exactly 23 digits.
func fromLong(digits string) (Transponder, error) {
	id := Identification{
		Animal:   digits[0] == '1',
		Retag:    uint8(decimal(digits[1:2])),
		User:     uint8(decimal(digits[2:4])),
		Reserved: uint8(decimal(digits[4:6])),
		Data:     digits[6] == '1',
		Country:  uint16(decimal(digits[7:11])),
		National: decimal(digits[11:]),
	}
	if digits[0] > '1' || digits[6] > '1' {
		return Transponder{}, fmt.Errorf("transponder %s: digits 1 and 7 of the long form are 0 or 1; scan again", digits)
	}
	if _, err := id.Bits(); err != nil {
		return Transponder{}, err
	}
	return fromIdentification(id)
}

func isHex64(bare string) bool {
	digits, marked := strings.CutPrefix(bare, "0X")
	return len(digits) == 16 && allHex(digits) && (marked || !allDigits(digits))
}

func fromHex(bare string) (Transponder, error) {
	bits, err := strconv.ParseUint(strings.TrimPrefix(bare, "0X"), 16, 64)
	if err != nil {
		return Transponder{}, fmt.Errorf("transponder %q: not 16 hexadecimal digits; scan again", bare)
	}
	return fromIdentification(unpack(bits))
}

func fromIdentification(id Identification) (Transponder, error) {
	if err := id.check(); err != nil {
		return Transponder{}, err
	}
	return Transponder{Number: id.Number(), Warnings: append(id.warnings(), id.flags()...)}, nil
}

// isOlder tells a number from before ISO 11784: ten letters and digits with a
// digit among them, or nine digits in threes with asterisks (from memory).
func isOlder(line, bare string) bool {
	groups := strings.Split(line, "*")
	if len(groups) == 3 {
		return len(line) == 11 && len(groups[0]) == 3 && len(groups[1]) == 3 && allDigits(strings.Join(groups, ""))
	}
	return len(bare) == 10 && strings.ContainsAny(bare, "0123456789") && strings.Trim(bare, lettersAndDigits) == ""
}

func older(line, bare string) Transponder {
	t := Transponder{Number: bare, Older: true}
	if allDigits(bare) {
		t.Warnings = []string{"10 digits: kept as an older number that cannot be checked; a chip of today has 15"}
	}
	if strings.Contains(line, "*") {
		t.Number = line
	}
	return t
}

// spreadsheetDamage finds a number that went through a spreadsheet as a
// number instead of text.
func spreadsheetDamage(line string) error {
	mantissa, exponent, found := strings.Cut(line, "E+")
	if found && allDigits(exponent) && allDigits(strings.NewReplacer(".", "", ",", "").Replace(mantissa)) {
		return fmt.Errorf("transponder %q: a spreadsheet has rounded this number and its digits are lost; take it from the scan or the paper, and set the column to text", line)
	}
	whole, isFloat := strings.CutSuffix(line, ".0")
	if isFloat && allDigits(whole) && len(whole) > 12 {
		return fmt.Errorf("transponder %q: ends in \".0\", so a spreadsheet kept it as a number; set the column to text and compare with the scan or the paper", line)
	}
	return nil
}

// misread says why a text is no transponder number.
func misread(text, bare string) error {
	if !allDigits(bare) {
		return fmt.Errorf("transponder %q: neither 15 digits, 16 hexadecimal digits nor an older number of 10 characters; scan again", text)
	}
	count := fmt.Sprintf("transponder %q: %d digits, 15 expected", text, len(bare))
	if len(bare) == 14 || len(bare) == 13 {
		full := strings.Repeat("0", 15-len(bare)) + bare
		if _, err := fromDecimal(full); err == nil && assigned[uint16(decimal(full[:3]))] {
			return fmt.Errorf("%s; a spreadsheet drops leading zeros: if it was %s, type it in full, else scan again", count, full)
		}
	}
	return fmt.Errorf("%s; count again or scan again", count)
}

const lettersAndDigits = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"

func allDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
func allHex(s string) bool    { return s != "" && strings.Trim(s, "0123456789ABCDEF") == "" }

// decimal is the value of at most 18 decimal digits.
func decimal(digits string) uint64 {
	var n uint64
	for _, d := range digits {
		n = n*10 + uint64(d-'0')
	}
	return n
}
