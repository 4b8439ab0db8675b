package call

import (
	"strconv"
	"strings"
)

// restOfLine reads "M line, M four sprung, M six possum, rest empty": the line
// held one thing, and the traps that were told before are the exceptions.
func (rd *reading) restOfLine(i int) bool {
	j := i
	if rd.word(j) == "the" || rd.word(j) == "all" {
		j++
	}
	if rd.word(j) == "all" && rd.word(j+1) == "the" {
		j += 2
	}
	w := rd.word(j)
	if w != "rest" && w != "others" && w != "remainder" || rd.checks == 0 || !rd.breaks(i) && rd.word(i-1) != "and" {
		return false
	}
	j++
	if rd.says(j, "of them") || rd.says(j, "of it") {
		j += 2
	}
	j = rd.skip(j)
	if rd.word(j) == "all" {
		j++
	}
	id, n := rd.lexID(j, kOutcome)
	line := rd.lineInHand
	if line == "" {
		line = rd.lineOfChecks()
	}
	if n == 0 || !rd.breaks(j+n) || line == "" {
		return false
	}
	rd.checksExcept()
	rd.put(Field{At: "line/name", Value: line}, i, i+1)
	rd.take(Field{At: "line/outcome", Value: id}, i, j+n)
	rd.line = true
	return true
}

// lineOfChecks is the letter that all traps told so far have; empty where they
// have several.
func (rd *reading) lineOfChecks() string {
	line := ""
	for _, f := range rd.out.Fields {
		if !strings.HasPrefix(f.At, "checks/") || !strings.HasSuffix(f.At, "/trap") || f.Value == "" {
			continue
		}
		if line != "" && line != f.Value[:1] {
			return ""
		}
		line = f.Value[:1]
	}
	return line
}

// checksExcept makes the traps told so far the exceptions of a line.
func (rd *reading) checksExcept() {
	except := func(at string) string {
		rest, ok := strings.CutPrefix(at, "checks/")
		if !ok {
			return at
		}
		number, part, _ := strings.Cut(rest, "/")
		n, _ := strconv.Atoi(number)
		return "except/" + strconv.Itoa(n+rd.lost) + "/" + part
	}
	for i := range rd.out.Fields {
		rd.out.Fields[i].At = except(rd.out.Fields[i].At)
	}
	for i := range rd.toks {
		rd.toks[i].field = except(rd.toks[i].field)
	}
	rd.lost, rd.checks = rd.lost+rd.checks, 0
}

// animalsInTraps reads "bettong in B two, another in B six": the animals first,
// several of them, so that none is the one in hand.
func (rd *reading) animalsInTraps(i int) bool {
	if !rd.breaks(i) || rd.checks > 0 || len(rd.out.Fields) > 0 {
		return false
	}
	type held struct {
		trap, species string
		from, to      int
	}
	var all []held
	last := ""
	for j := i; ; {
		k := rd.someKindOf(j)
		to, text, ok := rd.speciesText(k)
		if !ok && last != "" && k > j {
			to, text, ok = k, last, true // another in B six
			if rd.word(to) == "one" {
				to++
			}
		}
		if w := rd.word(to); !ok || w != "in" && w != "at" {
			break
		}
		name, next, ok := rd.trapName(to + 1)
		if !ok {
			break
		}
		all, last = append(all, held{name, text, j, next}), text
		j = next
		if rd.word(j) == "and" {
			j++
		}
	}
	if len(all) < 2 {
		return false
	}
	for _, h := range all {
		rd.checks++
		row := "checks/" + strconv.Itoa(rd.checks)
		rd.put(Field{At: row + "/trap", Value: h.trap}, h.from, h.to)
		rd.put(Field{At: row + "/outcome", Value: "capture"}, h.from, h.to)
		rd.take(Field{At: row + "/species", Value: h.species}, h.from, h.to)
		rd.mustExist(row+"/trap", h.trap, h.from, h.to)
	}
	rd.topic = tTrap
	return true
}
