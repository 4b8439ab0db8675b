package mark_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"dawnround/mark"

	"pgregory.net/rapid"
)

func texts(entries []mark.Entry) string {
	var all []string
	for _, e := range entries {
		all = append(all, e.Text)
	}
	return strings.Join(all, " ")
}

func TestIndex(t *testing.T) {
	t.Parallel()
	var ix mark.Index
	for i, text := range []string{"999000071302214", "999000048615214", "999000071302241", "b012", "B12", "7"} {
		ix.Add("any", text, fmt.Sprint("animal ", i))
	}
	for _, c := range []struct{ ask, got, want string }{
		{"exact", texts(ix.Exact("999000071302214")), "999000071302214"},
		{"exact, lower case", texts(ix.Exact(" b012")), "B012"},
		{"exact, a zero short", texts(ix.Exact("B012 ")), "B012"},
		{"tail of three", texts(ix.Tail("214")), "999000048615214 999000071302214"},
		{"tail of four", texts(ix.Tail("2214")), "999000071302214"},
		{"tail of two", texts(ix.Tail("12")), "B012 B12"},
		{"tail of one", texts(ix.Tail("7")), "7"},
		{"tail of none", texts(ix.Tail("")), ""},
		{"near: neighbours swapped", texts(ix.Near("999000071302214")), "999000071302241"},
		{"near: a digit, in front", texts(ix.Near("899000048615214")), "999000048615214"},
		{"near: two digits off", texts(ix.Near("999000071302200")), ""},
		{"near: a digit missing", texts(ix.Near("B112")), "B012"},
	} {
		if c.got != c.want {
			t.Errorf("%s: %q, want %q", c.ask, c.got, c.want)
		}
	}
	ix.Remove("any", "999000071302214", "animal 0")
	ix.Remove("any", "999000071302214", "nobody")
	if left := texts(ix.Tail("214")); left != "999000048615214" {
		t.Errorf("after removing: %q", left)
	}
}

func TestZeroIndex(t *testing.T) {
	t.Parallel()
	var ix mark.Index
	ix.Remove("any", "B012", "nobody")
	if found := slices.Concat(ix.Exact("B012"), ix.Tail("12"), ix.Near("B012")); len(found) != 0 {
		t.Errorf("an empty index found %v", found)
	}
}

// slow is the definition of the three questions, asked of a plain set.
type slow map[mark.Entry]bool

func (s slow) find(match func(text string) bool) []mark.Entry {
	var found []mark.Entry
	for e := range s {
		if match(e.Text) {
			found = append(found, e)
		}
	}
	slices.SortFunc(found, func(a, b mark.Entry) int {
		return strings.Compare(a.Text+"\x00"+a.Kind+"\x00"+a.Owner, b.Text+"\x00"+b.Kind+"\x00"+b.Owner)
	})
	return found
}

func oneSlip(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	var at []int
	for i := range a {
		if a[i] != b[i] {
			at = append(at, i)
		}
	}
	digit := func(c byte) bool { return c >= '0' && c <= '9' }
	switch len(at) {
	case 1:
		return digit(a[at[0]]) && digit(b[at[0]])
	case 2:
		return at[1] == at[0]+1 && a[at[0]] == b[at[1]] && a[at[1]] == b[at[0]]
	}
	return false
}

// The index answers as the definition does, whatever was added and removed.
func TestIndexAgainstDefinition(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[AB]?[0-2]{1,4}`)
		var ix mark.Index
		set := slow{}
		for range rapid.IntRange(0, 60).Draw(t, "steps") {
			e := mark.Entry{
				Kind:  rapid.SampledFrom([]string{"ear tag", "transponder"}).Draw(t, "kind"),
				Text:  text.Draw(t, "text"),
				Owner: rapid.SampledFrom([]string{"a", "b"}).Draw(t, "owner"),
			}
			if rapid.IntRange(0, 3).Draw(t, "remove") == 0 {
				ix.Remove(e.Kind, e.Text, e.Owner)
				delete(set, e)
			} else {
				ix.Add(e.Kind, e.Text, e.Owner)
				set[e] = true
			}
		}
		asked := text.Draw(t, "asked")
		compare := func(question string, got, want []mark.Entry) {
			if !slices.Equal(got, want) {
				t.Fatalf("%s %q: %v, want %v", question, asked, got, want)
			}
		}
		compare("exact", ix.Exact(asked), set.find(func(s string) bool { return s == asked }))
		compare("tail", ix.Tail(asked), set.find(func(s string) bool { return strings.HasSuffix(s, asked) }))
		compare("near", ix.Near(asked), set.find(func(s string) bool { return oneSlip(s, asked) }))
	})
}

// grown is an index of n transponders of two makers, from a named seed.
func grown(n int) (*mark.Index, []string) {
	rng := rand.New(rand.NewPCG(20260320, 1))
	ix, numbers := &mark.Index{}, make([]string, n)
	for i := range numbers {
		id := mark.Identification{Country: uint16(981 + rng.IntN(2)), National: rng.Uint64N(mark.MaxNational)}
		numbers[i] = id.Number()
		ix.Add("transponder", numbers[i], fmt.Sprint(i))
	}
	return ix, numbers
}

func BenchmarkIndex(b *testing.B) {
	ix, numbers := grown(50_000)
	for name, find := range map[string]func(text string) []mark.Entry{
		"exact_in_50k_marks":      ix.Exact,
		"near_in_50k_marks":       ix.Near,
		"tail_of_3_in_50k_marks":  func(text string) []mark.Entry { return ix.Tail(text[12:]) },
		"tail_of_1_in_50k_marks":  func(text string) []mark.Entry { return ix.Tail(text[14:]) },
		"tail_of_15_in_50k_marks": ix.Tail,
	} {
		b.Run(name, func(b *testing.B) {
			for i := 0; b.Loop(); i++ {
				if found := find(numbers[i%len(numbers)]); name != "near_in_50k_marks" && len(found) == 0 {
					b.Fatal("a mark was not found")
				}
			}
		})
	}
	b.Run("add_50k_marks", func(b *testing.B) {
		for b.Loop() {
			grown(50_000)
		}
	})
}
