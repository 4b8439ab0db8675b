package call

import (
	"strconv"

	"dawnround/mark"
	"dawnround/protocol"
	"dawnround/record"
)

// whoseMark asks where several known animals, or one of another sex, or none
// but a near miss, bear the mark.
func (rd *reading) whoseMark(text string, i, j int) {
	if len(rd.given.Marks) == 0 {
		return
	}
	var index mark.Index
	sexes := map[string]string{}
	for _, k := range rd.given.Marks {
		index.Add(protocol.Transponder, k.Text, k.Text)
		sexes[mark.Canonical(k.Text)] = k.Sex
	}
	found := index.Tail(text)
	switch {
	case len(found) > 1:
		rd.askAnimal(strconv.Itoa(len(found))+" animals end "+Digits(text)+": which?", found, i, j)
	case len(found) == 1:
		if sex := sexes[found[0].Text]; sex != "" && rd.sexSaid() != "" && rd.sexSaid() != sex {
			rd.askAnimal("that number is a "+sex+"'s: read it again?", found, i, j)
		}
	default:
		rd.nearMark(&index, text, i, j)
	}
}

// nearMark asks about a number nobody bears: it may be one slip away from one
// that is known, or the animal is no recapture.
func (rd *reading) nearMark(index *mark.Index, text string, i, j int) {
	var near []mark.Entry
	if len(text) == fullDigits {
		near = index.Near(text)
	} else {
		for _, k := range rd.given.Marks {
			if len(k.Text) >= len(text) && oneSlip(k.Text[len(k.Text)-len(text):], text) {
				near = append(near, mark.Entry{Text: k.Text})
			}
		}
	}
	f, _ := rd.out.Field("status")
	if len(near) > 0 {
		rd.askAnimal("nobody known ends "+Digits(text)+"; "+Digits(near[0].Text[len(near[0].Text)-min(4, len(near[0].Text)):])+"?", near, i, j)
	} else if f != nil && f.Value == string(record.Recapture) {
		rd.askAnimal("nobody known ends "+Digits(text)+": read it again?", nil, i, j)
	}
}

// oneSlip: one digit is another, or two neighbours are swapped.
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
	return len(at) == 1 || len(at) == 2 && at[1] == at[0]+1 && a[at[0]] == b[at[1]] && a[at[1]] == b[at[0]]
}

func (rd *reading) sexSaid() string {
	if f, ok := rd.out.Field("sex"); ok {
		return f.Value
	}
	for i := range rd.toks {
		if id, n := rd.lexID(i, kSex); n > 0 && id != "not told" {
			return id
		}
	}
	k, _ := known(rd.given.SoFar, "sex")
	return k.Value
}

func (rd *reading) askAnimal(says string, among []mark.Entry, i, j int) {
	var texts []string
	for _, e := range among {
		texts = append(texts, e.Text)
	}
	rd.ask(Question{About: WhichAnimal, Says: says, Among: texts}, i, j)
}
