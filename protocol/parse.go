package protocol

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
)

// A spot is where in the file something stands, and within what.
type spot struct {
	line, column int
	key          string
}

// A review reads a file and gathers its problems. It knows the spot of each
// field, by the field's address; a field that is not in the file has the spot
// of what it would stand in.
type review struct {
	spots    map[any]spot
	unread   map[spot]bool // where a value could not be read, so that what it means is not asked
	problems []Problem
}

// maxText bounds the file, since a protocol is also a line that arrives from
// other devices. A thousand traps take about 100 kB.
const maxText = 2 << 20

// Parse reads a protocol file: YAML, without anchors, aliases and tags. A key
// that is not known is a problem, as is whatever contradicts itself. The
// error is a *Refusal; name is how it calls the file.
func Parse(name string, text []byte) (*Protocol, error) {
	sum := sha256.Sum256(text)
	p := &Protocol{Version: hex.EncodeToString(sum[:]), Text: string(text)}
	r := &review{spots: map[any]spot{}, unread: map[spot]bool{}}
	if r.yaml(text, p) {
		p.inherit(r)
		r.protocol(p)
	}
	if len(r.problems) > 0 {
		return nil, Refuse(name, r.problems)
	}
	return p, nil
}

// yaml reads the text into p and tells whether it was YAML at all.
func (r *review) yaml(text []byte, p *Protocol) bool {
	root, wrong := Document(text, "protocol, beginning with name:", maxText)
	if wrong != nil {
		r.problems = append(r.problems, *wrong)
		return false
	}
	r.root(root, p)
	return true
}

// say notes a problem with the field at this address, if it could be read.
func (r *review) say(field any, says, mend string) {
	if at := r.spots[field]; !r.unread[at] {
		r.problem(at, says, mend)
	}
}

func (r *review) problem(at spot, says, mend string) {
	r.problems = append(r.problems, Problem{Line: at.line, Column: at.column, Key: at.key, Says: says, Mend: mend})
}

// write proposes the word of a list that is nearest to what was written, or
// the list.
func write(written string, known []string) string {
	best, least := "", 1+len([]rune(written))/2
	for _, k := range known {
		if d := edits(strings.ToLower(written), strings.ToLower(k)); d < least {
			best, least = k, d
		}
	}
	switch {
	case len(known) == 0:
		return "describe it first, or leave it out"
	case best == "":
		return "write one of: " + strings.Join(known, ", ")
	}
	return "write " + best
}

// edits is the number of letters to change, add or leave out to make a into b
// (Levenshtein's distance).
func edits(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1)
	for j := range row {
		row[j] = j
	}
	for i, f := range from {
		above := row[0]
		row[0] = i + 1
		for j, t := range to {
			change := above
			if f != t {
				change++
			}
			above = row[j+1]
			row[j+1] = min(change, above+1, row[j]+1)
		}
	}
	return row[len(to)]
}
