package main

import (
	"io"
	"strings"

	"dawnround/exchange"
	"dawnround/register"
)

// export gives out the lines as they are, or a table with its dictionary
// beside it.
func (c *call) export() error {
	to := c.flags.String("o", "-", "file to write; standard output unless given")
	exact := c.flags.Bool("exact", false, "exact places; without it they are made coarse")
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
	return c.exportTable(what, *to, exchange.Places{Exact: *exact})
}

func (c *call) exportTable(what, to string, places exchange.Places) error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	tables := map[string]func(io.Writer, *register.Register) error{
		"captures": func(w io.Writer, r *register.Register) error { return exchange.WriteCaptures(w, r, places) },
		"animals":  exchange.WriteAnimals,
		"checks":   func(w io.Writer, r *register.Register) error { return exchange.WriteChecks(w, r, places) },
	}
	table, ok := tables[what]
	if !ok {
		return errUsage{"export " + what + ": not known; write lines, captures, animals or checks"}
	}
	p.View(func(r *register.Register) {
		if err = c.write(to, func(w io.Writer) error { return table(w, r) }); err != nil || to == "-" {
			return
		}
		dictionary := strings.TrimSuffix(to, ".csv") + ".dictionary.csv"
		err = c.write(dictionary, func(w io.Writer) error { return exchange.WriteDictionary(w, what, r, places) })
	})
	return err
}
