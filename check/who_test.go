package check_test

import (
	"testing"

	"dawnround/record"
)

func TestWho(t *testing.T) {
	t.Parallel()
	last := func(what ...with) []record.Body { return bodies(caught(1, 2, what...)) }
	const known, unknown, retrap = "new, but its mark is known", "recapture, but its mark is not known", "retrap, but not caught on this trip"
	try(t, []trial{
		{"sex changed", "the other", last(sex(record.Male)), caught(2, 4, sex(record.Female)), "sex", "Male on 2 May 2026 by AB, female now"},
		{"sex changed", "the same", last(sex(record.Male)), caught(2, 4, sex(record.Male)), "", ""},
		{"sex changed", "not told before", last(sex(record.Unsexed)), caught(2, 4, sex(record.Female)), "", ""},
		{"species changed", "another", last(), caught(2, 4, species("NB")), "species", "RW"},
		{"species changed", "the same", last(), caught(2, 4), "", ""},
		{"species changed", "by a mark within species", last(mark("tag", "B1")), caught(2, 4, species("NB"), mark("tag", "B1")), "", ""},
		{"alive after death", "died", last(fate(record.FateDied)), caught(2, 4), "marks", "died on 2 May 2026 by AB"},
		{"alive after death", "euthanased", last(fate(record.FateEuthanased)), caught(2, 4), "marks", ""},
		{"alive after death", "found dead", last(status(record.FoundDead)), caught(2, 4), "marks", ""},
		{"alive after death", "to the vet", last(fate(record.FateToVet)), caught(2, 4), "", ""},
		{"alive after death", "found dead again", last(fate(record.FateDied)), caught(2, 4, status(record.FoundDead)), "", ""},
		{"age goes back", "adult, then juvenile", last(), caught(2, 4, stage("juvenile")), "stage", "Adult on 2 May 2026"},
		{"age goes back", "juvenile, then adult", last(stage("juvenile")), caught(2, 4), "", ""},
		{"age goes back", "not on the sheet", last(stage("old")), caught(2, 4, stage("juvenile")), "", ""},
		{known, "known", last(), caught(2, 4, status(record.New)), "status", "999000000000001"},
		{known, "not known", last(), caught(2, 4, status(record.New), chip(70)), "", ""},
		{known, "recapture", last(), caught(2, 4, status(record.Recapture)), "", ""},
		{known, "put anew after it was gone", bodies(caught(1, 2), caught(2, 3, chip(1, record.MarkGone))), caught(3, 4, status(record.New), chip(1, record.MarkPut)), "", ""},
		{unknown, "not known", last(), caught(2, 4, status(record.Recapture), chip(70)), "status", "was never met"},
		{unknown, "not known, one slip away", last(mark("tag", "B12")), caught(2, 4, status(record.Recapture), mark("tag", "B21")), "status", "B12"},
		{unknown, "known", last(), caught(2, 4, status(record.Recapture)), "", ""},
		{unknown, "one of two known", last(), caught(2, 4, status(record.Recapture), chip(1), mark("tag", "B9", record.MarkPut)), "", ""},
		{unknown, "unmarked", last(), caught(2, 4, status(record.Recapture), unmarked), "", ""},
		{retrap, "this trip", last(), caught(2, 4, status(record.Retrap)), "", ""},
		{retrap, "another trip", last(), caught(2, 20, status(record.Retrap)), "status", "last met on 2 May 2026"},
		{retrap, "recapture", last(), caught(2, 20, status(record.Recapture)), "", ""},
	})
}

