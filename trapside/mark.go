package trapside

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"dawnround/mark"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// readMark takes a mark that was scanned or typed, whole or by its tail, put
// on, or chosen among candidates.
func (t *Trapside) readMark(w http.ResponseWriter, r *http.Request) {
	t.edit(w, r, func(steps []record.Step) ([]record.Step, error) {
		text := strings.TrimSpace(r.FormValue("text"))
		if text == "" {
			return nil, nil
		}
		how := named(r.FormValue("how"), "typed")
		if strings.Contains(how, "/") {
			return nil, fmt.Errorf("how %q: expected scanned, typed or the tail that was called", how)
		}
		out, err := t.understood(steps, text, how, r.FormValue("kind"), record.MarkAct(r.FormValue("act")))
		if err != nil {
			return nil, err
		}
		if old := r.FormValue("instead"); old != "" && len(out) > 0 {
			out = append([]record.Step{{Field: old, Typed: ""}}, out...)
		}
		return out, nil
	})
}

// understood is [understand] with the register as it stands.
// It refuses a text longer than any mark.
func (t *Trapside) understood(steps []record.Step, text, how, kind string, act record.MarkAct) (out []record.Step, err error) {
	if n := len([]rune(text)); n > longestMark {
		return nil, fmt.Errorf("mark %q: %d characters, and no mark has more than %d; read it again", page.Short(text), n, longestMark)
	}
	t.programme.View(func(r *register.Register) { out = understand(r, steps, text, how, kind, act) })
	return out, nil
}

// longestMark is the most characters of a mark: a reader's longest line has
// fewer. Our own bound, no source.
const longestMark = 40

// understand says what a mark's text is taken for: a mark of a kind, a number
// no chip carries, or a tail whose bearers are asked for.
func understand(r *register.Register, steps []record.Step, text, how, kind string, act record.MarkAct) []record.Step {
	kind, tail := kindOf(r, text, kind)
	if tail {
		return []record.Step{{Field: "asked", Typed: text}}
	}
	var out []record.Step
	if Fold(uuid.Nil, steps).Asked != "" {
		out = append(out, record.Step{Field: "asked"})
	}
	number := fmt.Sprintf("marks/%d", next(steps, "marks"))
	if k, ok := r.Protocol().MarkKind(kind); ok && k.Form == protocol.Transponder {
		if _, err := mark.ParseTransponder(text); err != nil {
			return append(out, record.Step{Field: number + "/unread", Typed: text})
		}
	}
	out = append(out, record.Step{Field: number + "/" + kind + "/" + how, Typed: text})
	if act != record.MarkRead {
		out = append(out, record.Step{Field: number + "/act", Typed: string(act)})
	}
	return out
}

// kindOf tells the kind of a text: as said, as known, or a transponder's by
// its form. Anything else is a tail.
func kindOf(r *register.Register, text, said string) (kind string, tail bool) {
	if said != "" {
		return said, false
	}
	if known := r.MarksReading(text); len(known) == 1 {
		return known[0].Kind, false
	}
	t, err := mark.ParseTransponder(text)
	if mark.LooksRead(text) || err == nil && !t.Older {
		for _, k := range r.Protocol().Marks {
			if k.Form == protocol.Transponder {
				return k.ID, false
			}
		}
	}
	return "", true
}

