package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"slices"
	"strings"

	"dawnround/exchange"
)

// importTable enters a table through a mapping. Rows that cannot be entered
// are written beside the table, to be corrected and imported again.
func (c *call) importTable() error {
	as := c.flags.String("as", "", "the mapping, a YAML file; own: a table of captures that export gave")
	dry := c.flags.Bool("dry-run", false, "count only, write nothing")
	aside := c.flags.String("aside", "", "file for the rows set aside; FILE.aside.csv unless given")
	if err := c.parse(1, 1); err != nil {
		return err
	}
	mapping, err := c.mapping(*as)
	if err != nil {
		return err
	}
	table, err := c.readFile(c.args[0])
	if err != nil {
		return err
	}
	f, err := c.open()
	if err != nil {
		return err
	}
	do := exchange.Import
	if *dry {
		do = exchange.DryRun
	}
	result, err := do(c.ctx, f.Programme, mapping, table, exchange.Options{Who: c.who, Now: c.now, Progress: c.progress("row")})
	if err = errors.Join(err, f.close()); err != nil {
		return err
	}
	report := imported{Result: result, DryRun: *dry}
	if len(result.Aside) > 0 && !*dry {
		if report.AsideFile = *aside; *aside == "" {
			report.AsideFile = strings.TrimSuffix(c.args[0], ".csv") + ".aside.csv"
		}
		if report.AsideFile, err = c.writeAside(report.AsideFile, *aside == "", result); err != nil {
			return err
		}
	}
	if err := c.print(report, report.person()); err != nil {
		return err
	}
	if result.Stopped {
		return hinted{fmt.Errorf("stopped after %s, which are in", plural(result.Rows, "row")), "give the same command again to go on from there"}
	}
	return nil
}

// imported is what import prints as JSON.
type imported struct {
	exchange.Result
	DryRun    bool   `json:"dry_run,omitempty"`
	AsideFile string `json:"aside_file,omitempty"`
}

func (c *call) mapping(as string) (*exchange.Mapping, error) {
	if as == "" {
		return nil, errUsage{"--as MAPPING.yaml is missing; it says which column is what (examples/ has two)"}
	}
	if m, ok := exchange.Shipped(as); ok {
		return m, nil
	}
	text, err := os.ReadFile(as)
	if err != nil {
		return nil, err
	}
	return exchange.ParseMapping(as, text)
}

// writeAside writes the rows set aside. A name that was not asked for gives way
// to one that is free, and to the programme's folder where the table's own
// cannot be written in.
func (c *call) writeAside(name string, mayMove bool, result exchange.Result) (string, error) {
	body := func(w io.Writer) error { return exchange.WriteAside(w, result) }
	err := c.write(name, body)
	if err == nil || !mayMove {
		return name, err
	}
	for i := 1; ; i++ {
		free := fmt.Sprintf("%s/aside-%d.csv", strings.TrimSuffix(c.dir, "/"), i)
		if _, there := os.Stat(free); there != nil {
			return free, c.write(free, body)
		}
	}
}

func (i imported) person() func(io.Writer) error {
	return text(func(b *bytes.Buffer) {
		if i.DryRun {
			fmt.Fprint(b, "dry run, nothing was written: ")
		}
		fmt.Fprintf(b, "%s: %d entered, %d entered and flagged, %d set aside, %d already there\n",
			plural(i.Rows, "row"), i.Entered, i.Flagged, i.SetAside, i.AlreadyThere)
		if i.Corrected > 0 {
			fmt.Fprintf(b, "%s of those entered had changed and became corrections\n", plural(i.Corrected, "row"))
		}
		for _, reason := range slices.SortedFunc(maps.Keys(i.Reasons), i.moreOften) {
			fmt.Fprintf(b, "%8d  %s\n", i.Reasons[reason], reason)
		}
		if i.AsideFile != "" {
			fmt.Fprintf(b, "the rows set aside are in %s: correct them there and import that file the same way\n", i.AsideFile)
		}
	})
}

func (i imported) moreOften(a, b string) int {
	if d := i.Reasons[b] - i.Reasons[a]; d != 0 {
		return d
	}
	return strings.Compare(a, b)
}
