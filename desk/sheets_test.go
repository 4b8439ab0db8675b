package desk

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"dawnround/record"
	"dawnround/register"
)

// TestPaperFollowsTheCallingOrder: a blank form has a place for everything that
// is called, in the order in which it is called.
func TestPaperFollowsTheCallingOrder(t *testing.T) {
	t.Parallel()
	s := newSeason()
	s.View(func(r *register.Register) {
		w := wordsOf(r, s.now)
		for _, sheet := range r.Protocol().Species {
			if sheet.Bycatch {
				continue
			}
			form := w.formOf(&sheet, "", nil)
			at := -1
			for _, word := range sheet.CallingOrder() {
				if word == "species" || word == "young" {
					continue
				}
				row, ok := w.paperRow(&sheet, word, "")
				if !ok {
					t.Errorf("%s: no row for %q", sheet.Code, word)
					continue
				}
				i := slices.IndexFunc(form.Rows, func(p PaperRow) bool { return p.Name == row.Name })
				if i <= at {
					t.Errorf("%s: %q stands at %d, after %d", sheet.Code, word, i, at)
				}
				at = i
				if len(row.Blanks)+len(row.Ring) == 0 {
					t.Errorf("%s: nothing can be written for %q", sheet.Code, word)
				}
			}
			if slices.Contains(sheet.CallingOrder(), "young") != (form.Young != nil) {
				t.Errorf("%s: young table %v", sheet.Code, form.Young)
			}
		}
	})
}

// TestPaperIsFilledForThoseKnown: a form for each animal last seen alive at the
// site, with what was read last, and without the other sex's rows.
func TestPaperIsFilledForThoseKnown(t *testing.T) {
	t.Parallel()
	b := open(t)
	var want []string
	b.s.View(func(r *register.Register) {
		w := wordsOf(r, b.s.now)
		sheets := w.sheets(AskSheets{Filled: true})
		for _, form := range sheets.Known {
			want = append(want, form.Name)
			a, _ := r.Animal(form.Animal)
			last := a.Captures[len(a.Captures)-1]
			if last.At.Site != sheets.Ask.Site {
				t.Errorf("%s was last seen at %s, not %s", form.Name, last.At.Site, sheets.Ask.Site)
			}
			if last.Released != nil && last.Released.Fate.Ends() {
				t.Errorf("%s is dead", form.Name)
			}
			if last.Handled == nil {
				continue
			}
			if last.Handled.Sex == record.Male && slices.ContainsFunc(form.Rows, func(p PaperRow) bool { return p.Name == "pouch" }) {
				t.Errorf("%s is a male and has a row for the pouch", form.Name)
			}
			mass, ok := last.Handled.MassMilli()
			i := slices.IndexFunc(form.Rows, func(p PaperRow) bool { return p.Name == "weight" })
			if ok && !strings.HasPrefix(form.Rows[i].Last, fmt.Sprint(mass/1000)) {
				t.Errorf("%s weighed %d mg, the form says %q", form.Name, mass, form.Rows[i].Last)
			}
		}
	})
	if len(want) < 2 {
		t.Fatalf("only %d animals may be caught", len(want))
	}
	page := b.get("/sheets?filled=yes&blank=2")
	if got := len(page.All("section.form")); got != len(want)+2 {
		t.Errorf("%d forms, want %d filled and 2 blank", got, len(want))
	}
}

// TestPaperOfAnythingAsked: an address that asks for nonsense gets a page.
func TestPaperOfAnythingAsked(t *testing.T) {
	t.Parallel()
	b := open(t)
	for _, asked := range []string{"?blank=-3", "?blank=100000", "?blank=many", "?site=nowhere&filled=yes", "?trip=none", "?species=XX&filled=yes"} {
		if n := len(b.get("/sheets" + asked).All("section.form")); n > 2*mostForms {
			t.Errorf("%s: %d forms", asked, n)
		}
	}
}
