package call_test

import (
	"testing"

	"dawnround/call"
)

// BenchmarkRead is one phrase to its fields.
func BenchmarkRead(b *testing.B) {
	r, p := demo(b)
	sheet := &p.Species[0]
	for name, phrase := range map[string]string{
		"one_measurement":    "left pes one thirty-one point five",
		"whole_animal":       "trap K six, recap female, adult, chip ends double oh seven, gross thirty-four sixty, bag one ten, pouch one young, pink, on, crown rump thirty-one, pes one thirty-one four, tail four twelve, head ninety-six two, ear fifty-five, ticks left ear four, right ear none, biopsy right ear, tube B oh one seven, condition good, let go at the trap",
		"chatter":            "mind the edge there, two hundred metres back to the boat and not a cloud, my knees are eighty years old",
		"shorthand_on_paper": "T 412 P 131.4 HL 96.2 W 3460-110",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if h := r.Read(phrase, sheet, call.Given{Stage: "adult"}); len(h.Words) == 0 {
					b.Fatal("nothing read")
				}
			}
		})
	}
}

// BenchmarkNew is the vocabulary of a whole programme.
func BenchmarkNew(b *testing.B) {
	_, p := demo(b)
	for b.Loop() {
		if call.New(p) == nil {
			b.Fatal("no reader")
		}
	}
}
