package trapside

import (
	"cmp"
	"fmt"
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"dawnround/mark"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// longestWait goes to the animal that has waited longest.
func (t *Trapside) longestWait(w http.ResponseWriter, r *http.Request) {
	p := RoundPage{}
	t.fillRound(&p, r.URL.Query())
	if len(p.Bags) == 0 {
		page.Go(w, r, page.Said("/round", "no animal is waiting"))
		return
	}
	page.Go(w, r, "/bench/"+p.Bags[0].ID.String())
}

func (t *Trapside) showBench(w http.ResponseWriter, r *http.Request) {
	if page.AskPen(w, r, r.URL.RequestURI()) {
		return
	}
	id, err := captureOf(r)
	c := Card{Frame: t.frame(r, "Bench", page.Round), ID: id}
	if err != nil || !t.fillCard(&c) {
		page.Refuse(w, r, http.StatusNotFound, "No such animal here", fmt.Sprintf("There is no capture %q in this notebook.", r.PathValue("capture")),
			"Go to the round and choose the animal from those waiting.")
		return
	}
	if c.Kept != nil {
		page.Answer(w, r, c, keptPage(c))
		return
	}
	c.Frame.Title = c.Trap + " " + c.Name
	t.tell(c.Frame.Who, c.where, c.Round, strings.TrimSpace(c.Trap+" "+c.Name))
	page.Answer(w, r, c, benchPage(c))
}

// fillCard makes the card as things stand now; false where there is no such
// capture.
func (t *Trapside) fillCard(c *Card) bool {
	now := t.local()
	t.mu.Lock()
	defer t.mu.Unlock()
	c.usual = t.usual
	found := false
	t.programme.View(func(r *register.Register) {
		kept, ok := r.Capture(c.ID)
		if found = ok; !ok {
			return
		}
		c.fill(r, Fold(c.ID, t.steps[c.ID]), now)
		c.Photos = t.photosOf(r, c.ID)
		c.offers(r, t.labelsInDrafts())
		c.Bags = t.bags(r, Where{Site: kept.At.Site, Night: kept.At.Night}, now)
		for i := range c.Bags {
			c.Bags[i].Current = c.Bags[i].ID == c.ID
			if !c.Bags[i].Current && c.Bags[i].Trap == c.Trap {
				c.Flags = append(c.Flags, Flag{Note: page.NoteOf("note", togetherSays)})
			}
		}
		if kept.Released != nil {
			c.kept(r, kept)
		}
	})
	return found
}

const togetherSays = "Another animal of this trap still waits. A mother and her dependent young are let go together."

// kept says what was kept of an animal that has left the hand.
func (c *Card) kept(r *register.Register, k *register.Capture) {
	c.Name = nameOf(r, k.ID())
	c.Kept = []string{fmt.Sprintf("%s %s at %s", c.Name, k.Released.Fate, page.Clock(k.Released.At.In(r.Zone())))}
	if h := k.Handled; h != nil {
		if net, ok := h.MassMilli(); ok {
			c.Kept = append(c.Kept, page.Grams(net))
		}
		if n := len(h.Steps); n > 0 {
			c.Kept = append(c.Kept, page.Count(n, "word or edit", "words and edits")+" kept with it")
		}
	}
	for _, line := range k.Lines {
		c.Lines = append(c.Lines, line.String())
	}
	c.Flags = nil
	for _, f := range c.usual.Kept(r, k.ID(), c.Frame.Now) {
		if !r.Settled(f) {
			c.Flags = append(c.Flags, Flag{Note: noteOf(f), Key: f.Key(), Field: f.Field})
		}
	}
}

// edit changes a draft: what change gives is written, one edit after another,
// and the card is shown again.
func (t *Trapside) edit(w http.ResponseWriter, r *http.Request, change func(steps []record.Step) ([]record.Step, error)) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	id, err := captureOf(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if err := t.open(id); err != nil {
		wrong(w, r, err)
		return
	}
	steps, err := change(t.steps[id])
	if err != nil {
		wrong(w, r, err)
		return
	}
	for i := range steps {
		steps[i].At, steps[i].By = t.now(), who
	}
	if err := t.add(id, steps...); err != nil {
		notKept(w, r, err)
		return
	}
	page.Go(w, r, "/bench/"+id.String()+anchor(r.FormValue("at")))
}

// open says why a capture cannot be written on, or nothing.
func (t *Trapside) open(id uuid.UUID) error {
	var known bool
	t.programme.View(func(r *register.Register) { _, known = r.Capture(id) })
	if !known {
		return fmt.Errorf("capture %s: no trap check has it; begin with the trap on the round", id)
	}
	if t.released(id) {
		return errGone
	}
	return nil
}

var plainAnchor = regexp.MustCompile(`^[\w-]{1,80}$`)

// anchor brings the browser back to the row it came from.
func anchor(at string) string {
	if !plainAnchor.MatchString(at) {
		return ""
	}
	return "#" + at
}

// longestField is the most bytes of a field's address.
const longestField = 120

// heads are the first words of the fields a person may write in.
var heads = []string{"species", "sex", "stage", "status", "handler", "notes", "brief", "measures", "signs", "weighing", "marks", "samples", "findings", "incidents", "young", "released", "flags", "asked", "done", "scan", "source", "blind"}

// writeIn takes what was typed or chosen in one field.
func (t *Trapside) writeIn(w http.ResponseWriter, r *http.Request) {
	t.edit(w, r, func(steps []record.Step) ([]record.Step, error) {
		field, typed := r.FormValue("field"), r.FormValue("typed")
		head, _, _ := strings.Cut(field, "/")
		if !slices.Contains(heads, head) || len(field) > longestField {
			return nil, fmt.Errorf("field %q: the card has no such row", field)
		}
		if slices.Contains([]string{"measures", "weighing"}, head) && mark.LooksRead(typed) {
			return t.understood(steps, typed, "scanned", "", record.MarkRead) // a reader fired into the wrong field
		}
		field = numbered(steps, field)
		if said, ok := Fold(uuid.Nil, steps).Said[field]; said == typed && (ok || typed == "") && head != "done" {
			return nil, nil // nothing new was said
		}
		return []record.Step{{Field: field, Typed: typed}}, nil
	})
}

// numbered puts the next free number where a field has "+", so that two tabs
// never write one entry over another: "marks/+/tag/typed".
func numbered(steps []record.Step, field string) string {
	head, rest, found := strings.Cut(field, "/+")
	if !found {
		return field
	}
	return head + "/" + strconv.Itoa(next(steps, head)) + rest
}

// next is the first number no step of a list has used.
func next(steps []record.Step, list string) int {
	most := 0
	for _, s := range steps {
		if rest, ok := strings.CutPrefix(strings.TrimPrefix(s.Field, "doubts/"), list+"/"); ok {
			number, _, _ := strings.Cut(rest, "/")
			if n, err := strconv.Atoi(number); err == nil {
				most = max(most, n)
			}
		}
	}
	return most + 1
}

// undo takes back what was written last. Of a phrase it takes back all, on
// whichever animal, and strikes the lines that it wrote.
func (t *Trapside) undo(w http.ResponseWriter, r *http.Request) {
	t.edit(w, r, func(steps []record.Step) ([]record.Step, error) {
		s, ok := Undo(steps)
		if !ok {
			return nil, nil
		}
		if s.Phrase > 0 {
			if err := t.undoElsewhere(page.Who(r), steps, s.Phrase); err != nil {
				return nil, err
			}
		}
		return []record.Step{s}, nil
	})
}

// undoElsewhere takes back what a phrase wrote beside the draft it was said in.
func (t *Trapside) undoElsewhere(who string, steps []record.Step, phrase int) error {
	for _, i := range record.Standing(steps) {
		s := steps[i]
		if s.Phrase != phrase || !strings.HasPrefix(s.Field, "other/") {
			continue
		}
		of, err := uuid.Parse(s.Field[strings.LastIndex(s.Field, "/")+1:])
		if err != nil {
			return err
		}
		if strings.HasPrefix(s.Field, "other/line/") {
			if _, err := t.programme.Keep(who, t.now(), record.Strike{Line: of, Why: "undone: " + phraseOf(steps, phrase)}); err != nil {
				return err
			}
			continue
		}
		n, err := strconv.Atoi(s.Typed)
		if err != nil || t.released(of) {
			continue
		}
		struck := record.Step{Field: record.Said, Typed: phraseOf(t.steps[of], n), Struck: true, Phrase: n}
		if err := t.write(of, who, []record.Step{struck}); err != nil {
			return err
		}
	}
	return nil
}

// finding writes a part, side and sign with its count, class, grade or state.
func (t *Trapside) finding(w http.ResponseWriter, r *http.Request) {
	t.edit(w, r, func([]record.Step) ([]record.Step, error) {
		part, side, sign := r.FormValue("part"), r.FormValue("side"), r.FormValue("sign")
		typed := strings.TrimSpace(r.FormValue("value"))
		if state := r.FormValue("state"); state != "" {
			typed = strings.TrimSpace(state + " " + typed)
		}
		switch {
		case part == "":
			return nil, fmt.Errorf("no part of the body was named; choose where you looked")
		case typed == "" && sign == "":
			return nil, fmt.Errorf("%s: nothing was said; choose a sign, or none seen, or not checked", part)
		case typed == "":
			typed = "seen"
		case strings.HasPrefix(typed, "none seen"):
			typed = "none seen"
		}
		return []record.Step{{Field: "findings/" + part + "/" + named(side, "-") + "/" + sign, Typed: typed}}, nil
	})
}

// addYoung adds a row for a young of hers: one of last time, or one not met
// before.
func (t *Trapside) addYoung(w http.ResponseWriter, r *http.Request) {
	t.edit(w, r, func(steps []record.Step) ([]record.Step, error) {
		id := newID()
		if same := r.FormValue("same"); same != "" {
			var err error
			if id, err = uuid.Parse(same); err != nil {
				return nil, fmt.Errorf("young %q: not an id; choose one of last time's", same)
			}
		}
		return []record.Step{{Field: numbered(steps, "young/+"), Typed: id.String()}}, nil
	})
}

// bag writes the animal into a bag; it is a line at once.
func (t *Trapside) bag(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	id, err := captureOf(r)
	if err == nil {
		err = t.open(id)
	}
	line, wrongBag := t.bagLine(r, id)
	if err = cmp.Or(err, wrongBag); err != nil {
		wrong(w, r, err)
		return
	}
	t.keepLines(w, r, who, afterBag(r, id), line)
}