func TestMarks(t *testing.T) {
	t.Parallel()
	const near, second, joined = "near a known mark", "more than one transponder", "two lives become one"
	last := func(what ...with) []record.Body { return bodies(caught(1, 3, append(what, chip(312))...)) }
	scanned := caught(9, 4, chip(311))
	scanned.Handled.Marks[0].How = "scanned"
	twice := bodies(caught(1, 2, chip(312)), caught(2, 3, chip(312)))
	try(t, []trial{
		{near, "one digit", last(), caught(9, 4, chip(311)), "marks", "999000000000312"},
		{near, "neighbours swapped", last(), caught(9, 4, chip(321)), "marks", "Read it again?"},
		{near, "two digits", last(), caught(9, 4, chip(401)), "", ""},
		{near, "known itself", append(twice, caught(3, 3, chip(311), at("K", "K2"))), caught(9, 4, chip(311)), "", ""},
		{near, "put in now", last(), caught(9, 4, chip(311, record.MarkPut)), "", ""},
		{near, "scanned", last(), scanned, "", ""},
		{near, "other sex", last(sex(record.Male)), caught(9, 4, chip(311), sex(record.Female)), "", ""},
		{near, "same sex", last(sex(record.Male)), caught(9, 4, chip(311), sex(record.Male)), "marks", "male"},
		{near, "other species", last(species("NB")), caught(9, 4, chip(311)), "", ""},
		{near, "other site", last(at("L", "L1")), caught(9, 4, chip(311)), "", ""},
		{near, "a tag", bodies(caught(1, 3, mark("tag", "B12"))), caught(9, 4, mark("tag", "B13")), "", ""},
		{second, "two read", nil, caught(1, 3, chip(1), chip(50)), "marks", "999000000000001 and 999000000000050"},
		{second, "one read twice", nil, caught(1, 3, chip(1), chip(1)), "", ""},
		{second, "one gone", nil, caught(1, 3, chip(1, record.MarkGone), chip(50, record.MarkPut)), "", ""},
		{second, "second put, first not scanned", bodies(caught(1, 3, chip(1), mark("tag", "B1"))), caught(2, 4, mark("tag", "B1"), chip(50, record.MarkPut)), "marks", "A second transponder"},
		{second, "second put, first found gone before", bodies(caught(1, 2, chip(1), mark("tag", "B1")), caught(2, 3, mark("tag", "B1"), chip(1, record.MarkGone))), caught(3, 4, mark("tag", "B1"), chip(50, record.MarkPut)), "", ""},
		{second, "a chip and a tag", nil, caught(1, 3, chip(1), mark("tag", "B1")), "", ""},
		{joined, "never together", bodies(caught(1, 2, chip(1)), caught(2, 3, mark("tag", "B1"))), caught(3, 4, chip(1), mark("tag", "B1")), "marks", "never read together"},
		{joined, "together before", bodies(caught(1, 2, chip(1), mark("tag", "B1")), caught(2, 3, mark("tag", "B1"))), caught(3, 4, chip(1), mark("tag", "B1")), "", ""},
		{joined, "by a third mark", bodies(caught(1, 1, chip(1), chip(50)), caught(2, 2, chip(50), mark("tag", "B1"))), caught(3, 4, chip(1), mark("tag", "B1")), "", ""},
		{joined, "said to be the same", bodies(caught(1, 2, chip(1)), caught(2, 3, mark("tag", "B1")), record.Same{Of: ids(1, 2)}), caught(3, 4, chip(1), mark("tag", "B1")), "", ""},
		{joined, "one is new", bodies(caught(1, 2, chip(1))), caught(3, 4, chip(1), mark("tag", "B1", record.MarkPut)), "", ""},
		{"number no chip carries", "above 38 bits", nil, caught(1, 3, mark("chip", "999274877906944")), "marks", "274877906943"}, // 2^38, ISO 11784
		{"number no chip carries", "the most", nil, caught(1, 3, mark("chip", "999274877906943")), "", ""},
		{"number no chip carries", "a digit lacks", nil, caught(1, 3, mark("chip", "99900000000001")), "marks", ""},
		{"number no chip carries", "a tag", nil, caught(1, 3, mark("tag", "9990")), "", ""},
	})
}

func TestNoChipButAnOldHole(t *testing.T) {
	t.Parallel()
	const rule = "no chip, but an old hole in the ear"
	hole := func(part, sign string, state record.State) with {
		return func(c *record.Capture) {
			c.Handled.Findings = append(c.Handled.Findings, record.Finding{Part: part, Side: "right", Sign: sign, State: state})
		}
	}
	tag := mark("tag", "7")
	try(t, []trial{
		{rule, "chipped as new", nil, caught(1, 3, chip(1, record.MarkPut), hole("ear", "healed hole", "")), "findings", "scan of the whole body"},
		{rule, "no mark at all", nil, caught(1, 3, unmarked, hole("ear", "healed hole", "")), "findings", ""},
		{rule, "its chip read", nil, caught(1, 3, chip(1), hole("ear", "healed hole", "")), "", ""},
		{rule, "its chip found gone", nil, caught(1, 3, chip(1, record.MarkGone), hole("ear", "healed hole", "")), "", ""},
		{rule, "no hole seen", nil, caught(1, 3, unmarked, hole("ear", "healed hole", record.NoneSeen)), "", ""},
		{rule, "another sign", nil, caught(1, 3, unmarked, hole("ear", "torn", "")), "", ""},
		{rule, "another part", nil, caught(1, 3, unmarked, hole("tail", "healed hole", "")), "", ""},
		{rule, "its biopsy is known", bodies(caught(1, 3, tag, sample("biopsy", "B1"))), caught(2, 4, tag, hole("ear", "healed hole", "")), "", ""},
		{rule, "its hole was asked about", bodies(caught(1, 3, tag, hole("ear", "healed hole", ""))), caught(2, 4, tag, hole("ear", "healed hole", "")), "", ""},
		{rule, "a species that is not chipped", nil, caught(1, 3, species("PM"), tag, hole("ear", "healed hole", "")), "", ""},
	})
}
