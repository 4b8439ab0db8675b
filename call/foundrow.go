package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/record"
)

// A foundRow is one row of the parasites: kind × site × side × count or class.
type foundRow struct {
	open     bool
	kind     string
	passedOn bool // the kind is that of the row before
	site     string
	side     string
	count    *int
	low      *int
	high     *int
	class    string
	roughly  bool
	engorged bool
	state    record.State
	misheard []string
	from, to int
}

// quantified tells whether the row says how many.
func (r foundRow) quantified() bool {
	return r.count != nil || r.low != nil || r.class != "" || r.state != record.Unknown
}

// alsoNone reads "no mites or fleas": none of these either.
func (rd *reading) alsoNone(i int) bool {
	w := rd.word(i - 1)
	if w != "or" && w != "nor" && w != "and" || !rd.joined(i) {
		return false
	}
	was := rd.lastRow
	return rd.findings > 0 && was.count != nil && *was.count == 0 && was.site == "" && !rd.row.quantified()
}

// flush enters the row in hand; the next one keeps only its kind.
func (rd *reading) flush() {
	r := rd.row
	rd.row = foundRow{kind: r.kind, passedOn: true}
	if !r.open {
		return
	}
	if r.site != "" && r.side == "" && !r.quantified() && rd.sidesFollow(r.to) {
		rd.lastSite = r.site
		return
	}
	if rd.correcting && !r.quantified() && r.kind != "" && rd.lastRow.quantified() && rd.lastRow.kind != r.kind {
		rd.putRow(r, r.side)
		return
	}
	if rd.placesLast(r) {
		return
	}
	if !r.quantified() && (r.site == "" || r.passedOn && !r.engorged && !rd.correcting) {
		return // a part alone says nothing of parasites
	}
	if r.kind == "" {
		r.kind = rd.kindInPhrase()
	}
	if r.site == "" && r.side != "" && r.quantified() && rd.lastSite != "" {
		r.site = rd.lastSite
	}
	if r.site != "" {
		rd.lastSite = r.site
	}
	sides := []string{r.side}
	if (r.side == "both" || r.side == "") && r.count != nil && r.to > r.from && rd.eachSaid(r) {
		sides = []string{"left", "right"}
	}
	if rd.oneEngorged(r) {
		return
	}
	for _, side := range sides {
		rd.putRow(r, side)
	}
}

// oneEngorged reads "two ticks on the neck, one engorged": some of those that
// were just counted.
func (rd *reading) oneEngorged(r foundRow) bool {
	was := rd.lastRow
	if !r.engorged || !r.passedOn || r.site != "" || r.side != "" || r.count == nil || was.count == nil || *r.count > *was.count || was.kind != r.kind {
		return false
	}
	rd.put(Field{At: findingRow(rd.findings) + "/engorged", Value: "yes"}, r.from, r.to)
	return true
}

// placesLast gives the row said last its site: "nine ticks, all on the rump".
func (rd *reading) placesLast(r foundRow) bool {
	was := rd.lastRow
	if rd.findings == 0 || !was.quantified() || was.site != "" || was.side != "" || r.site == "" || was.kind != r.kind && r.kind != "" || was.count != nil && *was.count == 0 {
		return false
	}
	if r.quantified() && !(r.class == "many" && strings.Contains(strings.ToLower(rd.text(r.from, r.to)), "all over")) || rd.sidesFollow(r.to) {
		return false
	}
	row := "findings/" + strconv.Itoa(rd.findings)
	if _, ok := rd.out.Field(row + "/count"); !ok && was.count != nil {
		return false
	}
	rd.put(Field{At: row + "/part", Value: r.site}, r.from, r.to)
	if r.side != "" {
		rd.put(Field{At: row + "/side", Value: r.side}, r.from, r.to)
	}
	rd.lastRow.site, rd.lastRow.side, rd.lastSite = r.site, r.side, r.site
	return true
}

