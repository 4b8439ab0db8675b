// Package pagetest reads pages in tests: a page is asked by selector, never
// compared whole.
package pagetest

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// Node is an element of a page.
type Node struct {
	*html.Node
	t testing.TB
}

// Read parses a page as a browser does.
func Read(t testing.TB, page string) Node {
	t.Helper()
	root, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatalf("not a page: %v", err)
	}
	return Node{root, t}
}

// All gives the elements that a selector finds, in order. A selector is steps
// with spaces between, each a tag, #id, .class, [attr] or [attr="value"], or
// several of those in one word: `table.round tr[data-trap="B3"] .flag`.
func (n Node) All(selector string) []Node {
	n.t.Helper()
	found := []*html.Node{n.Node}
	for _, step := range steps.FindAllString(selector, -1) {
		tests := n.tests(step)
		var next []*html.Node
		for _, f := range found {
			for d := range f.Descendants() {
				if matches(d, tests) && !slices.Contains(next, d) {
					next = append(next, d)
				}
			}
		}
		found = next
	}
	out := make([]Node, len(found))
	for i, f := range found {
		out[i] = Node{f, n.t}
	}
	return out
}

// One gives the only element that a selector finds, or ends the test.
func (n Node) One(selector string) Node {
	n.t.Helper()
	found := n.All(selector)
	if len(found) != 1 {
		n.t.Fatalf("%s: %d on the page, want 1; the page says: %s", selector, len(found), n.Text())
	}
	return found[0]
}

// Has reports whether a selector finds anything.
func (n Node) Has(selector string) bool {
	n.t.Helper()
	return len(n.All(selector)) > 0
}

// Text is the words in an element, spaces made single.
func (n Node) Text() string {
	var words []string
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			words = append(words, strings.Fields(d.Data)...)
		}
	}
	return strings.Join(words, " ")
}

// Attr is an attribute, "" where it is absent.
func (n Node) Attr(name string) string {
	value, _ := attr(n.Node, name)
	return value
}

// Fields gives what a form sends if nobody changes it, by name; buttons are
// left out.
func (n Node) Fields() map[string]string {
	n.t.Helper()
	out := map[string]string{}
	for _, e := range n.All("input") {
		if t := e.Attr("type"); t != "checkbox" && t != "radio" || e.has("checked") {
			out[e.Attr("name")] = e.Attr("value")
		}
	}
	for _, s := range n.All("select") {
		for i, o := range s.All("option") {
			if i == 0 || o.has("selected") {
				out[s.Attr("name")] = o.Attr("value")
			}
		}
	}
	return out
}

func (n Node) has(name string) bool {
	_, ok := attr(n.Node, name)
	return ok
}

// A test is one condition of a step.
type test struct{ kind, name, value string }

var (
	steps      = regexp.MustCompile(`(?:\[[^\]]*\]|[^\s\[\]]+)+`)
	conditions = regexp.MustCompile(`#([\w-]+)|\.([\w-]+)|\[([\w-]+)(?:="([^"]*)")?\]|^([\w]+)`)
)

func (n Node) tests(step string) []test {
	n.t.Helper()
	var out []test
	for _, m := range conditions.FindAllStringSubmatch(step, -1) {
		switch {
		case m[1] != "":
			out = append(out, test{"is", "id", m[1]})
		case m[2] != "":
			out = append(out, test{"class", "class", m[2]})
		case m[3] != "" && strings.Contains(m[0], "="):
			out = append(out, test{"is", m[3], m[4]})
		case m[3] != "":
			out = append(out, test{"has", m[3], ""})
		default:
			out = append(out, test{"tag", m[5], ""})
		}
	}
	if out == nil {
		n.t.Fatalf("%q is no step of a selector", step)
	}
	return out
}

func matches(n *html.Node, tests []test) bool {
	if n.Type != html.ElementNode {
		return false
	}
	for _, t := range tests {
		value, has := attr(n, t.name)
		ok := map[string]bool{
			"tag": n.Data == t.name, "has": has, "is": has && value == t.value,
			"class": slices.Contains(strings.Fields(value), t.value),
		}[t.kind]
		if !ok {
			return false
		}
	}
	return true
}

func attr(n *html.Node, name string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val, true
		}
	}
	return "", false
}
