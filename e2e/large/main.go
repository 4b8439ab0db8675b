// Large writes the notebook that the field program's budgets are measured on:
// the invented programme, and before it twenty years of trips with 5,000
// animals and 50,000 captures, each capture three lines as at the trap.
//
//	go run ./e2e/large 2026-05-13 > notebook.lines
//
// The day is the evening of the last night that was set.
package main

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"fmt"
	"log"
	"math/rand/v2"
	"os"
	"time"

	"dawnround/demo"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"

	"github.com/google/uuid"
)

const (
	seed    = 1
	animals = 5_000
	times   = 10 // each is caught
	years   = 20
)

func main() {
	if len(os.Args) != 2 {
		log.Fatal("name the evening of the last night, like 2026-05-13")
	}
	last, err := record.ParseNight(os.Args[1])
	if err == nil {
		err = write(last)
	}
	if err != nil {
		log.Fatal(err)
	}
}

func write(last record.Night) error {
	var store notebook.Memory
	var clock demo.Clock
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{seed}, ed25519.SeedSize))
	n, err := notebook.Create(&store, uuid.UUID{6: 0x40, 8: 0x80, 15: seed}, key, clock.Now)
	if err != nil {
		return err
	}
	p, err := programme.Open(n)
	if err != nil {
		return err
	}
	if _, err := demo.Grow(context.Background(), p, &clock, seed, last, nil); err != nil {
		return err
	}
	if err := earlier(p, last.Year-1-years); err != nil {
		return err
	}
	return notebook.Export(os.Stdout, &store)
}

// earlier adds the captures of the years from first on, animal by animal: each
// lives for four years.
func earlier(p *programme.Programme, first int) error {
	chance := rand.New(rand.NewPCG(seed, 2))
	for a := range animals {
		var entries []notebook.Entry
		born := first + a*(years-4)/animals
		for i := range times {
			night := record.Night{Year: born + i*4/times, Month: 5 + 6*(i%2), Day: 1 + chance.IntN(20)}
			for _, b := range caught(chance, a, i, night) {
				e, err := record.Entry("MO", b)
				if err != nil {
					return err
				}
				entries = append(entries, e)
			}
		}
		if err := p.KeepBatch(entries); err != nil {
			return err
		}
	}
	return nil
}

// caught is the trap check, the bag, and the processing with the release of one
// capture.
func caught(chance *rand.Rand, animal, i int, night record.Night) []record.Body {
	at := night.Noon(time.UTC).Add(8*time.Hour + time.Duration(chance.IntN(7200))*time.Second)
	site := []string{"K", "L", "M"}[animal%3]
	trap := fmt.Sprintf("%s%02d", site, 1+chance.IntN(20))
	var id uuid.UUID
	for b := range id {
		id[b] = byte(chance.Uint32())
	}
	id[6], id[8] = 0x70|id[6]&0x0f, 0x80|id[8]&0x3f
	mm := func(least, spread int64) record.Reading {
		return record.Reading{Quantity: record.MilliQuantity((least + chance.Int64N(spread)) * 100)}
	}
	gross, bag := record.MilliQuantity((3300+chance.Int64N(600))*1000), record.MilliQuantity(110_000)
	sex := record.Female
	if animal%2 == 0 {
		sex = record.Male
	}
	how := record.Handled{
		Species: "RW", Sex: sex, Stage: "adult", Handler: "MO", Scribe: "AB", Start: at, End: at.Add(9 * time.Minute),
		Marks:    []record.Mark{{Kind: "transponder", Text: fmt.Sprintf("999000001%06d", animal), How: "scanned"}},
		Weighing: &record.Weighing{Gross: &gross, Bag: &bag},
		Measures: map[string]record.Reading{"pes": mm(1300, 60), "head": mm(940, 80)},
	}
	if i == 0 {
		how.Marks[0].Act = record.MarkPut
	}
	return []record.Body{
		record.Check{Trip: fmt.Sprintf("%04d-%02d", night.Year, night.Month), Site: site, Night: night, Trap: trap, Outcome: record.OutcomeCapture, Captures: []uuid.UUID{id}, At: at},
		record.Capture{Capture: id, Bagged: &record.Bagged{At: at, Bag: fmt.Sprint(1 + chance.IntN(20)), Species: "RW"}},
		record.Capture{Capture: id, Handled: &how, Released: &record.Released{At: at.Add(10 * time.Minute), Fate: record.FateReleased}},
	}
}
