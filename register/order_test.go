package register_test

import (
	"encoding/binary"
	"slices"
	"testing"

	"dawnround/record"
)

// TestOrderOfOneNightDoesNotRestOnIDs: captures without a time, as tables have
// them, stand in the order of their rows, and a death comes last.
func TestOrderOfOneNightDoesNotRestOnIDs(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	row := func(id int, file, row string, fate record.Fate) {
		c := caught(id, 10)
		c.From = &record.Source{File: file, Row: row}
		if fate != "" {
			c.Released = &record.Released{Fate: fate}
		}
		w.write(0, c)
	}
	row(1, "north", "2", record.FateDied)
	row(2, "north", "10", "")
	row(3, "north", "9", record.FateReleased)
	row(4, "a table", "11", "")
	row(5, "north", "1", record.FateEuthanased)
	row(6, "north", "9 / b", "")
	row(7, "north", "9 / B", "")
	var got []int
	for _, c := range fold(w.lines).Captures() {
		id := c.ID()
		got = append(got, int(binary.BigEndian.Uint32(id[:])))
	}
	if want := []int{4, 3, 7, 6, 2, 5, 1}; !slices.Equal(got, want) {
		t.Errorf("captures in the order %v, want %v", got, want)
	}
}
