package demo_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"sync"
	"testing"
	"time"

	"dawnround/demo"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// last is the evening to which the tests grow: in spring, as most visitors'
// last trip would be.
var last = record.Night{Year: 2026, Month: 11, Day: 24}

// now is that evening, once the traps are set.
var now = time.Date(2026, 11, 24, 12, 0, 0, 0, time.UTC)

// grow grows a programme in memory.
func grow(tb testing.TB, seed uint64, last record.Night) (*programme.Programme, demo.Truth) {
	tb.Helper()
	clock := &demo.Clock{}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	n, err := notebook.Create(&notebook.Memory{}, uuid.MustParse("01890000-0000-7000-8000-000000000001"), key, clock.Now)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		tb.Fatal(err)
	}
	truth, err := demo.Grow(context.Background(), p, clock, seed, last, nil)
	if err != nil {
		tb.Fatal(err)
	}
	return p, truth
}

type grown struct {
	*programme.Programme
	demo.Truth
}

// seedOne is the programme that most tests look at; they only read it.
var seedOne = sync.OnceValue(func() grown {
	p, truth := grow(&testing.B{}, 1, last)
	return grown{p, truth}
})

// view reads the register of the programme.
func (g grown) register() (r *register.Register) {
	g.View(func(now *register.Register) { r = now })
	return r
}
