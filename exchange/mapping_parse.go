package exchange

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"dawnround/protocol"

	"github.com/goccy/go-yaml/ast"
)

// maxMapping bounds a mapping, in bytes, and how deep its brackets may nest.
const (
	maxMapping        = 1 << 20
	maxMappingNesting = 40
)

// ParseMapping reads a mapping file: YAML without anchors, aliases and tags. A
// key that is not known is a problem. The error is a *protocol.Refusal; name
// is how it calls the file.
func ParseMapping(name string, text []byte) (*Mapping, error) {
	r := &mappingReader{}
	m := &Mapping{}
	if root := r.document(text); root != nil {
		r.mapping(root, m)
	}
	if len(r.problems) > 0 {
		return nil, protocol.Refuse(name, r.problems)
	}
	return m, nil
}

// mappingReader gathers the problems of a file.
type mappingReader struct{ problems []protocol.Problem }

func (r *mappingReader) problem(line int, key, says, mend string) {
	r.problems = append(r.problems, protocol.Problem{Line: line, Key: key, Says: says, Mend: mend})
}

// document reads YAML; nil where it is none.
func (r *mappingReader) document(text []byte) ast.Node {
	if bytes.Count(text, []byte("["))+bytes.Count(text, []byte("{")) > 20000 || deepest(text) > maxMappingNesting {
		r.problem(0, "", fmt.Sprintf("brackets nested more than %d deep", maxMappingNesting), "close them")
		return nil
	}
	root, wrong := protocol.Document(text, "mapping, beginning with table:", maxMapping)
	if wrong != nil {
		r.problems = append(r.problems, *wrong)
		return nil
	}
	return root
}

// deepest is how deep brackets and lists on one line nest.
func deepest(text []byte) int {
	depth, most := 0, 0
	for line := range bytes.Lines(text) {
		dashes := bytes.Count(line, []byte("- "))
		most = max(most, dashes)
		for _, c := range line {
			switch c {
			case '[', '{':
				depth++
				most = max(most, depth)
			case ']', '}':
				depth = max(0, depth-1)
			}
		}
	}
	return most
}

// A pair is one key with its value.
type pair struct {
	key   string
	line  int
	value ast.Node
}

// pairs reads "key: value" lines; each key once.
func (r *mappingReader) pairs(n ast.Node, key string) []pair {
	var values []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		values = n.Values
	case *ast.MappingValueNode:
		values = []*ast.MappingValueNode{n}
	case *ast.NullNode:
		return nil
	default:
		r.problem(lineAt(n), key, "a value, where keys with values belong", "write key: value")
		return nil
	}
	var out []pair
	for _, v := range values {
		k, ok := textOf(v.Key)
		p := pair{k, lineAt(v.Key), v.Value}
		switch {
		case !ok:
			r.problem(p.line, key, "a key that is not a word", "write key: value")
		case slices.ContainsFunc(out, func(o pair) bool { return o.key == k }):
			r.problem(p.line, key, fmt.Sprintf("key %q stands here twice", k), "keep one")
		default:
			out = append(out, p)
		}
	}
	return out
}

// keys reads pairs whose keys are known, each by its own function.
func (r *mappingReader) keys(n ast.Node, key string, known map[string]func(pair)) {
	for _, p := range r.pairs(n, key) {
		read := known[p.key]
		if read == nil {
			r.problem(p.line, key, fmt.Sprintf("key %q is not known here", p.key), "write one of "+sorted(known))
			continue
		}
		read(p)
	}
}

// text reads one value.
func (r *mappingReader) text(to *string) func(pair) {
	return func(p pair) {
		s, ok := textOf(p.value)
		if !ok {
			r.problem(p.line, p.key, "several values, where one belongs", "write "+p.key+": value")
		}
		*to = s
	}
}

// oneOf reads one of a few words.
func (r *mappingReader) oneOf(to *string, words ...string) func(pair) {
	return func(p pair) {
		r.text(to)(p)
		if !slices.Contains(words, *to) {
			r.problem(p.line, p.key, fmt.Sprintf("%q is not known", *to), "write one of "+strings.Join(words, ", "))
		}
	}
}

// yes reads true or false.
func (r *mappingReader) yes(to *bool) func(pair) {
	return func(p pair) {
		var s string
		r.oneOf(&s, "true", "false")(p)
		*to = s == "true"
	}
}

// list reads a list of values, or one.
func (r *mappingReader) list(to *[]string) func(pair) {
	return func(p pair) {
		items := []ast.Node{p.value}
		if s, ok := p.value.(*ast.SequenceNode); ok {
			items = s.Values
		}
		for _, item := range items {
			s, ok := textOf(item)
			if !ok {
				r.problem(lineAt(item), p.key, "a list within the list", "write [a, b]")
				continue
			}
			*to = append(*to, s)
		}
	}
}

// textOf is the text of a single value, without its quotes.
func textOf(n ast.Node) (string, bool) {
	switch n := n.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.LiteralNode:
		return n.Value.Value, true
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode, *ast.NullNode:
		return n.GetToken().Value, true
	}
	return "", false
}

func lineAt(n ast.Node) int {
	if m, ok := n.(*ast.MappingNode); ok && len(m.Values) > 0 {
		n = m.Values[0].Key
	}
	if t := n.GetToken(); t != nil && t.Position != nil {
		return t.Position.Line
	}
	return 0
}

func sorted[V any](words map[string]V) string {
	var out []string
	for w := range words {
		out = append(out, w)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}
