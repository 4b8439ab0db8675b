package score

import (
	"slices"
	"testing"
)

// TestTheBenchChecksWhatWasSaid: what the checks of the bench would have
// somebody look at is asked, whether or not the parser asked it.
func TestTheBenchChecksWhatWasSaid(t *testing.T) {
	t.Parallel()
	s, err := New()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		given, words string
		want         []string
	}{
		{`{"last_visit":{"pes_mm":99.8,"age_class":"adult","hours_ago":960}}`, "pes ninety-two point one", []string{"pes_mm"}},
		{`{"last_visit":{"pes_mm":99.8,"age_class":"adult","hours_ago":960}}`, "pes ninety-nine point one", nil},
		{`{"last_visit":{"weight_g":1200,"age_class":"adult","hours_ago":24}}`, "weight nine hundred", []string{"weight_g"}},
		{`{"last_visit":{"sex":"male","age_class":"adult","hours_ago":960}}`, "female", []string{"sex"}},
		{`{"last_visit":{"age_class":"adult","hours_ago":960}}`, "juvenile", []string{"age_class"}},
		{`{"last_visit":{"pes_mm":99.8,"age_class":"adult","hours_ago":960}}`, "tail one sixty", nil},
		{`{"so_far":{"pes_mm":60}}`, "tail one sixty", nil},
		{`{}`, "tail one sixty, head seventy-one, gross twelve hundred, bag ninety", nil},
		{`{"species":"placental_rodent"}`, "tail nine", nil},
	} {
		sc, err := readScene(c.given)
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.checked(sc, s.read(sc, c.words))
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s %q: the bench asks %v, wanted %v", c.given, c.words, got, c.want)
		}
	}
}
