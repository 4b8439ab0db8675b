package main

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"dawnround/growth"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"
)

// An adoptedCurve is a curve that the checks and the bench go by.
type adoptedCurve struct {
	Species  string          `json:"species"` // code of the sheet
	Trait    string          `json:"trait"`
	Sex      record.Sex      `json:"sex,omitempty"` // empty: both
	Why      string          `json:"why,omitempty"`
	Relation growth.Relation `json:"relation"`
}

// growthAdopt writes the line that puts a fitted curve in force for a species,
// trait and sex; the one before it stays in the notebook.
func (c *call) growthAdopt() error {
	species := c.flags.String("species", "", "code of the species sheet; that of the curve unless given")
	sex := c.flags.String("sex", "", "female or male; that of the curve unless given")
	why := c.flags.String("why", "", "why this curve")
	if err := c.parse(1, 1); err != nil {
		return err
	}
	if *sex != "" && *sex != "female" && *sex != "male" {
		return errUsage{fmt.Sprintf("--sex %q: write female or male", *sex)}
	}
	relation, err := c.ownCurve(c.args[0])
	if err != nil {
		return err
	}
	if relation.Sex != "" && *sex != "" && relation.Sex != *sex {
		return fmt.Errorf("%s: the curve is of %ss; adopt it as such, or fit one with --sex %s", c.args[0], relation.Sex, *sex)
	}
	relation.Sex = cmp.Or(relation.Sex, *sex)
	f, err := c.open()
	if err != nil {
		return err
	}
	var sheet *protocol.Sheet
	f.View(func(r *register.Register) { sheet, err = sheetFor(r, *species, &relation) })
	if err != nil {
		return errors.Join(fmt.Errorf("%s: %w", c.args[0], err), f.close())
	}
	kept, err := json.Marshal(relation)
	if err == nil {
		_, err = f.Keep(c.who, c.now(), record.Curve{Species: sheet.Code, Trait: relation.Trait, Sex: record.Sex(relation.Sex), Relation: kept, Why: *why})
	}
	if err = errors.Join(err, f.close()); err != nil {
		return err
	}
	a := adoptedCurve{sheet.Code, relation.Trait, record.Sex(relation.Sex), *why, relation}
	return c.print(a, text(func(b *bytes.Buffer) { fmt.Fprintf(b, "adopted: %s", a.says()) }))
}

// sheetFor is the species sheet that a curve belongs to. Its trait must be on
// the sheet, by any of its names, and in the same unit; the relation then bears
// the sheet's own word.
func sheetFor(r *register.Register, code string, l *growth.Relation) (*protocol.Sheet, error) {
	if r.Protocol() == nil {
		return nil, hinted{errors.New("the programme has no protocol yet"), "dawnround protocol adopt FILE"}
	}
	s, ok := r.Protocol().Sheet(cmp.Or(code, l.Species))
	for i := 0; !ok && code == "" && i < len(r.Protocol().Species); i++ {
		s = &r.Protocol().Species[i]
		ok = l.OfSpecies(s.Scientific)
	}
	if !ok {
		return nil, speciesUnknown(r, cmp.Or(code, l.Species))
	}
	var known []string
	for i := range s.Traits {
		t := &s.Traits[i]
		known = append(known, fmt.Sprintf("%s (%s)", t.ID, t.Unit))
		if t.ID != l.Trait && !l.OfTrait(t.Name) {
			continue
		}
		if t.Unit != l.Unit {
			return nil, hinted{fmt.Errorf("%s is in %s on the sheet of %s, and the curve in %s", t.ID, t.Unit, s.Code, l.Unit), "fit it again in the sheet's unit"}
		}
		l.Trait = t.ID
		return s, nil
	}
	return nil, hinted{fmt.Errorf("the curve is of %q, which is no trait on the sheet of %s", l.Trait, s.Code), "its traits are " + strings.Join(known, ", ")}
}

// growthShow lists the curves in force, with the animals and the state they
// were fitted from.
func (c *call) growthShow() error {
	if err := c.parse(0, 0); err != nil {
		return err
	}
	p, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	list := []adoptedCurve{}
	p.View(func(r *register.Register) {
		for _, s := range r.Protocol().Species {
			for _, l := range r.AdoptedCurves(s.Code) {
				relation, err := growth.Read(l.Relation)
				if err != nil {
					fmt.Fprintf(c.stderr, "%s %s: adopted, but this version cannot read it: %s\n", l.Species, l.Trait, err)
					continue
				}
				list = append(list, adoptedCurve{l.Species, l.Trait, l.Sex, l.Why, relation})
			}
		}
	})
	return c.print(list, text(func(b *bytes.Buffer) {
		for _, a := range list {
			fmt.Fprint(b, a.says())
		}
		if len(list) == 0 {
			fmt.Fprintln(b, "no curve is adopted; dawnround growth fit --json prints one, and growth adopt FILE puts it in force")
		}
	}))
}

// says tells a curve, what it rests on and why it was adopted.
func (a adoptedCurve) says() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s, %s: %s", a.Species, a.Trait, orElse(string(a.Sex), "both sexes"), a.Relation.Form)
	for _, p := range a.Relation.Parameters {
		fmt.Fprintf(&b, ", %s %s", p.Name, spacedUnit(p))
	}
	fmt.Fprintln(&b)
	fmt.Fprintf(&b, "  %s, %s; %s", plural(a.Relation.Animals, "animal"), plural(a.Relation.Measures, "reading"), a.Relation.Source)
	if a.Relation.Made != nil {
		fmt.Fprintf(&b, ", state %s", a.Relation.Made.State)
	}
	fmt.Fprintln(&b)
	if a.Why != "" {
		fmt.Fprintf(&b, "  why: %s\n", a.Why)
	}
	return b.String()
}

func spacedUnit(p growth.Parameter) string {
	return strings.TrimSpace(figure(p.Value) + " " + p.Unit)
}
