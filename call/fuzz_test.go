package call_test

import (
	"testing"

	"dawnround/call"
)

// maxSteps bounds the work on a phrase by its words, of which at most 180 are
// read. A step took 12 to 13 ns on a machine shared by eight
// (BenchmarkRead_longest prints it), so that the
// bound stays below 10 ms. Steps are counted and not time, so that a busy
// machine fails no test.
func maxSteps(words int) int { return 20000 + 3600*words }

func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		"head seventy-one point eight, scrap that, seventy-eight one", "W 3460-120=3340 T 412 P 131.4", "two young, no, one, pink, on, CR 31",
		"ticks left ear six, right none; chip ends double oh seven?", "all the K line empty except K four, quail", "wait won ate buy too",
		"♀ – N/C \"x\" 5:52 1,460 74⸍6 o'clock didn't", "swap those, do it again, leave the head, not one fifty", "half a kilo and a half point point oh oh",
	} {
		f.Add(seed, uint8(0))
	}
	r, p := demo(f)
	orders := []string{"weighing/gross", "weighing/bag", "measures/pes", "signs/pouch", "measures/head"}
	f.Fuzz(func(t *testing.T, phrase string, scene uint8) {
		g := call.Given{Stage: "adult", Source: []string{"", call.Dictated, call.Typed, call.Paper}[scene&3]}
		if scene&4 != 0 {
			g.Order = orders
		}
		if scene&8 != 0 {
			g.SoFar = []call.Known{{At: "measures/head", Value: "90.2"}, {At: "measures/tail", Value: "412"}}
			g.ReadBack = g.SoFar[1:]
		}
		if scene&16 != 0 {
			g.Asked, g.FullNumber = "marks/transponder/text", true
		}
		if scene&32 != 0 {
			g.Speaker, g.NotTared = call.Both, true
		}
		sheet := &p.Species[int(scene>>6)%2]
		h := r.Read(phrase, sheet, g)
		joined := ""
		for _, w := range h.Words {
			joined += w.Text
		}
		if joined != phrase {
			t.Errorf("joined %q, said %q", joined, phrase)
		}
		if steps, words := call.Steps(r, phrase, sheet, g); steps > maxSteps(words) {
			t.Errorf("%d steps for %d words", steps, words)
		}
	})
}
