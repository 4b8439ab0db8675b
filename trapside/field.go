package trapside

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"dawnround/page"
	"dawnround/record"

	"github.com/google/uuid"
)

// put reads the words of one field into the capture. Fields are addressed as
// the flags address their rows: "measures/pes", "weighing/gross", "sex",
// "young/1/signs/fur".
func (d *Draft) put(field, typed string, s record.Step) error {
	kind, rest, _ := strings.Cut(field, "/")
	switch kind {
	case "flags":
		d.Acts[rest] = typed
		return nil
	case "asked":
		d.Asked = typed
		return nil
	case "done":
		return nil // the turn of a row is over; it says nothing of the animal
	case "doubts", "heard", "source", "other", "blind":
		return nil // kept among the steps; no part of the record
	case "marks":
		return d.putMark(rest, typed)
	case "samples":
		return d.putSample(rest, typed, s)
	case "findings":
		return d.putFinding(rest, typed)
	case "incidents":
		return d.putIncident(rest, typed, s)
	case "young":
		return d.putYoung(rest, typed)
	case "released":
		return d.putReleased(rest, typed)
	case "weighing":
		return d.putWeighing(rest, typed)
	}
	if typed == "" {
		return nil // written, then taken away: nothing is known again
	}
	switch kind {
	case "measures":
		return d.putMeasure(rest, typed)
	case "signs":
		if sign, ok := strings.CutSuffix(rest, "/how"); ok {
			d.putHow(sign, typed)
			return nil
		}
		putSign(&d.handled().Signs, rest, typed)
		return nil
	}
	return d.putWord(kind, typed)
}

// putWord reads a field that is one word or a few.
func (d *Draft) putWord(field, typed string) error {
	h := d.handled()
	switch field {
	case "species":
		h.Species = typed
	case "stage":
		h.Stage = typed
	case "handler":
		h.Handler = typed
	case "notes":
		h.Notes = typed
	case "brief":
		h.Brief = typed == "yes"
	case "status":
		return putOneOf(&h.Status, typed, statuses)
	case "sex":
		sex, err := readSex(typed)
		h.Sex = sex
		return err
	case "scan":
		h.Scan = typed
	default:
		return fmt.Errorf("%q has no place on the card; it is kept among what was said", field)
	}
	return nil
}

// The words of a vocabulary; one of a sheet, such as a stage, is held against
// the sheet when the draft is finished.
var (
	statuses = []record.Status{record.New, record.Recapture, record.Retrap, record.FoundDead}
	markActs = []record.MarkAct{record.MarkRead, record.MarkPut, record.MarkGone, record.MarkOld}
)

// putOneOf reads a word of a vocabulary. Another is wrong; it stays as it was
// said.
func putOneOf[W ~string](into *W, typed string, list []W) error {
	if !slices.Contains(list, W(typed)) {
		return notOneOf(typed, slices.DeleteFunc(slices.Clone(list), func(w W) bool { return w == "" }))
	}
	*into = W(typed)
	return nil
}

func notOneOf[W ~string](typed string, list []W) error {
	return fmt.Errorf("%q: expected %s", page.Short(typed), words(list))
}

var sexes = map[string]record.Sex{
	"female": record.Female, "f": record.Female, "♀": record.Female,
	"male": record.Male, "m": record.Male, "♂": record.Male,
	"not told": record.Unsexed, "unsexed": record.Unsexed,
}

func readSex(typed string) (record.Sex, error) {
	sex, ok := sexes[strings.ToLower(typed)]
	if !ok && typed != "" {
		return "", fmt.Errorf("%q: expected female, male or not told", typed)
	}
	return sex, nil
}

// putMeasure reads measures/TRAIT, the reading, and measures/TRAIT/side, which
// side of the animal was measured where the trait is not kept by side.
func (d *Draft) putMeasure(rest, typed string) error {
	trait, ofSide := strings.CutSuffix(rest, "/side")
	if !ofSide {
		err := putReading(&d.handled().Measures, rest, typed)
		if r, ok := d.handled().Measures[rest]; ok && d.blind && r.Is() == record.Seen {
			r.Blind = true
			d.Capture.Handled.Measures[rest] = r
		}
		return err
	}
	if r, ok := d.handled().Measures[trait]; ok && r.Is() == record.Seen {
		r.Side = typed
		d.Capture.Handled.Measures[trait] = r
	}
	return nil
}

