package protocol

import (
	"os"
	"testing"
)

// The project's own protocols, each read as any team's would be.
var own = []string{"../examples/desert-rodents/protocol.yaml", "../demo/protocol.yaml"}

func readOwn(tb testing.TB, file string) *Protocol {
	tb.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := Parse(file, text)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

func TestProjectsOwnProtocolsAreSound(t *testing.T) {
	t.Parallel()
	for _, file := range own {
		t.Run(file, func(t *testing.T) {
			t.Parallel()
			readOwn(t, file)
		})
	}
}

func BenchmarkParse(b *testing.B) {
	for name, file := range map[string]string{"1176_traps_50_species": own[0], "60_traps_5_species": own[1]} {
		text, err := os.ReadFile(file)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				if _, err := Parse(file, text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
