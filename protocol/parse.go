package protocol

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/parser"
)

// A Problem is one thing in a protocol file that cannot stand.
type Problem struct {
	Line   int    // from 1; 0 when it is about the file as a whole
	Column int    // from 1, in characters
	Key    string // what it is about: "species DM, trait pes"
	Says   string // the value, and what is wrong with it
	Mend   string // what to write instead
}

// A Refusal is the error of a file that cannot be a protocol. It holds all
// that was found, in the order of the file.
type Refusal struct {
	Name     string // of the file
	Problems []Problem
}

// Error is one line for each problem.
func (e *Refusal) Error() string {
	var lines []string
	for _, p := range e.Problems {
		where := e.Name
		if p.Line > 0 {
			where += fmt.Sprintf(" line %d (column %d)", p.Line, p.Column)
		}
		if p.Key != "" {
			where += ": " + p.Key
		}
		lines = append(lines, where+": "+p.Says+"; "+p.Mend)
	}
	return strings.Join(lines, "\n")
}

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
		return nil, &Refusal{Name: name, Problems: r.inOrder()}
	}
	return p, nil
}

// yaml reads the text into p and tells whether it was YAML at all.
func (r *review) yaml(text []byte, p *Protocol) bool {
	switch {
	case len(text) > maxText:
		return r.unreadable(spot{}, fmt.Sprintf("%d bytes, more than the %d a protocol may have", len(text), maxText), "write it shorter")
	case !utf8.Valid(text):
		return r.unreadable(spot{}, "not UTF-8 text", "save it as UTF-8")
	case nesting(text) > maxNesting:
		return r.unreadable(spot{}, fmt.Sprintf("brackets nested more than %d deep", maxNesting), "close them")
	}
	file, err := parser.ParseBytes(bytes.TrimPrefix(text, []byte("\ufeff")), 0, parser.AllowDuplicateMapKey())
	var wrong yaml.Error
	switch {
	case errors.As(err, &wrong):
		at := wrong.GetToken().Position
		return r.unreadable(spot{line: at.Line, column: at.Column}, "not YAML: "+wrong.GetMessage(), "mend the line or the one above it")
	case err != nil:
		return r.unreadable(spot{}, "not YAML: "+err.Error(), "mend it")
	case len(file.Docs) != 1 || file.Docs[0].Body == nil:
		return r.unreadable(spot{}, "not one document", "write one protocol, beginning with name:")
	}
	r.root(file.Docs[0].Body, p)
	return true
}

func (r *review) unreadable(at spot, says, mend string) bool {
	r.problem(at, says, mend)
	return false
}

// maxNesting is far above the four levels of a protocol.
const maxNesting = 100

// nesting is how deep brackets may be nested in the text, taking all of them
// for YAML's own.
func nesting(text []byte) int {
	depth, deepest := 0, 0
	for _, c := range text {
		switch c {
		case '[', '{':
			depth++
			deepest = max(deepest, depth)
		case ']', '}':
			depth = max(0, depth-1)
		}
	}
	return deepest
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

// inOrder sorts the problems as in the file. What a sheet took over from
// another is told once.
func (r *review) inOrder() []Problem {
	slices.SortStableFunc(r.problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), strings.Compare(a.Says, b.Says))
	})
	return slices.CompactFunc(r.problems, func(a, b Problem) bool {
		return a.Line == b.Line && a.Column == b.Column && a.Says == b.Says
	})
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
