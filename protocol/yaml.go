package protocol

import (
	"fmt"
	"reflect"
	"regexp"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// root reads the whole file.
func (r *review) root(n ast.Node, p *Protocol) {
	r.read(n, reflect.ValueOf(p).Elem(), spot{}, "protocol")
}

// read puts a node into v. within is the spot of what it stands in, and key
// the word before it.
func (r *review) read(n ast.Node, v reflect.Value, within spot, key string) {
	at := spotOf(n, within.key)
	r.spots[v.Addr().Interface()] = at
	if isNull(n) {
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		r.mapping(n, v, at, key)
	case reflect.Slice:
		r.list(n, v, at, key)
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		r.scalar(n, v.Elem(), at, key)
	default:
		r.scalar(n, v, at, key)
	}
}

func isNull(n ast.Node) bool {
	_, null := n.(*ast.NullNode)
	return null
}

// spotOf is where a node begins.
func spotOf(n ast.Node, key string) spot {
	if m, ok := n.(*ast.MappingNode); ok && len(m.Values) > 0 {
		n = m.Values[0].Key
	}
	p := n.GetToken().Position
	return spot{line: p.Line, column: p.Column, key: key}
}

// mapping reads "key: value" pairs into the fields of a struct.
func (r *review) mapping(n ast.Node, v reflect.Value, at spot, key string) {
	var pairs []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		pairs = n.Values
	case *ast.MappingValueNode:
		pairs = []*ast.MappingValueNode{n}
	default:
		r.cannotRead(at, fmt.Sprintf("%s: %s, where keys with values belong", key, kindOf(n)), "write key: value")
		return
	}
	known, fields := fieldsOf(v)
	for _, f := range fields {
		r.spots[f.Addr().Interface()] = at
	}
	seen := map[string]bool{}
	for _, pair := range pairs {
		k, _ := textOf(pair.Key)
		f, ok := fields[k]
		switch {
		case !ok && isNull(pair.Value):
			r.problem(spotOf(pair.Key, at.key), fmt.Sprintf("%q is neither a key nor a value here", k), "put a text that has a comma in quotes")
		case !ok:
			r.problem(spotOf(pair.Key, at.key), fmt.Sprintf("key %q is not known here", k), write(k, known))
		case seen[k]:
			r.problem(spotOf(pair.Key, at.key), fmt.Sprintf("key %q stands here twice", k), "keep one")
		default:
			seen[k] = true
			r.read(pair.Value, f, at, k)
		}
	}
}

// fieldsOf gives the fields of a struct by their keys, and the keys in order.
func fieldsOf(v reflect.Value) ([]string, map[string]reflect.Value) {
	var known []string
	fields := map[string]reflect.Value{}
	for i := range v.NumField() {
		if k := v.Type().Field(i).Tag.Get("yaml"); k != "-" {
			known = append(known, k)
			fields[k] = v.Field(i)
		}
	}
	return known, fields
}

// list reads a sequence into a slice, which is not nil even when empty.
func (r *review) list(n ast.Node, v reflect.Value, at spot, key string) {
	s, ok := n.(*ast.SequenceNode)
	if !ok {
		r.cannotRead(at, fmt.Sprintf("%s: %s, where a list belongs", key, kindOf(n)), "write [a, b], or one line with - for each")
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(s.Values), len(s.Values)))
	for i, item := range s.Values {
		within := at
		if v.Type().Elem().Kind() == reflect.Struct {
			within.key = join(at.key, one(key)+" "+labelOf(item, i))
		}
		r.read(item, v.Index(i), within, key)
	}
}

// one is the singular of a list's key.
func one(key string) string {
	switch key {
	case "species":
		return key
	case "people":
		return "person"
	case "classes":
		return "class"
	}
	return strings.TrimSuffix(key, "s")
}

// labelOf is how people call an item of a list: by its id, else its number.
func labelOf(n ast.Node, i int) string {
	if m, ok := n.(*ast.MappingNode); ok {
		for _, pair := range m.Values {
			switch k, _ := textOf(pair.Key); k {
			case "code", "id", "site", "trap", "initials", "bag", "series":
				if label, ok := textOf(pair.Value); ok {
					return label
				}
			}
		}
	}
	return strconv.Itoa(i + 1)
}

func join(key, more string) string {
	if key == "" {
		return more
	}
	return key + ", " + more
}

// Numbers as people write them.
var (
	decimal = regexp.MustCompile(`^-?[0-9]{1,12}(\.[0-9]{1,12})?$`)
	whole   = regexp.MustCompile(`^-?[0-9]{1,9}$`)
)

// scalar reads one word or number. Text is kept as it was written: a trap 07
// is not a trap 7.
func (r *review) scalar(n ast.Node, v reflect.Value, at spot, key string) {
	text, ok := textOf(n)
	if !ok {
		r.cannotRead(at, fmt.Sprintf("%s: %s, where one value belongs", key, kindOf(n)), "write it as "+key+": value")
		return
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Bool:
		if text != "true" && text != "false" {
			r.cannotRead(at, fmt.Sprintf("%s %q is neither true nor false", key, text), "write true or false")
		}
		v.SetBool(text == "true")
	case reflect.Float64:
		if !decimal.MatchString(text) {
			r.cannotRead(at, fmt.Sprintf("%s %q is not a number", key, text), "write it like 61.8, without a unit")
		}
		f, _ := strconv.ParseFloat(text, 64)
		v.SetFloat(f)
	default:
		if !whole.MatchString(text) {
			r.cannotRead(at, fmt.Sprintf("%s %q is not a whole number", key, text), "write it like 4")
		}
		i, _ := strconv.Atoi(text)
		v.SetInt(int64(i))
	}
}

// cannotRead notes a value that is not of the kind that belongs here.
func (r *review) cannotRead(at spot, says, mend string) {
	r.unread[at] = true
	r.problem(at, says, mend)
}

// textOf is the text of a scalar, without its quotes.
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

// kindOf names a node for people.
func kindOf(n ast.Node) string {
	switch n.(type) {
	case *ast.MappingNode, *ast.MappingValueNode:
		return "keys with values"
	case *ast.SequenceNode:
		return "a list"
	case *ast.AnchorNode, *ast.AliasNode, *ast.TagNode:
		return "an anchor, alias or tag, which is not read here"
	}
	return "a single value"
}
