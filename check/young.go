package check

import (
	"fmt"
	"strconv"

	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// neverBredAfterBreeding looks for a sign that she has bred, or young, at any
// earlier capture.
func neverBredAfterBreeding(k *card) []found {
	var out []found
	for _, id := range sortedKeys(k.h.Signs) {
		now := k.h.Signs[id]
		if w, ok := k.word(id, now); !ok || !w.Never {
			continue
		}
		c := k.last(k.bred)
		if c == nil {
			continue
		}
		out = append(out, found{
			field:    "signs/" + id,
			says:     fmt.Sprintf("%s %s now, but she had bred %s. Look again, or another animal?", capital(id), now.Value, k.when(c)),
			evidence: fmt.Sprintf("%s %s; bred on %s", id, now.Value, on(c)),
			beside:   beside(c),
		})
	}
	return out
}

// word is the sheet's word of a sign.
func (k *card) word(id string, s record.Sign) (*protocol.Word, bool) {
	g, ok := k.sheet.Sign(id)
	if !ok || s.Is() != record.Seen {
		return nil, false
	}
	return g.Word(s.Value)
}

// bred reports an earlier capture that shows she has bred.
func (k *card) bred(c *register.Capture) bool {
	h := handled(c)
	if len(h.Young) > 0 {
		return true
	}
	for id, s := range h.Signs {
		if w, ok := k.word(id, s); ok && w.Parous {
			return true
		}
	}
	return false
}

// placeOf is where a sign's value stands in its order, -1 where it does not.
func placeOf(g *protocol.Sign, s record.Sign) int {
	for i, w := range g.Values {
		if s.Is() == record.Seen && w.ID == s.Value {
			return i
		}
	}
	return -1
}

func signGoesBack(k *card) []found {
	var out []found
	for _, id := range sortedKeys(k.h.Signs) {
		g, ok := k.sheet.Sign(id)
		if !ok || !g.Ordered || g.Of == protocol.OfYoung {
			continue
		}
		c := k.last(func(c *register.Capture) bool { return placeOf(g, handled(c).Signs[id]) >= 0 })
		if c == nil {
			continue
		}
		out = append(out, k.back("signs/"+id, id, g, c, c.Handled.Signs[id], k.h.Signs[id])...)
	}
	return out
}

// back says that a sign went back in its order.
func (k *card) back(field, name string, g *protocol.Sign, c *register.Capture, was, now record.Sign) []found {
	if at := placeOf(g, now); at < 0 || at >= placeOf(g, was) {
		return nil
	}
	return []found{{
		field:    field,
		says:     fmt.Sprintf("%s was %s %s, %s now; it never goes back. Look again, or is it another?", capital(name), was.Value, k.when(c), now.Value),
		evidence: fmt.Sprintf("%s %s %s on %s; %s now", field, name, was.Value, on(c), now.Value),
		beside:   beside(c),
	}}
}

// rowOf is the row of a young at a capture.
func rowOf(c *register.Capture, young uuid.UUID) (record.Young, bool) {
	for _, y := range handled(c).Young {
		if y.Young == young && young != (uuid.UUID{}) {
			return y, true
		}
	}
	return record.Young{}, false
}

func youngGoBack(k *card) []found {
	var out []found
	for i, y := range k.h.Young {
		for _, id := range sortedKeys(y.Signs) {
			g, ok := k.sheet.YoungSign(id)
			if !ok || !g.Ordered {
				continue
			}
			c := k.last(func(c *register.Capture) bool {
				was, ok := rowOf(c, y.Young)
				return ok && placeOf(g, was.Signs[id]) >= 0
			})
			if c == nil {
				continue
			}
			was, _ := rowOf(c, y.Young)
			out = append(out, k.back(youngField(i), "young's "+id, g, c, was.Signs[id], y.Signs[id])...)
		}
	}
	return out
}

// inPouch reports a young still carried: in the pouch, or on a teat.
func inPouch(y record.Young) bool { return y.Where == "in pouch" || y.Attached == "yes" }

func tooManyYoung(k *card) []found {
	n := 0
	for _, y := range k.h.Young {
		if inPouch(y) {
			n++
		}
	}
	most, what := k.sheet.Litter, "the litter is at most"
	if teats := k.sheet.Teats; most == 0 || teats > 0 && n > teats {
		most, what = teats, "she has this many teats:"
	}
	if most == 0 || n <= most {
		return nil
	}
	return []found{{
		field:    "young",
		says:     fmt.Sprintf("%d young; %s %d. Count again?", n, what, most),
		evidence: fmt.Sprintf("%d young", n),
	}}
}

// youngCountedUp compares, for each place young are met in, the count now
// with the last one that holds a young of now. A falling count is biology, a
// rising one of the same litter is a recount.
func youngCountedUp(k *card) []found {
	for _, y := range k.h.Young {
		c := k.last(func(c *register.Capture) bool {
			was, ok := rowOf(c, y.Young)
			return ok && was.Where == y.Where
		})
		if c == nil || y.Where == "gone" {
			continue
		}
		was, now := count(handled(c).Young, y.Where), count(k.h.Young, y.Where)
		if now > was {
			return []found{{
				field:    "young",
				says:     fmt.Sprintf("%d young %s, %d now, and one of them is the same. Count again?", was, k.when(c), now),
				evidence: fmt.Sprintf("%d on %s; %d now", was, on(c), now),
				beside:   beside(c),
			}}
		}
	}
	return nil
}

func count(young []record.Young, where string) int {
	n := 0
	for _, y := range young {
		if y.Where == where {
			n++
		}
	}
	return n
}

// youngField is the row of a young on the card, counted from 0 as its rows
// are.
func youngField(i int) string { return "young/" + strconv.Itoa(i) }
