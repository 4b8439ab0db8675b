// Package mark knows animal marks as they are written and as they are read:
// transponder numbers (ISO 11784), the telegram a transponder sends (FDX-B,
// ISO 11785), the lines a reader types, series of ear tags, and an index that
// finds a mark by its whole text, by its tail or by a slip of one digit.
//
// A mark is text. Leading zeros count, and nothing here turns a number into
// an arithmetic value and back.
package mark

import "strings"

// Canonical is the text by which two marks are compared: without spaces
// around it, in upper case. "B01" and "B1" stay different marks.
func Canonical(text string) string {
	return strings.TrimSpace(strings.ToUpper(text))
}
