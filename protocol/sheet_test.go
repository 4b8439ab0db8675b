package protocol

import (
	"testing"

	"dawnround/record"
)

func TestSheetIsFoundByWhatPeopleCallIt(t *testing.T) {
	t.Parallel()
	p := parsed(t, small)
	for word, code := range map[string]string{"RW": "RW", "rw": "RW", "Wallaby": "RW", "rock-wallaby": "RW", "bb": "BB", "BANDICOOT": "BB", "": "", "rat": ""} {
		s, ok := p.Sheet(word)
		if ok != (code != "") || ok && s.Code != code {
			t.Errorf("%q: got %v, %v, want %q", word, s, ok, code)
		}
	}
}

// A code as it is written wins over another species' alias in other letters.
func TestCodeComesBeforeAlias(t *testing.T) {
	t.Parallel()
	p := &Protocol{Species: []Sheet{{Code: "A", Aliases: []string{"b"}}, {Code: "B"}}}
	if s, _ := p.Sheet("B"); s.Code != "B" {
		t.Errorf("got %s, want B", s.Code)
	}
}

func TestSheetTakesWhatItDoesNotSay(t *testing.T) {
	t.Parallel()
	p := parsed(t, small)
	s, _ := p.Sheet("BB")
	if len(s.Traits) != 3 || len(s.Signs) != 1 || len(s.Stages) != 2 || len(s.Order) != 5 || len(s.Required) != 1 {
		t.Errorf("something was not taken over: %+v", s)
	}
	if s.Retrap == nil || len(s.Retrap) != 0 {
		t.Errorf("retrap order %v, want the empty one it says", s.Retrap)
	}
	if s.Name != "bandicoot" || len(s.Aliases) != 0 {
		t.Errorf("name %q and aliases %v were taken over", s.Name, s.Aliases)
	}
}

func TestStageRankFollowsTheLife(t *testing.T) {
	t.Parallel()
	s, _ := parsed(t, small).Sheet("RW")
	for stage, rank := range map[string]int{"juvenile": 0, "adult": 1, "": -1, "old": -1} {
		if got := s.StageRank(stage); got != rank {
			t.Errorf("%q: got %d, want %d", stage, got, rank)
		}
	}
}

func TestYoungTraitsStandApart(t *testing.T) {
	t.Parallel()
	s, _ := readOwn(t, own[1]).Sheet("RW")
	pes, _ := s.Trait("pes")
	young, _ := s.YoungTrait("pes")
	if pes.Of == OfYoung || young.Of != OfYoung {
		t.Errorf("pes of %q and of %q", pes.Of, young.Of)
	}
	if rump, ok := s.Trait("crown-rump"); !ok || rump.Of != OfYoung {
		t.Error("a trait of the young only is not found")
	}
	if tail, ok := s.YoungTrait("tail"); !ok || tail.Of == OfYoung {
		t.Error("a trait of grown animals only is not found")
	}
	if _, ok := s.Trait("wing"); ok {
		t.Error("a wallaby has no wing")
	}
	if fur, ok := s.Sign("fur"); !ok || fur.Of != OfYoung || !fur.Ordered {
		t.Errorf("fur of the young: %+v", fur)
	}
	if pouch, ok := s.YoungSign("pouch"); !ok || pouch.Of == OfYoung {
		t.Error("a sign of grown animals only is not found")
	}
}

func TestMostSpecificRangeWins(t *testing.T) {
	t.Parallel()
	p := &Protocol{Species: []Sheet{{
		Stages: []Stage{{ID: "pouch young", Young: true}, {ID: "juvenile"}, {ID: "adult", Adult: true}},
		Traits: []Trait{
			{ID: "pes", Ranges: []Range{{From: 1}, {From: 2, Sex: "male"}, {From: 3, Stage: "adult"}, {From: 4, Sex: "male", Stage: "adult"}}},
			{ID: "pes", Of: OfYoung, Ranges: []Range{{From: 5}}},
			{ID: "tail", Ranges: []Range{{From: 6, Stage: "adult"}}},
		},
	}}}
	s := &p.Species[0]
	cases := []struct {
		trait string
		sex   record.Sex
		stage string
		from  float64 // 0: none
	}{
		{"pes", record.SexUnknown, "", 1},
		{"pes", record.Female, "juvenile", 1},
		{"pes", record.Male, "juvenile", 2},
		{"pes", record.Male, "", 2},
		{"pes", record.Unsexed, "adult", 3},
		{"pes", record.Female, "adult", 3},
		{"pes", record.Male, "adult", 4},
		{"pes", record.Male, "pouch young", 5},
		{"tail", record.Male, "adult", 6},
		{"tail", record.Male, "", 0},
		{"wing", record.Male, "adult", 0},
	}
	for _, c := range cases {
		r, ok := s.Range(c.trait, c.sex, c.stage)
		if r.From != c.from || ok != (c.from != 0) {
			t.Errorf("%s of %q %q: got %v, %v, want %v", c.trait, c.sex, c.stage, r.From, ok, c.from)
		}
	}
}
