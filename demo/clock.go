package demo

import "time"

// Clock is the wall clock of a notebook that is written as if over years. Its
// zero value is ready. Give its Now to the notebook, the Clock to [Grow], and
// open the notebook with an ordinary clock afterwards.
type Clock struct {
	due  []time.Time // of the lines about to be written, in order
	last time.Time
}

// Now is the moment of the next line about to be written, and stays at that
// of the last one.
func (c *Clock) Now() time.Time {
	if len(c.due) > 0 {
		c.last, c.due = c.due[0], c.due[1:]
	}
	return c.last
}
