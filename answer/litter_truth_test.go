package answer_test

import (
	"testing"

	"dawnround/answer"
	"dawnround/demo"
	"dawnround/growth"

	"github.com/google/uuid"
)

// TestLittersAgainstTheTruth holds litters against who really was born when,
// over 12 seeds: the young of a litter are of one birth, within its window, and a
// litter called lost for certain was lost. Trips half a year apart seldom allow
// that; the figures are told all the same.
func TestLittersAgainstTheTruth(t *testing.T) {
	t.Parallel()
	litters, mixed, outside, lost, wrong := 0, 0, 0, 0, 0
	for seed := range uint64(12) {
		r, truth := demoOf(t, seed+1)
		rows := map[uuid.UUID]demo.Animal{}
		for _, a := range truth.Animals {
			if a.Row != (uuid.UUID{}) && a.Told == "" {
				rows[a.Row] = a
			}
		}
		for species, life := range map[string]*growth.PouchLife{"RW": {Exit: []float64{190, 201}, Source: "invented"}, "NB": nil} {
			for _, l := range answer.HowBreeding(r, answer.Which{Species: species}, life).Litters {
				var of []demo.Animal
				for _, y := range l.Young {
					if a, ok := rows[y]; ok {
						of = append(of, a)
					}
				}
				if len(of) == 0 {
					continue // told by hand, or by milk alone
				}
				litters++
				for _, a := range of {
					if a.Born != of[0].Born {
						mixed++
						break
					}
				}
				if l.By.Before(of[0].Born) || !l.After.IsZero() && of[0].Born.Before(l.After) {
					outside++
				}
				if l.Lost == answer.LostCertain && l.Fate == "lost" {
					lost++
					for _, a := range of {
						if a.How == "" {
							wrong++
							break
						}
					}
				}
			}
		}
	}
	t.Logf("12 seeds: %d litters, %d of more than one birth, %d born outside their window; %d lost for certain, %d of them not lost", litters, mixed, outside, lost, wrong)
	if litters < 500 || mixed > 0 || outside > litters/200 || wrong > 0 {
		t.Errorf("%d litters, %d mixed, %d outside their window, %d of %d losses wrong", litters, mixed, outside, wrong, lost)
	}
}
