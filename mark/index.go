package mark

import (
	"cmp"
	"slices"
	"strings"
)

// An Entry is one mark and whose it is.
type Entry struct {
	Kind  string // transponder, ear tag, tattoo: the programme's own word
	Text  string // canonical
	Owner string // whatever names the animal
}

// An Index finds marks by whole text, by tail and by slip. The zero value is
// ready to use. It is a set: adding an entry twice is adding it once, and what
// it answers does not depend on the order of adding. Texts are compared as
// [Canonical] has them. It may be read from many goroutines, not while it is
// being changed.
type Index struct {
	byTail map[string][]Entry // by the last tailKey characters
}

// tailKey is the usual length of a tail as called: three digits.
const tailKey = 3

// tail is the last n characters of a text, or the whole of a shorter one.
func tail(text string, n int) string {
	runes := []rune(text)
	return string(runes[max(0, len(runes)-n):])
}

// Add enters a mark.
func (ix *Index) Add(kind, text, owner string) {
	e := Entry{kind, Canonical(text), owner}
	key := tail(e.Text, tailKey)
	if slices.Contains(ix.byTail[key], e) {
		return
	}
	if ix.byTail == nil {
		ix.byTail = map[string][]Entry{}
	}
	ix.byTail[key] = append(ix.byTail[key], e)
}

// Remove takes a mark out; a mark that is not there is no matter.
func (ix *Index) Remove(kind, text, owner string) {
	gone := Entry{kind, Canonical(text), owner}
	key := tail(gone.Text, tailKey)
	left := slices.DeleteFunc(ix.byTail[key], func(e Entry) bool { return e == gone })
	if len(left) == 0 {
		delete(ix.byTail, key)
		return
	}
	ix.byTail[key] = left
}

// Exact is every entry with this text, of any kind.
func (ix *Index) Exact(text string) []Entry {
	return sorted(ix.exact(nil, Canonical(text)))
}

// exact appends the entries of one canonical text.
func (ix *Index) exact(found []Entry, text string) []Entry {
	for _, e := range ix.byTail[tail(text, tailKey)] {
		if e.Text == text {
			found = append(found, e)
		}
	}
	return found
}

// Tail is every entry whose text ends so; nothing ends in the empty tail.
func (ix *Index) Tail(end string) []Entry {
	end = Canonical(end)
	var found []Entry
	if end == "" {
		return found
	}
	keep := func(entries []Entry) {
		for _, e := range entries {
			if strings.HasSuffix(e.Text, end) {
				found = append(found, e)
			}
		}
	}
	if key := tail(end, tailKey); len([]rune(key)) == tailKey {
		keep(ix.byTail[key])
		return sorted(found)
	}
	for key, entries := range ix.byTail {
		if strings.HasSuffix(key, end) {
			keep(entries)
		}
	}
	return sorted(found)
}

// Near is every entry one slip away: one digit is another, or two neighbours
// are swapped. The text itself is not near.
func (ix *Index) Near(text string) []Entry {
	runes := []rune(Canonical(text))
	var found []Entry
	for i, was := range runes {
		if was >= '0' && was <= '9' {
			for d := '0'; d <= '9'; d++ {
				if runes[i] = d; d != was {
					found = ix.exact(found, string(runes))
				}
			}
			runes[i] = was
		}
		if i > 0 && runes[i-1] != was {
			runes[i-1], runes[i] = runes[i], runes[i-1]
			found = ix.exact(found, string(runes))
			runes[i-1], runes[i] = runes[i], runes[i-1]
		}
	}
	return sorted(found)
}

func sorted(entries []Entry) []Entry {
	slices.SortFunc(entries, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.Text, b.Text), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Owner, b.Owner))
	})
	return entries
}
