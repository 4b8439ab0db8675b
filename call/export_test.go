package call

import "dawnround/protocol"

// Same compares two values as the reader does.
var Same = same

// Steps is the work one phrase takes, and the number of its words.
func Steps(r *Reader, phrase string, sheet *protocol.Sheet, given Given) (steps, words int) {
	_, steps = r.read(phrase, sheet, given)
	return steps, len(tokens(phrase))
}