// putHow keeps how a sign was looked at, beside what was seen.
func (d *Draft) putHow(sign, typed string) {
	signs := &d.handled().Signs
	if *signs == nil {
		*signs = map[string]record.Sign{}
	}
	s := (*signs)[sign]
	s.How = typed
	(*signs)[sign] = s
}

// putReading reads one measure as [record.ParseReading] does.
func putReading(into *map[string]record.Reading, trait, typed string) error {
	r, err := record.ParseReading(typed)
	if err != nil {
		return err
	}
	if *into == nil {
		*into = map[string]record.Reading{}
	}
	(*into)[trait] = r
	return nil
}

func putSign(into *map[string]record.Sign, sign, typed string) {
	if *into == nil {
		*into = map[string]record.Sign{}
	}
	if state, why, ok := record.ParseState(typed); ok && !strings.EqualFold(typed, "no") && !strings.EqualFold(typed, "none") {
		(*into)[sign] = record.Sign{State: state, Why: why}
		return
	}
	(*into)[sign] = record.Sign{Value: typed, How: (*into)[sign].How}
}

func (d *Draft) putWeighing(part, typed string) error {
	if part == "tared" {
		return nil // how a bare weight is to be taken; what it came to stands beside
	}
	w := d.weighing()
	to := map[string]**record.Quantity{"gross": &w.Gross, "bag": &w.Bag, "bag_after": &w.BagAfter, "net": &w.Net}[part]
	if to == nil {
		return fmt.Errorf("%q is no part of a weighing; expected gross, bag, bag_after or net", part)
	}
	if typed == "" {
		return nil
	}
	if state, why, ok := record.ParseState(typed); ok && part == "net" {
		if d.handled().Measures == nil {
			d.handled().Measures = map[string]record.Reading{}
		}
		d.handled().Measures["mass"] = record.Reading{State: state, Why: why}
		return nil
	}
	q, err := record.ParseQuantity(strings.TrimSpace(strings.Trim(strings.ToLower(typed), "~g")))
	if err != nil {
		return err
	}
	q.Typed = typed
	*to = &q
	return nil
}

func (d *Draft) putReleased(part, typed string) error {
	r := d.released()
	switch part {
	case "fate":
		if typed == "" {
			return nil
		}
		return putOneOf(&r.Fate, typed, fates)
	case "where":
		r.Where = typed
	case "with_young":
		r.WithYoung = typed
	case "pouch": // beside how the young went; the two are one when the draft is finished
	case "behaviour":
		r.Behaviour = typed
	case "why":
		r.Why = typed
	default:
		return fmt.Errorf("%q is no part of a release", part)
	}
	return nil
}

// entry finds the n-th of a list whose entries are numbered from 1 by their
// steps; an entry that was taken away is empty and goes at the end.
func entry[T any](list *[]T, number string) (*T, error) {
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > 99 {
		return nil, fmt.Errorf("%q is not a place in a list; expected 1 to 99", number)
	}
	for len(*list) < n {
		var empty T
		*list = append(*list, empty)
	}
	return &(*list)[n-1], nil
}

// putMark reads marks/N/KIND/HOW, the text as read, and marks/N/act, part, side.
func (d *Draft) putMark(rest, typed string) error {
	words := strings.SplitN(rest, "/", 3)
	m, err := entry(&d.handled().Marks, words[0])
	if err != nil {
		return err
	}
	switch {
	case len(words) == 3:
		m.Kind, m.How, m.Text = words[1], words[2], typed
	case len(words) == 2 && words[1] == "act" && typed == "read":
		m.Act = record.MarkRead
	case len(words) == 2 && words[1] == "act":
		return putOneOf(&m.Act, typed, markActs)
	case len(words) == 2 && words[1] == "side":
		m.Side = typed
	case len(words) == 2 && words[1] == "how":
		m.How = strings.TrimPrefix(m.How+", "+typed, ", ")
	case len(words) == 2 && words[1] == "unread":
		return errors.New(unreadMark(typed))
	default:
		return fmt.Errorf("marks/%s is no part of a mark", rest)
	}
	return nil
}

