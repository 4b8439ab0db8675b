package main

import (
	"errors"
	"fmt"
	"slices"

	"dawnround/abundance"
)

// frequencies reads how many animals were caught once, twice …: the last row
// tells how many nights there were.
func (t *plainTable) frequencies() (abundance.Frequencies, error) {
	if err := t.inOrder("times_caught"); err != nil {
		return abundance.Frequencies{}, err
	}
	animals, err := t.counts("animals")
	return abundance.Frequencies{Nights: len(t.rows), Animals: animals}, err
}

// nightCounts reads what each night caught and what of it was new.
func (t *plainTable) nightCounts(effects []string) (n abundance.NightCounts, taken []string, err error) {
	if err = t.inOrder("occasion"); err != nil {
		return n, nil, err
	}
	if n.Caught, err = t.counts("caught"); err != nil {
		return n, nil, err
	}
	if n.New, err = t.counts("newly_caught"); err != nil {
		return n, nil, err
	}
	n.Nightly, taken, err = t.named(effects)
	return n, taken, err
}

// removals reads what each night took away for good.
func (t *plainTable) removals(effects []string) (r abundance.Removals, taken []string, err error) {
	if err = t.inOrder("occasion"); err != nil {
		return r, nil, err
	}
	if r.Taken, err = t.counts("removed"); err != nil {
		return r, nil, err
	}
	r.Nightly, taken, err = t.named(effects)
	return r, taken, err
}

// census reads the occasions of a multiple-mark census, or makes them of
// histories or night counts, in which every animal goes back marked.
func (t *plainTable) census() ([]abundance.Census, error) {
	if t.layout.name != "census" {
		return t.censusByNight()
	}
	if err := t.inOrder("occasion"); err != nil {
		return nil, err
	}
	out := make([]abundance.Census, len(t.rows))
	for _, column := range []struct {
		name string
		to   func(*abundance.Census) *int
	}{
		{"caught", func(o *abundance.Census) *int { return &o.Caught }},
		{"recaptured", func(o *abundance.Census) *int { return &o.Recaught }},
		{"marked_at_large", func(o *abundance.Census) *int { return &o.AtLarge }},
	} {
		counts, err := t.counts(column.name)
		if err != nil {
			return nil, err
		}
		for i, n := range counts {
			*column.to(&out[i]) = n
		}
	}
	return out, nil
}

func (t *plainTable) censusByNight() ([]abundance.Census, error) {
	n, err := t.byNight()
	if err != nil {
		return nil, err
	}
	var out []abundance.Census
	marked := 0
	for night, caught := range n.Caught {
		out = append(out, abundance.Census{Caught: caught, Recaught: caught - n.New[night], AtLarge: marked})
		marked += n.New[night]
	}
	return out, nil
}

// byNight reads night counts, or makes them of histories.
func (t *plainTable) byNight() (abundance.NightCounts, error) {
	if t.layout.name == "night counts" {
		n, _, err := t.nightCounts(nil)
		return n, err
	}
	h, _, err := t.histories(nil)
	if err == nil && slices.Contains(h.Lost, true) {
		err = t.wrong(slices.Index(h.Lost, true), lostColumn, "0, for this method takes every animal as released; fit --detect instead")
	}
	return h.NightCounts(), err
}

// byAnimal reads frequencies, or makes them of histories.
func (t *plainTable) byAnimal() (abundance.Frequencies, error) {
	if t.layout.name == "frequencies" {
		return t.frequencies()
	}
	h, _, err := t.histories(nil)
	return h.Frequencies(), err
}

// A pair is two samples of one population, with its name where a table holds
// several.
type pair struct {
	name string
	abundance.TwoSample
}

// pairs reads a row for each population trapped twice, or makes one pair of
// two nights.
func (t *plainTable) pairs() ([]pair, error) {
	if t.layout.name != "two samples" {
		return t.pairOfNights()
	}
	marked, err1 := t.counts("marked_first")
	caught, err2 := t.counts("caught_second")
	again, err3 := t.counts("marked_in_second")
	if err := errors.Join(err1, err2, err3); err != nil {
		return nil, err
	}
	out := make([]pair, len(t.rows))
	for i, row := range t.rows {
		out[i].TwoSample = abundance.TwoSample{Marked: marked[i], Caught: caught[i], Recaught: again[i]}
		if len(t.rows) == 1 {
			continue
		}
		if out[i].name = fmt.Sprintf("[%d]", i+1); t.at("example") >= 0 {
			out[i].name = "[" + row[t.at("example")] + "]"
		}
	}
	return out, nil
}

func (t *plainTable) pairOfNights() ([]pair, error) {
	n, err := t.byNight()
	if err != nil {
		return nil, err
	}
	if len(n.Caught) != 2 {
		return nil, fmt.Errorf("%s: %s: expected 2 for two samples; gather them into two, or fit --detect occasion", t.file, plural(len(n.Caught), "night"))
	}
	return []pair{{"", abundance.TwoSample{Marked: n.Caught[0], Caught: n.Caught[1], Recaught: n.Caught[1] - n.New[1]}}}, nil
}