// sidesFollow tells whether counts by side come next: "ear ticks, left three".
func (rd *reading) sidesFollow(i int) bool {
	n := rd.lex(i, kSide)
	return n > 0 && (rd.isNumber(i+n) || rd.lex(i+n, kAmount) > 0)
}

func (rd *reading) eachSaid(r foundRow) bool {
	for k := r.from; k < r.to; k++ {
		if rd.word(k) == "each" {
			return true
		}
	}
	return false
}

func (rd *reading) putRow(r foundRow, side string) {
	if rd.correcting && rd.lastRow.quantified() {
		r, side = rd.corrects(r, side)
	}
	rd.findings++
	row := "findings/" + strconv.Itoa(rd.findings)
	rd.lastRow = r
	rd.lastRow.side = side
	put := func(part, value string) {
		rd.put(Field{At: row + "/" + part, Value: value, Roughly: r.roughly && part == "count", Misheard: strings.Join(r.misheard, " / ")}, r.from, r.to)
	}
	if r.kind != "" {
		put("sign", r.kind)
	}
	if r.site != "" {
		put("part", r.site)
	}
	if side != "" {
		put("side", side)
	}
	rd.putAmount(r, row, put)
	rd.last, rd.correcting = row+"/count", false
	if r.engorged {
		put("engorged", "yes")
	}
	if r.kind == "" {
		rd.fate(r.from, r.to, Asked, row+"/sign")
		rd.ask(Question{About: WhichSign, Says: "ticks, or what?"}, r.from, r.to)
	}
}

// corrects fills what was not said anew from the row that is corrected, takes
// that row away, and keeps what it was.
func (rd *reading) corrects(r foundRow, side string) (foundRow, string) {
	was := rd.lastRow
	if r.kind == "" {
		r.kind = was.kind
	}
	if r.site == "" {
		r.site = was.site
		if side == "" {
			side = was.side
		}
	}
	if !r.quantified() {
		r.count, r.low, r.high, r.class, r.state = was.count, was.low, was.high, was.class, was.state
	}
	row := "findings/" + strconv.Itoa(rd.findings)
	rd.out.Fields = slices.DeleteFunc(rd.out.Fields, func(f Field) bool { return strings.HasPrefix(f.At, row+"/") })
	rd.unask(WhichSign)
	rd.corrected(row+"/count", was.amount(), r.amount())
	rd.findings--
	rd.correcting = false
	return r, side
}

// amount is how many, in words of the record.
func (r foundRow) amount() string {
	switch {
	case r.count != nil:
		return strconv.Itoa(*r.count)
	case r.low != nil && r.high != nil:
		return strconv.Itoa(*r.low) + "-" + strconv.Itoa(*r.high)
	case r.low != nil:
		return strconv.Itoa(*r.low) + "+"
	case r.class != "":
		return r.class
	}
	return string(r.state)
}

// rowCorrected gives a bare number after a correction word to the row of
// parasites said last: "six fleas on the rump, no, seven".
func (rd *reading) rowCorrected(s spoken) bool {
	if !rd.lastRow.quantified() {
		return false
	}
	n, to, ok := rd.howMany(s.from)
	if !ok || n > mostCounted {
		return false
	}
	r := foundRow{open: true, count: &n, from: s.from, to: to, roughly: s.rough}
	if k, high, ok := rd.upTo(to); ok && high > n {
		r.count, r.low, r.high, r.to = nil, &n, &high, k
	}
	rd.putRow(r, "")
	rd.at, rd.topic = r.to, tParasite
	return true
}

func (rd *reading) putAmount(r foundRow, row string, put func(part, value string)) {
	switch {
	case r.count != nil:
		put("count", strconv.Itoa(*r.count))
	case r.low != nil:
		put("low", strconv.Itoa(*r.low))
		if r.high != nil {
			put("high", strconv.Itoa(*r.high))
		}
	case r.class != "":
		put("class", r.class)
	case r.state != record.Unknown:
		rd.put(Field{At: row + "/count", State: r.state, Why: rd.why("not_checked")}, r.from, r.to)
	}
}