// marks lists the marks on the card, whose they are, and who else it may be.
func (k *cardOf) marks() {
	k.card.Asked = k.d.Asked
	k.card.Scan = []page.Option{{Value: "none found", Says: "no chip found"}, {Value: "nc", Says: "not looked for"}}
	choose(k.card.Scan, k.d.Said["scan"])
	for _, s := range sortedNumbers(k.d.Said) {
		parts := strings.SplitN(s, "/", 4)
		switch {
		case parts[0] != "marks" || k.d.Said[s] == "":
		case len(parts) == 4:
			k.markRow(s, parts[1], parts[2], parts[3])
		case parts[2] == "unread":
			k.card.Marks = append(k.card.Marks, MarkRow{Number: parts[1], Text: k.d.Said[s], Field: s, Known: k.d.Wrong[s]})
		}
	}
	for _, m := range k.p.Marks {
		if k.sheet == nil || slices.Contains(k.sheet.Marks, m.ID) {
			k.card.Kinds = append(k.card.Kinds, page.Option{Value: m.ID, Says: named(m.Name, m.ID)})
		}
	}
	if k.d.Asked != "" {
		k.candidates()
	}
	if row := k.rowOf("marks"); row != nil {
		for _, m := range k.card.Marks {
			row.Struck = append(row.Struck, k.d.Struck[m.Field]...)
		}
	}
}

func (k *cardOf) markRow(field, number, kind, how string) {
	m := record.Mark{Kind: kind, Text: k.d.Said[field], How: how, Act: record.MarkAct(k.d.Said["marks/"+number+"/act"])}
	row := MarkRow{Number: number, Kind: kind, Text: m.Text, Act: string(m.Act), How: how, Field: field}
	if m.Act == "read" {
		m.Act, row.Act, row.Read = record.MarkRead, "", true
	}
	species := speciesSaid(k.d.Capture)
	key, _ := k.r.MarkKey(m, species)
	if id, ok := k.r.Bearer(key, m.Act, k.night()); ok {
		row.Known, row.Met = nameOf(k.r, id), true
	} else if m.Act == record.MarkRead {
		row.Known = "not known here"
		if row.Read {
			row.Known = "not known here, read on it"
		}
		k.near(field, m)
	}
	k.card.Marks = append(k.card.Marks, row)
}

func (k *cardOf) night() record.Night {
	if k.d.Capture.At == nil {
		return record.Night{}
	}
	return k.d.Capture.At.Night
}

// leastNear is the shortest text for which one slip is worth asking about: of
// a short one, too many are near.
const leastNear = 6

// near asks about marks one slip away from a text that nobody bears.
func (k *cardOf) near(field string, m record.Mark) {
	if len(m.Text) < leastNear {
		return
	}
	text := m.Text
	if t, err := mark.ParseTransponder(text); err == nil {
		text = t.Number
	}
	for _, key := range k.r.MarksNear(text) {
		if c, ok := k.candidate(key); ok {
			c.Near, c.Says = true, "one slip from "+m.Text+"; "+c.Says
			k.card.Pick = append(k.card.Pick, c)
		}
	}
}

// candidates are those whose marks end as asked, else those one slip away.
func (k *cardOf) candidates() {
	keys := k.r.MarksEnding(k.d.Asked)
	if len(keys) == 0 {
		keys = k.r.MarksNear(k.d.Asked)
	}
	for _, key := range keys {
		if c, ok := k.candidate(key); ok {
			k.card.Pick = append(k.card.Pick, c)
		}
	}
}

// candidate is the bearer of a mark with what tells it apart: sex, species,
// when last seen, last weight.
func (k *cardOf) candidate(key register.MarkKey) (Candidate, bool) {
	id, ok := k.r.Bearer(key, record.MarkRead, k.night())
	if !ok {
		return Candidate{}, false
	}
	a, _ := k.r.Animal(id)
	says := []string{named(string(sexOf(a, k.card.ID)), "sex not told")}
	if s, ok := k.p.Sheet(lastSpecies(a)); ok {
		says = append(says, s.Name)
	}
	if seen := seenWords(a, k.card.ID, k.now); seen != "" {
		says = append(says, seen)
	}
	if mass := lastMass(a, k.card.ID); mass != "" {
		says = append(says, mass)
	}
	return Candidate{Kind: key.Kind, Text: key.Text, Name: page.Tail(key.Text), Says: strings.Join(says, " · ")}, true
}