// putSample reads samples/N/KIND, the label, and samples/N/side, part,
// amount, medium.
func (d *Draft) putSample(rest, typed string, s record.Step) error {
	number, part, _ := strings.Cut(rest, "/")
	to, err := entry(&d.handled().Samples, number)
	if err != nil {
		return err
	}
	switch part {
	case "side":
		to.Side = typed
	case "part":
		to.Part = typed
	case "amount":
		to.Amount = typed
	case "medium":
		to.Medium = typed
	default:
		to.Kind, to.Label, to.By, to.At = part, typed, s.By, s.At
	}
	return nil
}

// putFinding reads findings/PART/SIDE/SIGN: a count, a class, a grade, "none
// seen" or "nc" and why; and findings/PART/SIDE/SIGN/notes. A part or side that
// was not said is "-".
func (d *Draft) putFinding(rest, typed string) error {
	words := strings.Split(rest, "/")
	if len(words) == 4 && words[3] == "notes" {
		d.noteFinding(words, typed)
		return nil
	}
	if len(words) != 3 {
		return fmt.Errorf("findings/%s: expected part, side and sign", rest)
	}
	if typed == "" {
		return nil
	}
	f := record.Finding{Part: strings.Trim(words[0], "-"), Side: strings.Trim(words[1], "-"), Sign: words[2]}
	if state, why, ok := record.ParseState(typed); ok {
		f.State, f.Why = state, why
	} else if n, err := strconv.Atoi(strings.TrimPrefix(typed, "~")); err == nil && n >= 0 {
		f.Count = &n
		if strings.HasPrefix(typed, "~") {
			f.Notes = "about"
		}
	} else if typed != "seen" {
		f.Grade = typed
		f.Low, f.High = bounds(typed)
	}
	d.handled().Findings = append(d.handled().Findings, f)
	return nil
}

// bounds are those of a count that was told as "3–5" or "3+"; none otherwise.
func bounds(typed string) (low, high *int) {
	first, rest, ranged := strings.Cut(typed, "–")
	least, open := strings.CutSuffix(first, "+")
	from, err := strconv.Atoi(least)
	if err != nil || ranged == open {
		return nil, nil
	}
	if open {
		return &from, nil
	}
	to, err := strconv.Atoi(rest)
	if err != nil || to < from {
		return nil, nil
	}
	return &from, &to
}

func (d *Draft) noteFinding(words []string, typed string) {
	for i := range d.handled().Findings {
		if f := &d.Capture.Handled.Findings[i]; f.Part == strings.Trim(words[0], "-") && f.Side == strings.Trim(words[1], "-") && f.Sign == words[2] {
			f.Notes = typed
		}
	}
}

// putIncident reads incidents/N/KIND, what happened, and incidents/N/aid,
// outcome.
func (d *Draft) putIncident(rest, typed string, s record.Step) error {
	number, part, _ := strings.Cut(rest, "/")
	to, err := entry(&d.handled().Incidents, number)
	if err != nil {
		return err
	}
	if ask, ok := strings.CutPrefix(part, "said/"); ok {
		if to.Said == nil {
			to.Said = map[string]string{}
		}
		to.Said[ask] = typed
		return nil
	}
	switch part {
	case "aid":
		to.Aid = typed
	case "outcome":
		to.Outcome = typed
	default:
		to.Kind, to.Says, to.At = part, typed, s.At
	}
	return nil
}

// putYoung reads young/N, the young's id, and young/N/PART.
func (d *Draft) putYoung(rest, typed string) error {
	number, part, _ := strings.Cut(rest, "/")
	if d.rows[number] == nil {
		d.rows[number] = &record.Young{}
	}
	y := d.rows[number]
	kind, id, _ := strings.Cut(part, "/")
	switch {
	case part == "":
		young, err := uuid.Parse(typed)
		if err != nil && typed != "" {
			return fmt.Errorf("young %s: %q is no id", number, typed)
		}
		y.Young = young
	case typed == "":
	case kind == "measures":
		return putReading(&y.Measures, id, typed)
	case kind == "signs":
		putSign(&y.Signs, id, typed)
	case part == "sex":
		sex, err := readSex(typed)
		y.Sex = sex
		return err
	default:
		return putYoungWord(y, part, typed)
	}
	return nil
}

func putYoungWord(y *record.Young, part, typed string) error {
	words := map[string]*string{"attached": &y.Attached, "where": &y.Where, "teat": &y.Teat, "notes": &y.Notes}
	if words[part] == nil {
		return fmt.Errorf("%q is nothing said of a young", part)
	}
	*words[part] = typed
	return nil
}
