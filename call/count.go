package call

import (
	"strconv"
	"strings"
)

// oneOnly takes "a" or "single" before a parasite for one, and "not a" for none.
func (rd *reading) oneOnly(i int) int {
	if rd.row.open && rd.row.kind != "" && !rd.row.passedOn && rd.lex(i+1, kFindSign) > 0 {
		rd.flush()
	}
	n := 1
	if rd.word(i-1) == "not" || rd.word(i-1) == "a" && rd.word(i-2) == "not" {
		n = 0
	}
	rd.row.count = &n
	return rd.span(i, i+1)
}

// amountItem takes a count, a span of counts or a class.
func (rd *reading) amountItem(i int) int {
	if rd.row.quantified() && (rd.isNumber(i) || rd.lex(i, kAmount) > 0) {
		if id, _ := rd.lexID(i, kAmount); !rd.isNumber(i) && (id == "heavy" || id == "many") && rd.row.count == nil && rd.row.low == nil {
			return i
		}
		rd.flush()
	}
	if id, n := rd.lexID(i, kAmount); n > 0 && rd.countWord(i) == "" {
		rd.amount(id)
		return rd.span(i, i+n)
	}
	if rd.isDitto(i) && rd.row.side != "both" {
		if rd.row.quantified() {
			rd.flush()
		}
		was := rd.lastRow
		rd.row.count, rd.row.low, rd.row.high, rd.row.class = was.count, was.low, was.high, was.class
		return rd.span(i, i+1)
	}
	if n, ok := misheardDigits[rd.word(i)]; ok && rd.given.Source == Dictated && (rd.breaks(i+1) || rd.lex(i+1, kSide) > 0 && rd.lex(i+2, kPart) > 0) && rd.row.site != "" && !rd.row.quantified() {
		rd.row.count = &n
		rd.row.misheard = append(rd.row.misheard, rd.word(i))
		return rd.span(i, i+1)
	}
	j, atLeast := i, false
	if rd.word(j) == "between" || rd.word(j) == "from" {
		if k := rd.betweenTwo(j); k > j {
			return rd.span(i, k)
		}
	}
	for _, w := range []string{"more than", "over", "at least", "upwards of"} {
		if rd.says(i, w) {
			j, atLeast = i+len(strings.Fields(w)), true
		}
	}
	n, to, ok := rd.howMany(j)
	if !ok {
		return i
	}
	if k, high, ok := rd.upTo(to); ok && high > n {
		rd.row.low, rd.row.high = &n, &high
		return rd.span(i, k)
	}
	if w := rd.word(to); atLeast || w == "plus" || w == "+" || w == "odd" {
		if w == "plus" || w == "+" {
			to++
		}
		rd.row.low = &n
		return rd.span(i, to)
	}
	s, _ := rd.number(j)
	rd.row.count, rd.row.roughly = &n, s.rough && s.to == to || rd.countWord(j) != ""
	if k := rd.lex(to, kRoughAfter); k > 0 && rd.joined(to) {
		rd.row.roughly = true
		to += k
	}
	return rd.span(i, to)
}

// isDitto tells whether a word repeats the count of the row before: "seven on
// the left ear, same on the right".
func (rd *reading) isDitto(i int) bool {
	w := rd.word(i)
	return (w == "same" || w == "ditto" || w == "\"") && (rd.lastRow.quantified() || rd.row.quantified()) && rd.topic == tParasite && w != rd.word(i+1)
}

// mostCounted is the highest count that is taken; who says more did not count.
const mostCounted = 300

// howMany reads a count at token i, as a number or as a word for one: four, a
// dozen, half a dozen, a couple.
func (rd *reading) howMany(i int) (n, to int, ok bool) {
	if w := rd.countWord(i); w != "" {
		n, err := strconv.Atoi(strings.TrimSuffix(w, "+"))
		return n, i + rd.lex(i, kAmount), err == nil
	}
	s, ok := rd.number(i)
	n, whole := s.whole()
	if !ok || !rd.isNumber(i) || !whole || n > mostCounted {
		return 0, i, false
	}
	return n, s.to, true
}

// countWord is the meaning of a word for a number above nought: 12, 2+.
func (rd *reading) countWord(i int) string {
	id, n := rd.lexID(i, kAmount)
	if v, err := strconv.Atoi(strings.TrimSuffix(id, "+")); n == 0 || err != nil || v == 0 {
		return ""
	}
	return id
}

// upTo reads "or five", "to a dozen" behind a count.
func (rd *reading) upTo(i int) (to, high int, ok bool) {
	if w := rd.word(i); !rd.joined(i) || w != "or" && w != "to" && w != "maybe" && w != "-" && w != "–" {
		return i, 0, false
	}
	high, to, ok = rd.howMany(i + 1)
	return to, high, ok && rd.joined(i+1)
}

// betweenTwo reads "between six and ten" and gives the token behind it.
func (rd *reading) betweenTwo(i int) int {
	low, to, ok := rd.howMany(i + 1)
	if w := rd.word(to); !ok || w != "and" && w != "to" {
		return i
	}
	high, end, ok := rd.howMany(to + 1)
	if !ok || low >= high {
		return i
	}
	rd.row.low, rd.row.high = &low, &high
	return end
}

// amount takes a word for a count or a class.
func (rd *reading) amount(id string) {
	if n, err := strconv.Atoi(strings.TrimSuffix(id, "+")); err == nil {
		rd.row.count, rd.row.roughly = &n, strings.HasSuffix(id, "+")
		return
	}
	rd.row.class = id
}
