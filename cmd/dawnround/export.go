package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"dawnround/exchange"
	"dawnround/register"
)

// export gives out the lines as they are, or a table with its dictionary
// beside it.
func (c *call) export() error {
	to := c.flags.String("o", "-", "file to write; standard output unless given")
	exact := c.flags.Bool("exact", false, "exact places; without it they are made coarse")
	c.table()
	if err := c.parse(0, 1); err != nil {
		return err
	}
	if err := c.wantNotebook(); err != nil {
		return err
	}
	what := strings.Join(c.args, "")
	if what == "" || what == "lines" {
		return c.exportLines(*to)
	}
	if tables[what] == nil {
		return errUsage{"export " + what + ": not known; write lines, captures, animals or checks"}
	}
	return c.exportTable(what, *to, exchange.Places{Exact: *exact})
}

// tables are what can be given out as a table.
var tables = map[string]func(io.Writer, *register.Register, exchange.Places) error{
	"captures": exchange.WriteCaptures,
	"animals": func(w io.Writer, r *register.Register, _ exchange.Places) error {
		return exchange.WriteAnimals(w, r)
	},
	"checks": exchange.WriteChecks,
}

func (c *call) exportTable(what, to string, places exchange.Places) error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	p.View(func(r *register.Register) {
		table := func(w io.Writer) error { return tables[what](w, r, places) }
		if c.json {
			rows := table
			table = func(w io.Writer) error { return rowsAsJSON(w, rows) }
		}
		if to == "-" {
			err = table(c.stdout)
			return
		}
		dictionary := strings.TrimSuffix(to, ".csv") + ".dictionary.csv"
		if _, there := os.Stat(dictionary); there == nil {
			err = fmt.Errorf("%s: already there; choose another name for the table, nothing is written over", dictionary)
			return
		}
		if err = c.write(to, table); err == nil {
			err = c.write(dictionary, func(w io.Writer) error { return exchange.WriteDictionary(w, what, r, places) })
		}
	})
	return err
}

// rowsAsJSON writes a table as a list of objects, each value as in its cell.
func rowsAsJSON(w io.Writer, table func(io.Writer) error) error {
	var text bytes.Buffer
	if err := table(&text); err != nil {
		return err
	}
	cells, err := csv.NewReader(&text).ReadAll()
	if err != nil {
		return err
	}
	rows := []map[string]string{}
	for _, line := range cells[1:] {
		row := map[string]string{}
		for i, name := range cells[0] {
			row[name] = line[i]
		}
		rows = append(rows, row)
	}
	return json.NewEncoder(w).Encode(rows)
}
