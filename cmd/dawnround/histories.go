package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"

	"dawnround/answer"
	"dawnround/register"
)

// histories gives out the captures of a question as the plain tables that fit
// and compare take.
func (c *call) histories() error {
	which := c.which()
	to := c.flags.String("o", "-", "file for the histories; standard output unless given")
	occasions := c.flags.String("occasions", "", "file for the table of the trips: time between them in months, trap-nights, season")
	if err := c.parse(0, 0); err != nil {
		return err
	}
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	var h answer.Histories
	p.View(func(r *register.Register) {
		var q answer.Which
		if q, err = which(r); err == nil {
			h = answer.TripHistories(r, q)
		}
	})
	switch {
	case err != nil:
		return err
	case len(h.Animals) == 0:
		return fmt.Errorf("no animal of this question can be followed from trip to trip; ask of others")
	}
	write := func(name string, rows [][]string) error {
		if name == "-" {
			return csv.NewWriter(c.stdout).WriteAll(rows)
		}
		return c.write(name, func(w io.Writer) error { return csv.NewWriter(w).WriteAll(rows) })
	}
	err = write(*to, animalRows(h.Animals))
	if *occasions != "" {
		err = errors.Join(err, write(*occasions, occasionRows(h.Occasions)))
	}
	leftOut(c.stderr, h.LeftOut)
	return err
}

func animalRows(animals []answer.History) [][]string {
	rows := [][]string{{"animal", "history", "group", lostColumn}}
	for _, a := range animals {
		sex, lost := string(a.Sex), "0"
		if sex == "" {
			sex = "unknown"
		}
		if a.Lost {
			lost = "1"
		}
		rows = append(rows, []string{a.Animal, a.Caught, sex, lost})
	}
	return rows
}

func occasionRows(trips []answer.Occasion) [][]string {
	rows := [][]string{{"occasion", intervalColumn, "log_trap_nights", "summer", "spring"}}
	number := func(x float64) string { return strconv.FormatFloat(x, 'f', 6, 64) }
	for i, t := range trips {
		months, effort := number(t.Months), number(math.Log(math.Max(t.TrapNights, 1)))
		if i == len(trips)-1 {
			months = ""
		}
		rows = append(rows, []string{strconv.Itoa(i + 1), months, effort, number(t.Summer), number(t.Spring)})
	}
	return rows
}
