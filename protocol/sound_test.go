package protocol_test

import (
	"os"
	"strings"
	"testing"

	"dawnround/protocol"
)

// TestWordsThatSoundAlike: each collision is told with the lines of both words
// and what to do.
func TestWordsThatSoundAlike(t *testing.T) {
	t.Parallel()
	file := func(traits string) string {
		return "name: Words (invented)\nzone: Australia/Perth\nspecies:\n  - code: W\n    name: worded\n    traits:\n" + traits
	}
	for _, c := range []struct{ name, traits, want string }{
		{"told apart", "      - {id: pes, unit: mm}\n      - {id: tail, unit: mm}\n", ""},
		{"sound the same", "      - {id: pes, unit: mm}\n      - {id: spread, unit: mm, aliases: [pose]}\n", `line 8: spread "pose" sounds like pes "pes" (line 7)`},
		{"a mishearing of the trade's table", "      - {id: head, unit: mm}\n      - {id: heart, unit: mm, aliases: [heard]}\n", `line 8: heart "heard" is heard for head "heard" (line 7)`},
		{"a mishearing of the sheet's own", "      - {id: girth, unit: mm, sounds like: [berth]}\n      - {id: width, unit: mm, aliases: [berth]}\n", `line 8: width "berth" is heard for girth "berth" (line 7)`},
		{"a number", "      - {id: pes, unit: mm}\n      - {id: fore, unit: mm}\n", `line 8: "fore" sounds like a number`},
		{"the young's own", "      - {id: head, unit: mm}\n      - {id: head, unit: mm, of: young}\n", ""},
		{"short for nothing", "      - {id: pes, unit: mm, aliases: [P]}\n      - {id: tail, unit: mm, aliases: [T]}\n", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			text := []byte(file(c.traits))
			if _, err := protocol.Parse("words.yaml", text); err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, p := range protocol.SoundAlikes("words.yaml", text) {
				got = append(got, strings.Replace("line #: ", "#", string(rune('0'+p.Line)), 1)+p.Says)
				if p.Mend == "" {
					t.Errorf("%s: nothing to do about it", p.Says)
				}
			}
			if strings.Join(got, "\n") != c.want {
				t.Errorf("got %q, wanted %q", got, c.want)
			}
		})
	}
}

// TestOurSheetsCanBeCalled: the protocols that come with the program hold no
// words that cannot be told apart.
func TestOurSheetsCanBeCalled(t *testing.T) {
	t.Parallel()
	for _, file := range []string{"../demo/protocol.yaml", "../examples/desert-rodents/protocol.yaml"} {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range protocol.SoundAlikes(file, text) {
			t.Errorf("%s line %d: %s: %s", file, p.Line, p.Key, p.Says)
		}
	}
}

// FuzzSoundAlikes: no file of whatever words makes it panic.
func FuzzSoundAlikes(f *testing.F) {
	f.Add("name: a\nspecies: [{code: b, traits: [{id: pes, sounds like: [piece]}, {id: pace}]}]")
	f.Fuzz(func(_ *testing.T, text string) { protocol.SoundAlikes("fuzz.yaml", []byte(text)) })
}