func lastMass(a *register.Animal, but uuid.UUID) string {
	for _, c := range slices.Backward(a.Captures) {
		if net, ok := c.Handled.MassMilli(); ok && c.ID() != but {
			return page.Grams(net)
		}
	}
	return ""
}

// offers are the kinds of sample with the next free label of their series.
func (c *Card) offers(r *register.Register, inDrafts map[string]bool) {
	for _, kind := range r.Protocol().Samples {
		o := Offer{Kind: kind.ID, Name: named(kind.Name, kind.ID), Medium: kind.Medium}
		for _, l := range r.Labels() {
			if o.Label == "" && (l.Sample == kind.ID || l.Sample == "") {
				o.Label = freeLabel(r, l.Series, inDrafts)
			}
		}
		c.Offers = append(c.Offers, o)
	}
}

// freeLabel is the first label of a series that no sample bears, kept or in a
// draft.
func freeLabel(r *register.Register, series string, inDrafts map[string]bool) string {
	s, err := mark.ParseSeries(series)
	if err != nil {
		return ""
	}
	for label, ok := s.Next(""); ok; label, ok = s.Next(label) {
		if !inDrafts[label] && len(r.LabelUse(label)) == 0 {
			return label
		}
	}
	return ""
}

// labelsInDrafts are the labels used in drafts that are still open.
func (t *Trapside) labelsInDrafts() map[string]bool {
	used := map[string]bool{}
	for id, steps := range t.steps {
		if !slices.ContainsFunc(steps, func(s record.Step) bool { return strings.HasPrefix(s.Field, "samples/") }) {
			continue
		}
		for field, said := range Fold(id, steps).Said {
			if strings.HasPrefix(field, "samples/") {
				used[said] = true
			}
		}
	}
	return used
}

func (k *cardOf) samples() {
	for _, field := range sortedNumbers(k.d.Said) {
		parts := strings.SplitN(field, "/", 3)
		if len(parts) != 3 || parts[0] != "samples" || k.d.Said[field] == "" || slices.Contains(sampleParts, parts[2]) {
			continue
		}
		row := SampleRow{Field: field, Kind: parts[2], Label: k.d.Said[field], At: "samples/" + parts[1] + "/", Sides: options("left", "right")}
		choose(row.Sides, k.d.Said[row.At+"side"])
		row.Medium = named(k.d.Said[row.At+"medium"], mediumOf(k.p, row.Kind))
		k.card.Samples = append(k.card.Samples, row)
	}
}

// sampleParts are what is said of a sample besides its kind and label.
var sampleParts = []string{"side", "part", "amount", "medium"}

// mediumOf is what a kind of sample is put into.
func mediumOf(p *protocol.Protocol, kind string) string {
	for _, k := range p.Samples {
		if k.ID == kind {
			return k.Medium
		}
	}
	return ""
}

func (k *cardOf) findings() {
	for _, field := range sortedNumbers(k.d.Said) {
		if strings.HasPrefix(field, "findings/") && strings.Count(field, "/") == 3 && k.d.Said[field] != "" {
			one := Fold(uuid.Nil, []record.Step{{Field: field, Typed: k.d.Said[field]}})
			classes(one.Capture.Handled.Findings, k.p)
			k.card.Findings = append(k.card.Findings, FindingRow{Field: field, Says: findingWords(one.Capture.Handled.Findings[0])})
		}
	}
	part, side, sign := k.lastFinding()
	for _, p := range k.p.Findings.Parts {
		k.card.Parts = append(k.card.Parts, page.Option{Value: p.ID, Says: named(p.Name, p.ID), On: p.ID == part})
	}
	for _, s := range k.p.Findings.Signs {
		k.card.Signs = append(k.card.Signs, page.Option{Value: s.ID, Says: named(s.Name, s.ID), On: s.ID == sign})
	}
	other := map[string]string{"left": "right", "right": "left"}[side]
	if k.d.Said["findings/"+part+"/"+other+"/"+sign] != "" {
		other = ""
	}
	k.card.Sides = []page.Option{{Says: "–"}, {Value: "left", Says: "left", On: other == "left"}, {Value: "right", Says: "right", On: other == "right"}}
}

