package main

import (
	"fmt"
	"io"
	"slices"
	"time"

	"dawnround/chart"
	"dawnround/desk"
	"dawnround/notebook/sqlite"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// screen is a page of the desk, printed: its struct is the JSON.
type screen interface{ Text(io.Writer) }

func (c *call) show(make func(*register.Register) (screen, error)) error {
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	p.View(func(r *register.Register) {
		var s screen
		if s, err = make(r); err == nil {
			err = c.print(s, func(w io.Writer) error { s.Text(w); return nil })
		}
	})
	return err
}

func (c *call) animal() error {
	svg := c.svg()
	pdf := c.flags.String("pdf", "", "write the life on one A4 sheet into this file, which must not exist yet; places by site only")
	on := c.flags.String("on", "", "as of this date, 2026-05-14, which also stands in the PDF; now unless given")
	if err := c.parse(1, 1); err != nil {
		return err
	}
	now := c.now()
	if *on != "" {
		day, err := c.dayOr(*on, "--on")
		if err != nil {
			return err
		}
		now = day.Add(12 * time.Hour)
	}
	return c.show(func(r *register.Register) (screen, error) {
		id, err := findAnimal(r, c.args[0])
		if err != nil {
			return nil, err
		}
		life, _ := desk.LifePage(r, id, now)
		return life, c.shareLife(life, *svg, *pdf, now)
	})
}

// shareLife writes a life as a picture, as a sheet, or as neither.
func (c *call) shareLife(l desk.Life, svg, pdf string, made time.Time) error {
	shared := l.Shared()
	var err error
	if svg != "" {
		err = c.write(svg, func(w io.Writer) error {
			_, err := io.WriteString(w, shared.Picture().File(chart.Paper+desk.LifePaper))
			return err
		})
	}
	if err == nil && pdf != "" {
		sheet := shared.Sheet()
		sheet.Made = made
		err = c.write(pdf, func(w io.Writer) error {
			_, err := sheet.WriteTo(w)
			return err
		})
	}
	return err
}

// findAnimal finds one animal by its id or that of a capture, by a whole
// mark, or by the end of one.
func findAnimal(r *register.Register, asked string) (uuid.UUID, error) {
	if id, err := uuid.Parse(asked); err == nil {
		if a, ok := r.AnimalOf(id); ok {
			return a, nil
		}
		return uuid.UUID{}, fmt.Errorf("%s: no animal, capture or young of this programme", asked)
	}
	keys := r.MarksReading(asked)
	if len(keys) == 0 {
		keys = r.MarksEnding(asked)
	}
	var found []uuid.UUID
	var marks string
	for _, k := range keys {
		for _, span := range r.Spans(k) {
			if a := span.Captures[0].Animal; !slices.Contains(found, a) {
				found = append(found, a)
				marks += fmt.Sprintf("\n  %s %s %s  %s", k.Kind, k.Text, k.Species, a)
			}
		}
	}
	switch len(found) {
	case 1:
		return found[0], nil
	case 0:
		if near := r.MarksNear(asked); len(near) > 0 {
			return uuid.UUID{}, hinted{fmt.Errorf("no mark ends in %q", asked), fmt.Sprintf("one slip away: %s", near[0].Text)}
		}
		return uuid.UUID{}, hinted{fmt.Errorf("no mark ends in %q", asked), "give more of the number, or an id from: dawnround export animals"}
	}
	if len(found) > 20 {
		return uuid.UUID{}, fmt.Errorf("%d animals have a mark that ends in %q; give more of it", len(found), asked)
	}
	return uuid.UUID{}, fmt.Errorf("%d animals have a mark that ends in %q; give the id of one:%s", len(found), asked, marks)
}

func (c *call) trip() error {
	if err := c.parse(0, 1); err != nil {
		return err
	}
	return c.show(func(r *register.Register) (screen, error) {
		if len(c.args) == 0 {
			return desk.TripsPage(r, c.now()), nil
		}
		page, ok := desk.TripSummary(r, c.args[0], c.now())
		if !ok {
			return nil, hinted{fmt.Errorf("trip %q: not in this programme", c.args[0]), "dawnround trip lists the trips"}
		}
		return page, nil
	})
}

func (c *call) evening() error {
	if err := c.parse(0, 1); err != nil {
		return err
	}
	var night record.Night
	if len(c.args) == 1 {
		var err error
		if night, err = record.ParseNight(c.args[0]); err != nil {
			return err
		}
	}
	unfinished, err := c.unfinished()
	if err != nil {
		return err
	}
	return c.show(func(r *register.Register) (screen, error) {
		return desk.EveningPage(r, night, unfinished, c.now()), nil
	})
}

// unfinished counts the drafts left open on this device.
func (c *call) unfinished() (int, error) {
	if err := c.wantNotebook(); err != nil {
		return 0, err
	}
	store, err := sqlite.OpenReading(c.dir)
	if err != nil {
		return 0, err
	}
	defer store.Close()
	drafts, err := store.All()
	return len(drafts), err
}
