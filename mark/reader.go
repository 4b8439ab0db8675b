package mark

import "strings"

// LooksRead tells whether a burst of characters came from a reader that
// types, rather than from a person: a line that starts with STX, or with LA
// or LR before ten or more digits, or an unbroken run of 13 or more digits (16 where they are hexadecimal), or
// three digits and then twelve. It judges the form only, so a damaged line
// still looks read and [ParseTransponder] says what is wrong with it. Older
// chips, whose ten characters may be a word, are not recognised.
func LooksRead(text string) bool {
	if strings.HasPrefix(text, "\x02") {
		return true
	}
	fields := strings.Fields(trimLine(text))
	switch {
	case len(fields) == 0:
		return false
	case fields[0] == "LA" || fields[0] == "LR":
		digits := strings.Join(fields[1:], "")
		return len(digits) >= 10 && allDigits(digits)
	case len(fields) == 1:
		return len(fields[0]) >= 13 && allDigits(fields[0]) || isHex64(fields[0])
	}
	return len(fields) == 2 && allDigits(fields[0]+fields[1]) && len(fields[0]) == 3 && len(fields[1]) == 12
}
