package call

import (
	"strings"
)

// qualify reads the age of a finding, that it is healed, and how long it took.
func (rd *reading) qualify(row string, i, j int) {
	for k := i; k < j; k++ {
		switch w := rd.word(k); w {
		case "old", "fresh", "healing", "recent", "new":
			rd.amend(row+"/age", w, i, j)
		case "healed":
			rd.put(Field{At: row + "/healed", Value: "yes"}, i, j)
		}
	}
	j = rd.sizeAndCause(row, i, j)
	k := j
	for rd.joined(k) && (rd.word(k) == "for" || rd.word(k) == "about") {
		k++
	}
	if s, ok := rd.number(k); ok && rd.isNumber(k) && rd.joined(k) {
		if w := rd.word(s.to); w == "seconds" || w == "second" || w == "secs" || w == "sec" {
			rd.put(Field{At: row + "/seconds", Value: s.text()}, k, s.to+1)
			rd.at = max(rd.at, s.to+1)
		}
	}
	rd.sizeAndCause(row, i, rd.ageBehind(row, j))
}

// ageBehind reads the age of a finding behind it, in the same breath or as one
// of its own: "all healed", "fresh". It gives the token behind.
func (rd *reading) ageBehind(row string, i int) int {
	for _, p := range []string{"in it", "on it", "through it", "out of it"} {
		if rd.says(i, p) && rd.joined(i) {
			i += len(strings.Fields(p))
			rd.at = max(rd.at, i)
		}
	}
	for k := i; k < len(rd.toks) && k < i+4; k++ {
		if w := rd.word(k); (w == "old" || w == "fresh" || w == "new") && rd.word(k+1) == "one" && rd.breaks(k+2) {
			rd.amend(row+"/age", w, k, k+2)
			rd.at = max(rd.at, k+2)
			return rd.ageBehind(row, k+2)
		}
		w := rd.word(k)
		switch w {
		case "all", "both", "but", "very", "looks", "fully", "well", "now", "nicely", "completely", "is", "'s", "it", "pretty", "still", "and", "mostly", "quite", "been", "about":
			continue
		case "healed", "healing", "old", "fresh", "recent", "new":
		default:
			return i
		}
		if !rd.joined(k) && !rd.breaks(k+1) && rd.word(k+1) != "over" && rd.word(k+1) != "up" && rd.word(k+1) != "now" && rd.word(k+1) != "well" {
			return i
		}
		if w == "healed" {
			rd.put(Field{At: row + "/healed", Value: "yes"}, k, k+1)
		}
		if _, said := rd.out.Field(row + "/age"); !said || w != "healed" {
			rd.amend(row+"/age", w, k, k+1)
		}
		to := k + 1
		if w := rd.word(to); rd.joined(to) && (w == "over" || w == "up" || w == "now" || w == "well") {
			to++
		}
		rd.at = max(rd.at, to)
		return to
	}
	return i
}

// amend enters what is said more of a row; that corrects nothing.
func (rd *reading) amend(at, value string, i, j int) {
	if f, ok := rd.out.Field(at); ok {
		f.Value = value
		rd.fate(i, j, Taken, at)
		return
	}
	rd.put(Field{At: at, Value: value}, i, j)
}

// tagLost: a hole or a tear where a tag was looked for.
func (rd *reading) tagLost(sign string) {
	if rd.part.id != "ear" || rd.part.side == "" || rd.mark == "" || !strings.HasPrefix(sign, "hole") && !strings.HasPrefix(sign, "torn") && !strings.HasSuffix(sign, "hole") {
		return
	}
	at := rd.mark + "." + rd.part.side + "/text"
	if _, said := rd.out.Field(at); !said && !strings.Contains(rd.mark, "transponder") {
		rd.out.Fields = append(rd.out.Fields, Field{At: at, State: "none seen", Why: sign, Side: rd.part.side})
	}
}
