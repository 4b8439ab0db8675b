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
	Steps   []record.Step            // all of them
	rows    map[string]*record.Young // by row number
}

// Fold reads a draft's steps. A later step on a field strikes the earlier one;
// a step that is itself struck takes back the last step of its field that
// stands, and what stood before stands again. No step is ever left out of
// Steps.
func Fold(capture uuid.UUID, steps []record.Step) Draft {
	d := Draft{
		Capture: record.Capture{Capture: capture}, Steps: steps,
		Wrong: map[string]string{}, Said: map[string]string{}, Struck: map[string][]string{}, Acts: map[string]string{},
		rows: map[string]*record.Young{},
	}
	standing := Standing(steps)
	last := map[string]int{}
	for _, i := range standing {
		last[steps[i].Field] = i
	}
	for i, s := range steps {
		if j, ok := last[s.Field]; !s.Struck && s.Typed != "" && (!ok || i != j) {
			d.Struck[s.Field] = append(d.Struck[s.Field], s.Typed)
		}
	}
	for _, i := range standing {
		if s := steps[i]; last[s.Field] == i {
			d.Said[s.Field] = s.Typed
			d.read(s)
		}
	}
	return d
}

// Standing gives the places of the steps that no undo took back, in order.
func Standing(steps []record.Step) []int {
	var stand []int
	for i, s := range steps {
		if !s.Struck {
			stand = append(stand, i)
			continue
		}
		for j := len(stand) - 1; j >= 0; j-- {
			if steps[stand[j]].Field == s.Field {
				stand = slices.Delete(stand, j, j+1)
				break
			}
		}
	}
	return stand
}

// Undo is the step that takes back the last one that stands; false where none
// does. What was done about a flag is not taken back, for it was shown; nor is
// what only orders the card and says nothing of the animal.
func Undo(steps []record.Step) (record.Step, bool) {
	stand := Standing(steps)
	for k := len(stand) - 1; k >= 0; k-- {
		if s := steps[stand[k]]; !strings.HasPrefix(s.Field, "flags/") && !slices.Contains([]string{"brief", "done"}, s.Field) {
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