// lastFinding is what the form keeps for the next side: part, side and sign of
// the finding just written; empty where something else was.
func (k *cardOf) lastFinding() (part, side, sign string) {
	if _, field := k.lastWritten(); strings.HasPrefix(field, "findings/") {
		if words := strings.Split(field, "/"); len(words) == 4 {
			return words[1], words[2], words[3]
		}
	}
	return "", "", ""
}

// young are the rows for her young, and last time's that no row names yet.
func (k *cardOf) young() {
	if k.sheet == nil {
		return
	}
	met := map[uuid.UUID]bool{}
	for _, n := range sortedNumbers(k.d.rows) {
		y := k.d.rows[n]
		if y.Young == uuid.Nil {
			continue
		}
		met[y.Young] = true
		k.card.Young = append(k.card.Young, k.youngRow(n, y.Young))
	}
	if k.animal == nil {
		return
	}
	last, ok := lastOf(k.animal, k.card.ID)
	if !ok || last.Handled == nil || k.night().Days(last.At.Night) > longestInPouch {
		return
	}
	for i, y := range last.Handled.Young {
		if !met[y.Young] {
			says := fmt.Sprintf("young %d of %s", i+1, last.At.Night.Noon(time.UTC).Format("2 Jan 2006"))
			k.card.Last = append(k.card.Last, LastYoung{Young: y.Young, Says: strings.TrimSuffix(says+", "+youngSays(y), ", ")})
		}
	}
}

// longestInPouch is the most nights after which a young of last time is still
// offered as the same: common practice, no source.
const longestInPouch = 120

// youngSays is what tells one young from another.
func youngSays(y record.Young) string {
	var said []string
	if y.Sex != "" {
		said = append(said, string(y.Sex))
	}
	for id, m := range y.Measures {
		said = append(said, id+" "+readingSays(m))
	}
	for id, s := range y.Signs {
		said = append(said, id+" "+s.Value)
	}
	slices.Sort(said)
	return strings.Join(said, ", ")
}

func (k *cardOf) youngRow(n string, id uuid.UUID) YoungRow {
	row := YoungRow{Number: n}
	at := "young/" + n + "/"
	if a, ok := k.r.Animal(id); ok && len(a.Rows) > 0 {
		row.Known = "known since " + a.Rows[0].Mother.At.Night.Words()
	}
	word := func(field, label string, values ...page.Option) {
		choose(values, k.d.Said[at+field])
		row.Words = append(row.Words, Row{Key: field, Label: label, Field: at + field, Values: values, Now: k.d.Said[at+field], Struck: k.d.Struck[at+field]})
	}
	word("attached", "attached", options("yes", "no")...)
	word("sex", "sex", options("female", "male", "not told")...)
	for i := range k.sheet.Traits {
		if t := &k.sheet.Traits[i]; t.Of == protocol.OfYoung {
			row.Inputs = append(row.Inputs, k.input(at+"measures/"+t.ID, named(t.Name, t.ID), t.Unit, t.Convention))
		}
	}
	for _, s := range k.sheet.Signs {
		if s.Of == protocol.OfYoung {
			var values []page.Option
			for _, v := range s.Values {
				values = append(values, page.Option{Value: v.ID, Says: named(v.Name, v.ID)})
			}
			word("signs/"+s.ID, named(s.Name, s.ID), values...)
		}
	}
	word("where", "where", options("in pouch", "at foot", "same trap", "neighbouring trap", "gone")...)
	return row
}

func options(values ...string) []page.Option {
	var out []page.Option
	for _, v := range values {
		out = append(out, page.Option{Value: v, Says: v})
	}
	return out
}
