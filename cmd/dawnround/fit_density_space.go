package main

import (
	"cmp"
	"fmt"
	"maps"
	"slices"

	"dawnround/density"
)

// spaces gives every trip its state space, with the columns that effects name.
func (c *call) spaces(o densityOptions, s density.Survey, effects []string) error {
	switch {
	case o.cells != "":
		t, err := c.readAs(o.cells, cellLayout)
		if err != nil {
			return err
		}
		return cmp.Or(t.wholeColumns(effects), t.cells(s))
	case o.fence != "":
		t, err := c.readAs(o.fence, fenceLayout)
		if err != nil {
			return err
		}
		rings, err := t.rings()
		if err != nil {
			return err
		}
		space, err := density.Within(rings, o.cell)
		if err != nil {
			return fmt.Errorf("%s: %w", o.fence, err)
		}
		for i := range s {
			s[i].Space = space
		}
		return nil
	}
	const cellsToMargin = 12
	side := o.cell
	if side == 0 {
		side = o.margin / cellsToMargin
	}
	for i := range s {
		space, err := density.Around(s[i].Traps, o.margin, side)
		if err != nil {
			return fmt.Errorf("--margin: %w", err)
		}
		s[i].Space = space
	}
	return nil
}

// cells reads the state space of every trip, or one for all.
func (t *plainTable) cells(s density.Survey) error {
	x, err := t.numbers("x")
	if err != nil {
		return err
	}
	y, err := t.numbers("y")
	if err != nil {
		return err
	}
	var cut density.Survey
	for i := range t.rows {
		trip := t.tripOf(&cut, i)
		trip.Space.Cells = append(trip.Space.Cells, density.Point{X: x[i], Y: y[i]})
		if err := t.own(i, &trip.Space.Columns); err != nil {
			return err
		}
	}
	for i := range s {
		of := 0
		if t.at("trip") >= 0 {
			of = slices.IndexFunc(cut, func(trip density.Trip) bool { return trip.Name == s[i].Name })
		}
		if of < 0 {
			return fmt.Errorf("%s: no cells for trip %q, which has traps; give some", t.file, s[i].Name)
		}
		if s[i].Space, err = density.Given(cut[of].Space.Cells, maps.Clone(cut[of].Space.Columns)); err != nil {
			return fmt.Errorf("%s: %w", t.file, err)
		}
	}
	return nil
}

// rings reads the corners of a fence, and of holes within it, each in its order.
func (t *plainTable) rings() ([][]density.Point, error) {
	x, err := t.numbers("x")
	if err != nil {
		return nil, err
	}
	y, err := t.numbers("y")
	if err != nil {
		return nil, err
	}
	var names []string
	var rings [][]density.Point
	for i, row := range t.rows {
		name := ""
		if t.at("ring") >= 0 {
			name = row[t.at("ring")]
		}
		at := slices.Index(names, name)
		if at < 0 {
			at = len(names)
			names, rings = append(names, name), append(rings, nil)
		}
		rings[at] = append(rings[at], density.Point{X: x[i], Y: y[i]})
	}
	return rings, nil
}
