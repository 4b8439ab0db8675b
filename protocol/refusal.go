package protocol

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

// A Problem is one thing in a file of YAML that cannot stand.
type Problem struct {
	Line   int    // from 1; 0 when it is about the file as a whole
	Column int    // from 1, in characters; 0 when the line is enough
	Key    string // what it is about: "species DM, trait pes"
	Says   string // the value, and what is wrong with it
	Mend   string // what to write instead
}

// A Refusal is the error of a file that cannot be what it should: a protocol,
// or a mapping of a table. It holds all that was found, in the order of the
// file.
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
			where += fmt.Sprintf(" line %d", p.Line)
		}
		if p.Column > 0 {
			where += fmt.Sprintf(" (column %d)", p.Column)
		}
		if p.Key != "" {
			where += ": " + p.Key
		}
		lines = append(lines, where+": "+p.Says+"; "+p.Mend)
	}
	return strings.Join(lines, "\n")
}

// Refuse makes the refusal of a file from its problems, sorted as in the file.
// What one place says twice is told once.
func Refuse(name string, problems []Problem) *Refusal {
	slices.SortStableFunc(problems, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column), strings.Compare(a.Says, b.Says))
	})
	return &Refusal{Name: name, Problems: slices.CompactFunc(problems, func(a, b Problem) bool {
		return a.Line == b.Line && a.Column == b.Column && a.Says == b.Says
	})}
}

// Document reads a file of YAML that holds one document of at most so many
// bytes. What is how a person would begin it: "protocol, beginning with name:".
// The problem is nil where there is none.
func Document(text []byte, what string, most int) (ast.Node, *Problem) {
	kind, _, _ := strings.Cut(what, ",")
	switch {
	case len(text) > most:
		return nil, &Problem{Says: fmt.Sprintf("%d bytes, more than the %d a %s may have", len(text), most, kind), Mend: "write it shorter"}
	case !utf8.Valid(text):
		return nil, &Problem{Says: "not UTF-8 text", Mend: "save it as UTF-8"}
	case nesting(text) > maxNesting:
		return nil, &Problem{Says: fmt.Sprintf("brackets nested more than %d deep", maxNesting), Mend: "close them"}
	}
	file, err := parser.ParseBytes(bytes.TrimPrefix(text, []byte("\ufeff")), 0, parser.AllowDuplicateMapKey())
	var wrong yaml.Error
	switch {
	case errors.As(err, &wrong):
		at := wrong.GetToken().Position
		return nil, &Problem{Line: at.Line, Column: at.Column, Says: "not YAML: " + wrong.GetMessage(), Mend: "mend the line or the one above it"}
	case err != nil:
		return nil, &Problem{Says: "not YAML: " + err.Error(), Mend: "mend it"}
	case len(file.Docs) != 1 || file.Docs[0].Body == nil:
		return nil, &Problem{Says: "not one document", Mend: "write one " + what}
	}
	return file.Docs[0].Body, nil
}

// maxNesting is far above the few levels of a protocol or a mapping.
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
