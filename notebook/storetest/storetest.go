// Package storetest is the suite that every store of a notebook passes, and what
// tests of notebooks need: keys, clocks, lines, and a check that all chains are
// whole, to be called when a test ends.
package storetest

import (
	"crypto/ed25519"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"testing"
	"time"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// Programme is the programme of all notebooks made here; invented.
var Programme = uuid.MustParse("6f2c1b1e-0d5a-4c57-9a3e-5b1f0c9d7e21")

// Key gives a device's key from a seed: the same in every run.
func Key(seed uint64) ed25519.PrivateKey {
	chance := rand.New(rand.NewPCG(seed, 1))
	b := make([]byte, ed25519.SeedSize)
	for i := range b {
		b[i] = byte(chance.Uint32())
	}
	return ed25519.NewKeyFromSeed(b)
}

// Evening gives a wall clock that begins at 20:12:03.123 on 2026-05-14 UTC and
// moves on by 7 ms at each look.
func Evening() func() time.Time {
	t := time.Date(2026, 5, 14, 20, 12, 3, 123e6, time.UTC)
	return func() time.Time { t = t.Add(7 * time.Millisecond); return t }
}

// Entry gives an entry with a text in it.
func Entry(text string) notebook.Entry {
	body, err := json.Marshal(map[string]string{"text": text})
	if err != nil {
		panic(err) // a string can always be written
	}
	return notebook.Entry{Who: "AB", Kind: "note", Body: body}
}

// Fill writes lines of usual length by several devices into an empty store, as
// merges would bring them.
func Fill(tb testing.TB, store notebook.Store, devices, lines int) {
	tb.Helper()
	now := Evening()
	body := []byte(`{"trap":"B3","species":"quoll","mark":{"kind":"transponder","tail":"4417"},"head":{"typed":"61.8","steps":618},"mass":{"typed":"742","steps":742},"state":"lactating"}`)
	for d := range devices {
		n, err := notebook.Create(new(notebook.Memory), Programme, Key(uint64(d+1)), now)
		if err != nil {
			tb.Fatal(err)
		}
		for left := (lines + devices - 1 - d) / devices; left > 0; {
			entries := make([]notebook.Entry, min(left, 1000))
			for i := range entries {
				entries[i] = notebook.Entry{Who: "AB", Kind: "capture", Body: body}
			}
			left -= len(entries)
			written, err := n.Write(entries...)
			if err != nil {
				tb.Fatal(err)
			}
			_, signed, err := n.Heads()
			if err != nil {
				tb.Fatal(err)
			}
			if err := store.Append(written, signed); err != nil {
				tb.Fatal(fmt.Errorf("device %d: %w", d+1, err))
			}
		}
	}
}

// Verify fails the test if a chain in the store is broken.
func Verify(tb testing.TB, store notebook.Store) {
	tb.Helper()
	report, err := notebook.Verify(store, nil)
	if err != nil {
		tb.Errorf("the notebook is broken: %v", err)
	}
	for _, b := range report.BadForks {
		tb.Errorf("a fork line cannot be unpacked: %v", b)
	}
}
