package trapside

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/record"

	"github.com/google/uuid"
)

// Draft is what the steps of one capture say, before it is kept.
type Draft struct {
	Capture record.Capture
	Wrong   map[string]string        // by field: why its words could not be read; they stay among the steps
	Said    map[string]string        // by field: the words that stand
	Struck  map[string][]string      // by field: the words that stood there before, oldest first
	Acts    map[string]string        // by flag's key: shown or kept
	Asked   string                   // the tail whose bearers are to be chosen from; empty: none
	Doubts  []Doubt                  // questions that nobody has answered, oldest first
	Steps   []record.Step            // all of them
	rows    map[string]*record.Young // by row number

	blind bool // what is read now is read while last time is hidden
}

// Fold reads a draft's steps. A later step on a field strikes the earlier one;
// a step that is itself struck takes back what [record.Standing] says, and what
// stood before stands again. No step is ever left out of Steps. Phrases do not
// strike one another.
func Fold(capture uuid.UUID, steps []record.Step) Draft {
	d := Draft{
		Capture: record.Capture{Capture: capture}, Steps: steps,
		Wrong: map[string]string{}, Said: map[string]string{}, Struck: map[string][]string{}, Acts: map[string]string{},
		rows: map[string]*record.Young{},
	}
	standing := record.Standing(steps)
	last := map[string]int{}
	for _, i := range standing {
		last[steps[i].Field] = i
	}
	for i, s := range steps {
		if j, ok := last[s.Field]; !s.Struck && s.Typed != "" && s.Field != record.Said && (!ok || i != j) {
			d.Struck[s.Field] = append(d.Struck[s.Field], s.Typed)
		}
	}
	for _, i := range standing {
		if s := steps[i]; s.Field == "blind" {
			d.blind = s.Typed == "yes"
		}
		if s := steps[i]; last[s.Field] == i && s.Field != record.Said {
			d.Said[s.Field] = s.Typed
			d.read(s)
		}
	}
	d.doubts(standing, last)
	return d
}

// Undo is the step that takes back the last one that stands, or the last phrase
// with all that it gave; false where nothing does. What was done about a flag is
// not taken back, for it was shown; nor is what only orders the card and says
// nothing of the animal.
func Undo(steps []record.Step) (record.Step, bool) {
	stand := record.Standing(steps)
	for k := len(stand) - 1; k >= 0; k-- {
		switch s := steps[stand[k]]; {
		case s.Phrase > 0:
			i := slices.IndexFunc(steps, func(p record.Step) bool { return p.Field == record.Said && p.Phrase == s.Phrase })
			if i < 0 {
				i = stand[k]
			}
			return record.Step{Field: record.Said, Typed: steps[i].Typed, Struck: true, Phrase: s.Phrase}, true
		case !strings.HasPrefix(s.Field, "flags/") && !slices.Contains([]string{"brief", "blind", "done"}, s.Field):
			return record.Step{Field: s.Field, Typed: s.Typed, Struck: true}, true
		}
	}
	return record.Step{}, false
}

// read takes one step that stands into the capture.
func (d *Draft) read(s record.Step) {
	if err := d.put(s.Field, strings.TrimSpace(s.Typed), s); err != nil {
		d.Wrong[s.Field] = err.Error()
		if !strings.Contains(err.Error(), s.Typed) {
			d.Wrong[s.Field] = fmt.Sprintf("read as %q: %v", page.Short(s.Typed), err)
		}
	}
}

// handled is the processing, begun with the first step that says anything of it.
func (d *Draft) handled() *record.Handled {
	if d.Capture.Handled == nil {
		d.Capture.Handled = &record.Handled{}
	}
	return d.Capture.Handled
}

func (d *Draft) released() *record.Released {
	if d.Capture.Released == nil {
		d.Capture.Released = &record.Released{}
	}
	return d.Capture.Released
}

func (d *Draft) weighing() *record.Weighing {
	h := d.handled()
	if h.Weighing == nil {
		h.Weighing = &record.Weighing{}
	}
	return h.Weighing
}
