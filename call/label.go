package call

import (
	"slices"
	"strconv"
	"strings"

	"dawnround/record"
)

// labelFollows tells whether a letter and a number directly behind a sample are
// its label and no trap: "blood tube K five".
func (rd *reading) labelFollows(i int) bool {
	_, labelled := rd.out.Field(rd.sampleRow() + "/label")
	if rd.topic != tSample || rd.sample == 0 || labelled || !rd.joined(i) || !strings.HasPrefix(rd.toks[i-1].field, "samples/") {
		return false
	}
	_, j := rd.labelText(i)
	return j > i && len(rd.word(i)) == 1 && rd.lex(i, kSide) == 0
}

// labelText reads a label: letters and digits.
func (rd *reading) labelText(i int) (string, int) {
	for rd.word(i) == "number" || rd.word(i) == "is" || rd.word(i) == "'s" || rd.word(i) == "no" && rd.joined(i+1) && rd.isNumber(i+1) {
		i++
	}
	prefix := ""
	j := i
	for len(rd.word(j)) == 1 && rd.word(j)[0] >= 'a' && rd.word(j)[0] <= 'z' && rd.toks[j].num.class == noNumeral && (j == i || rd.joined(j)) && len(prefix) < 3 {
		prefix += strings.ToUpper(rd.word(j))
		j++
	}
	if j < len(rd.toks) && (rd.joined(j) || j == i) {
		if text, k := rd.markDigits(j); k > j {
			if value, ok := misheardDigits[rd.word(k)]; ok && rd.given.Source == Dictated && rd.joined(k) && rd.breaks(k+1) {
				if rd.toks[k-1].num.class == tens {
					text = strings.TrimSuffix(text, "0")
				}
				text += strconv.Itoa(value)
				k++
			}
			return prefix + text, k
		}
		if value, ok := misheardDigits[rd.word(j)]; ok && rd.given.Source == Dictated && rd.breaks(j+1) {
			return prefix + strconv.Itoa(value), j + 1
		}
		if text, k := rd.digitsHeard(j); k > j {
			return prefix + text, k
		}
	}
	return "", i
}

func (rd *reading) label(text string, i, j int) { rd.labelAt(text, i, j) }

// labelAt enters a label, and asks if it was used before.
func (rd *reading) labelAt(text string, i, j int) {
	at := rd.sampleRow() + "/label"
	if f, ok := rd.out.Field(at); ok && f.Value != "" && f.Value != text && !rd.correcting {
		if !rd.passBack(f.Value) {
			f.Pending, f.Why = true, "two labels"
			rd.ask(Question{About: "samples/label", Says: "label " + Digits(f.Value) + " or " + Digits(text) + "?", Among: []string{f.Value, text}}, i, j)
			rd.at = max(rd.at, j)
			return
		}
		f, _ = rd.out.Field(at) // the list has grown
		f.Value = text
		rd.fate(i, j, Taken, at)
		rd.at = max(rd.at, j)
		return
	}
	rd.correcting = false
	rd.take(Field{At: at, Value: text}, i, j)
	rd.last = at
	clash := slices.ContainsFunc(rd.given.Labels, func(l string) bool { return strings.EqualFold(l, text) })
	for _, f := range rd.out.Fields {
		if f.At != at && strings.HasPrefix(f.At, "samples/") && strings.HasSuffix(f.At, "/label") && f.Value == text {
			clash = true
		}
	}
	if !clash {
		rd.unask("samples/label")
		return
	}
	rd.flagLast(at, "used before")
	rd.ask(Question{About: "samples/label", Says: "label " + Digits(text) + " is used already: read it again?"}, i, j)
}

// passBack gives a label to the one sample before that has none: "scat and
// hair, bag two, envelope three".
func (rd *reading) passBack(label string) bool {
	free := rd.unlabelled()
	if len(free) != 1 || free[0] >= rd.sample {
		return false
	}
	at := "samples/" + strconv.Itoa(free[0]) + "/label"
	rd.out.Fields = append(rd.out.Fields, Field{At: at, Value: label})
	if own, ok := rd.out.Field(rd.sampleRow() + "/label"); ok {
		f, _ := rd.out.Field(at)
		f.From, f.To = own.From, own.To
	}
	return true
}

// unlabelled are the samples of the phrase that have no label yet.
func (rd *reading) unlabelled() []int {
	var free []int
	for n := 1; n <= rd.samples; n++ {
		row := "samples/" + strconv.Itoa(n)
		kind, ok := rd.out.Field(row + "/kind")
		if _, labelled := rd.out.Field(row + "/label"); ok && kind.State == record.Unknown && !labelled {
			free = append(free, n)
		}
	}
	return free
}

// manyLabels reads "tubes forty and forty-one": a label for each sample that
// has none, in the order said.
func (rd *reading) manyLabels(i int) bool {
	switch rd.word(i) {
	case "tubes", "vials", "envelopes", "labels", "packets", "jars", "numbers", "bags":
	default:
		return false
	}
	var texts []string
	j := i + 1
	for {
		text, k := rd.labelText(j)
		if k == j {
			break
		}
		texts = append(texts, text)
		j = k
		if w := rd.word(j); w == "and" || w == "&" {
			j++
		} else if rd.joined(j) || j >= len(rd.toks) || rd.toks[j].stop != ',' {
			break
		}
	}
	free := rd.unlabelled()
	if len(texts) < 2 {
		return false
	}
	if len(free) != len(texts) {
		rd.ask(Question{About: "samples/label", Says: strconv.Itoa(len(texts)) + " labels for " + strconv.Itoa(len(free)) + " samples: which is which?"}, i, j)
		rd.at = j
		return true
	}
	for n, row := range free {
		rd.sample = row
		rd.labelAt(texts[n], i, j)
	}
	return true
}

// labelFirst keeps a label that is said before its sample: "label B seven,
// scat".
func (rd *reading) labelFirst(i int) bool {
	id, n := rd.lexID(i, kLabel)
	if rd.sample > 0 || n == 0 || id != "label" || rd.word(i) == "number" || rd.word(i) == "no" || !rd.breaks(i) {
		return false
	}
	text, j := rd.labelText(i + n)
	if j == i+n || !rd.breaks(j) || rd.lex(j, kSample) == 0 {
		return false
	}
	rd.labelAhead = text
	rd.fate(i, j, Taken, "samples/1/label")
	rd.at = j
	return true
}
