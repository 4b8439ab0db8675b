package notebook_test

import (
	"crypto/ed25519"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"dawnround/notebook"

	"github.com/google/uuid"
)

var programme = uuid.MustParse("6f2c1b1e-0d5a-4c57-9a3e-5b1f0c9d7e21") // invented

// evening is a wall clock that moves on by a second at each look.
func evening() func() time.Time {
	t := time.Date(2026, 5, 14, 20, 12, 3, 123e6, time.UTC)
	return func() time.Time { t = t.Add(time.Second); return t }
}

// keyFor gives the key of the seed's device: the same in every run.
func keyFor(seed uint64) ed25519.PrivateKey {
	chance := rand.New(rand.NewPCG(seed, 0))
	b := make([]byte, ed25519.SeedSize)
	for i := range b {
		b[i] = byte(chance.Uint32())
	}
	return ed25519.NewKeyFromSeed(b)
}

func create(t testing.TB, store notebook.Store, seed uint64) *notebook.Notebook {
	t.Helper()
	n, err := notebook.Create(store, programme, keyFor(seed), evening())
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func write(t testing.TB, n *notebook.Notebook, words ...string) []notebook.Line {
	t.Helper()
	var entries []notebook.Entry
	for _, w := range words {
		entries = append(entries, notebook.Entry{Who: "AB", Kind: "note", Body: fmt.Appendf(nil, "{\"text\":%q}", w)})
	}
	lines, err := n.Write(entries...)
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

func TestWriteThenRead(t *testing.T) {
	t.Parallel()
	var store notebook.Memory
	n := create(t, &store, 1)
	written := write(t, n, "one", "two")
	written = append(written, write(t, n, "three")...)
	i := 0
	for l, err := range n.Lines() {
		if err != nil {
			t.Fatal(err)
		}
		if l.Hash != written[i].Hash {
			t.Errorf("line %d: read\n%s\nwrote\n%s", i+1, l.Stored, written[i].Stored)
		}
		i++
	}
	if i != 3 {
		t.Errorf("read %d lines, wrote 3", i)
	}
	if _, err := notebook.Verify(&store, nil); err != nil {
		t.Error(err)
	}
}
