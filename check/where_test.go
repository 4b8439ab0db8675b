package check_test

import (
	"testing"
	"time"

	"dawnround/record"

	"github.com/google/uuid"
)

func ids(n ...int) (out []uuid.UUID) {
	for _, x := range n {
		out = append(out, id(x))
	}
	return out
}

func roundOf(n, number, day int) record.Round {
	return record.Round{Round: id(n), Trip: "T1", Site: "K", Night: night(day), Number: number, Opened: dawn(day, 5, 0)}
}

func setting(day int, traps ...string) record.Setting {
	return record.Setting{Trip: "T1", Site: "K", Night: night(day), Set: traps, Not: []record.NotSet{{Trap: "K9"}}}
}

func releasedAt(t time.Time) with { return func(c *record.Capture) { c.Released.At = t } }
func foundAt(t time.Time) with    { return func(c *record.Capture) { c.At.Found = t } }

func TestWhereAndWhen(t *testing.T) {
	t.Parallel()
	const twice, clock, notSet, order, limit = "twice in one night", "clock against the night", "trap not set", "order of times", "over the time limit"
	rounds := bodies(roundOf(801, 1, 4), roundOf(802, 2, 4))
	first := func(what ...with) []record.Body { return append(rounds[:2:2], caught(1, 4, what...)) }
	zero := time.Time{}
	running := caught(1, 4, times(dawn(4, 5, 0), dawn(4, 5, 5), later.Add(-15*time.Minute-time.Second), zero, zero))
	running.Released, running.Bagged = nil, nil
	notYet := clone(running)
	notYet.Handled.Start = later.Add(-15 * time.Minute)
	try(t, []trial{
		{notSet, "set", bodies(setting(4, "K1", "K2")), caught(1, 4), "", ""},
		{notSet, "not set", bodies(setting(4, "K2")), caught(1, 4), "at", "K1 was not set"},
		{notSet, "effort unknown", nil, caught(1, 4), "", ""},
		{twice, "other trap, same round", first(round(801)), caught(2, 4, at("K", "K2"), round(801)), "at", "trap K1 at site K"},
		{twice, "released in an earlier round", first(round(801)), caught(2, 4, at("K", "K2"), round(802)), "", ""},
		{twice, "taken to the vet in an earlier round", first(round(801), fate(record.FateToVet)), caught(2, 4, at("K", "K2"), round(802)), "at", ""},
		{twice, "rounds not told, released before", first(releasedAt(dawn(4, 5, 0))), caught(2, 4, foundAt(dawn(4, 6, 0))), "", ""},
		{twice, "rounds not told, released after", first(foundAt(dawn(4, 4, 0)), releasedAt(dawn(4, 6, 1))), caught(2, 4, foundAt(dawn(4, 6, 0))), "at", ""},
		{twice, "the next night", first(round(801)), caught(2, 5), "", ""},
		{clock, "dawn", nil, caught(1, 4, foundAt(dawn(4, 5, 40))), "", ""},
		{clock, "noon that day", nil, caught(1, 4, foundAt(dawn(3, 12, 0))), "", ""},
		{clock, "before noon that day", nil, caught(1, 4, foundAt(dawn(3, 11, 59))), "at", "night of 4 May 2026"},
		{clock, "before 18:00 next day", nil, caught(1, 4, releasedAt(dawn(4, 17, 59))), "", ""},
		{clock, "18:00 next day", nil, caught(1, 4, releasedAt(dawn(4, 18, 0))), "released", "18:00 on 5 May 2026"},
		{order, "in order", nil, caught(1, 4, times(dawn(4, 5, 0), dawn(4, 5, 0), dawn(4, 5, 10), dawn(4, 5, 20), dawn(4, 5, 22))), "", ""},
		{order, "bagged before found", nil, caught(1, 4, times(dawn(4, 5, 1), dawn(4, 5, 0), zero, zero, zero)), "at", "Bagged at 05:00"},
		{order, "released before bagged", nil, caught(1, 4, times(zero, dawn(4, 5, 1), zero, zero, dawn(4, 5, 0))), "released", "before it was"},
		{order, "done before taken in hand", nil, caught(1, 4, times(zero, zero, dawn(4, 5, 1), dawn(4, 5, 0), zero)), "at", "Done"},
		{limit, "15 minutes", nil, caught(1, 4, times(zero, zero, dawn(4, 5, 0), zero, dawn(4, 5, 15))), "", ""},
		{limit, "16 minutes", nil, caught(1, 4, times(zero, zero, dawn(4, 5, 0), zero, dawn(4, 5, 16))), "released", "invented approval"},
		{limit, "45 minutes in the bag", nil, caught(1, 4, times(zero, dawn(4, 5, 0), zero, zero, dawn(4, 5, 45))), "", ""},
		{limit, "46 minutes in the bag", nil, caught(1, 4, times(zero, dawn(4, 5, 0), zero, zero, dawn(4, 5, 46))), "released", "in the bag"},
		{"nights running", "two", bodies(caught(1, 3)), caught(2, 4), "", ""},
		{"nights running", "three", bodies(caught(1, 2), caught(2, 3)), caught(3, 4), "at", "3 nights running"},
		{"nights running", "a night between", bodies(caught(1, 1), caught(2, 2)), caught(3, 4), "", ""},
		{"nights running", "twice one night", bodies(caught(1, 3), caught(2, 3, at("K", "K2"))), caught(3, 4), "", ""},
		{"far from the last place", "same site", bodies(caught(1, 3)), caught(2, 4, at("K", "K2")), "", ""},
		{"far from the last place", "another site", bodies(caught(1, 3)), caught(2, 4, at("L", "L1")), "at", "site L"},
	})
	try(t, []trial{
		{limit, "still in the hand", nil, running, "released", "16 minutes in the hand"},
		{limit, "still in the hand", nil, notYet, "", ""},
	})
}
