// Package record says what one line of the notebook can say: a typed body for
// each kind of line, and the flags that the checks raise about them.
//
// A capture's id is minted when a trap check says capture. Trap check, bag,
// processing, release and later notes are lines that bear that id; the
// register folds them into one capture. A correction never changes a line: it
// names the line and the field it replaces (a JSON Pointer, RFC 6901, into
// that line's body) and is itself a line.
//
// Blank is never zero: a measure or a finding is seen (with its value), none
// seen, not checked (with the reason), or unknown, which is the zero value.
package record
