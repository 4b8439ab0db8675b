package desk

import (
	"encoding/json"
	"net/url"
	"testing"
	"time"

	"dawnround/record"
	"dawnround/register"
)

// Whatever is typed into a form is refused with a reason, or becomes a value
// that its form shows again in the same sense.
func FuzzFieldTyped(f *testing.F) {
	for _, typed := range []string{"61.8", "none seen", "not checked: wriggling", "2026-05-14 05:40", "2026-05-13", "yes", "K1, K2", "-3", "1e9", "female", "9999999999.9999"} {
		f.Add(typed)
	}
	w := wordsOf(register.New(), time.Date(2026, 5, 14, 18, 0, 0, 0, time.UTC))
	r := &reader{words: w, sheet: w.sheet("")}
	kinds := []any{
		record.Reading{}, record.Quantity{}, record.Sign{}, record.Night{}, time.Time{}, []string{}, false, 0, 0.0, "",
	}
	f.Fuzz(func(t *testing.T, typed string) {
		for _, was := range kinds {
			value, err := w.parse(Field{Label: "value", was: was}, typed)
			if err != nil || value == nil {
				continue
			}
			first, again := r.shown(t, value), ""
			if next, err := w.parse(Field{Label: "value", was: value}, first); err != nil {
				t.Fatalf("%T: %q is shown as %q, which is refused: %v", was, typed, first, err)
			} else if next != nil {
				again = r.shown(t, next)
			}
			if first != again {
				t.Fatalf("%T: %q is shown as %q and then as %q", was, typed, first, again)
			}
		}
	})
}

func (r *reader) shown(t *testing.T, value any) string {
	t.Helper()
	if _, err := json.Marshal(value); err != nil {
		t.Fatalf("%v cannot be kept: %v", value, err)
	}
	_, typed := r.text("", value)
	return typed
}

// A question in an address is read without surprise, and its other pages ask
// the same.
func FuzzFind(f *testing.F) {
	f.Add("mark=311&sex=female&since=2026-05-13&page=2")
	f.Add("page=-1&since=yesterday&mark=%E2%80%A6")
	f.Fuzz(func(t *testing.T, query string) {
		q, err := url.ParseQuery(query)
		if err != nil {
			return
		}
		find, _ := readFind(q)
		u, err := url.Parse(find.at(find.Page))
		if err != nil {
			t.Fatal(err)
		}
		if again, wrong := readFind(u.Query()); again != find || wrong != "" {
			t.Fatalf("%q: %+v becomes %+v %s", query, find, again, wrong)
		}
	})
}
