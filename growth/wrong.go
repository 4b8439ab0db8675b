package growth

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Wrong is something in a relation that cannot stand.
type Wrong struct {
	Field any // address of the field of the relation
	Says  string
	Mend  string
}

// Error is what is wrong and what to do.
func (w Wrong) Error() string { return w.Says + "; " + w.Mend }

// Wrongs finds what cannot stand in a relation; nothing where it can be used.
func (r *Relation) Wrongs() []Wrong {
	var wrongs []Wrong
	say := func(field any, mend, says string, args ...any) {
		wrongs = append(wrongs, Wrong{field, fmt.Sprintf(says, args...), mend})
	}
	if r.Trait == "" {
		say(&r.Trait, "write trait: and what was measured", "no trait")
	}
	if r.Unit == "" {
		say(&r.Unit, "write unit: mm, g, or 1 for an index", "no unit of the size")
	}
	if strings.TrimSpace(r.Source) == "" {
		say(&r.Source, "write source: author, year and table, or whose fit it is", "no source")
	}
	if _, ok := dayUnits[r.AgesIn]; !ok {
		say(&r.AgesIn, "write d, wk, mo or a", "ages in %q is no unit of age", r.AgesIn)
	}
	if !slices.Contains([]string{AgeOnSize, SizeOnAge, GainOnSize}, r.Fitted) {
		say(&r.Fitted, "write age on size, or size on age", "fitted %q does not say which way", r.Fitted)
	}
	r.wrongNumbers(say)
	if len(wrongs) == 0 {
		r.wrongForm(say)
	}
	if len(wrongs) == 0 {
		r.wrongRange(say)
	}
	return wrongs
}

type sayWrong func(field any, mend, says string, args ...any)

// wrongNumbers finds what is below zero or not finite.
func (r *Relation) wrongNumbers(say sayWrong) {
	for _, n := range []struct {
		field *float64
		what  string
	}{
		{&r.Residual, "residual sd"}, {&r.ResidualPercent, "residual percent"}, {&r.AsymptoteSD, "asymptote sd"},
		{&r.Reading, "reading error"}, {&r.NewbornBelow, "newborn below"}, {&r.NewbornDays, "newborn days"},
	} {
		if !(*n.field >= 0) || math.IsInf(*n.field, 0) {
			say(n.field, "write a number of 0 or more, or leave it out", "%s %v", n.what, *n.field)
		}
	}
	for i := range r.Parameters {
		if p := &r.Parameters[i]; math.IsNaN(p.Value) || math.IsInf(p.Value, 0) {
			say(&p.Value, "write its number", "parameter %s is %v", p.Name, p.Value)
		}
	}
	for i := range r.Covariance {
		if len(r.Covariance[i]) != len(r.Parameters) || len(r.Covariance) != len(r.Parameters) {
			say(&r.Covariance, "give a row and a column for each parameter, in their order", "covariance of %d rows beside %d parameters", len(r.Covariance), len(r.Parameters))
			return
		}
		if slices.ContainsFunc(r.Covariance[i], func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }) || r.Covariance[i][i] < 0 {
			say(&r.Covariance, "write finite numbers, with no variance below 0", "covariance, row %d", i+1)
		}
	}
}

// wrongForm sees that the form is known and has its parameters.
func (r *Relation) wrongForm(say sayWrong) {
	f, ok := FormOf(r.Form)
	switch {
	case !ok:
		say(&r.Form, "write one of: "+strings.Join(FormNames(), ", "), "form %q is not known here", r.Form)
		return
	case f.OfAge && r.Fitted == AgeOnSize:
		say(&r.Fitted, "write size on age", "%s gives size from age", r.Form)
	case (r.Form == Saturating) != (r.Fitted == GainOnSize):
		say(&r.Fitted, "write gain on size for "+Saturating+", and for nothing else", "%s, fitted %s", r.Form, r.Fitted)
	}
	var names []string
	for _, p := range r.Parameters {
		names = append(names, p.Name)
	}
	if !slices.Equal(names, f.Parameters) {
		say(&r.Parameters, "write "+strings.Join(f.Parameters, ", ")+" in this order ("+f.Words+")", "parameters %s of form %s", strings.Join(names, ", "), r.Form)
	}
	if ages, sizes := r.columns(); r.Form == Tabulated && (len(ages) < 2 || !ascending(ages) || !ascending(sizes)) {
		say(&r.Table, "give at least two rows, each older and larger than the one before", "table of %d rows", len(ages))
	}
}

// wrongRange sees that the range is there and the relation rises throughout it.
func (r *Relation) wrongRange(say sayWrong) {
	for _, g := range []struct {
		field *[]float64
		what  string
	}{{&r.Sizes, "sizes"}, {&r.Ages, "ages"}} {
		if *g.field != nil && (len(*g.field) != 2 || !ascending(*g.field)) {
			say(g.field, "write the smallest and the largest, like [6.6, 78.6]", "%s %v is no range", g.what, *g.field)
			return
		}
	}
	switch {
	case r.Fitted == GainOnSize:
		if r.Sizes == nil {
			say(&r.Sizes, "write sizes: [smallest, largest]", "no sizes it holds for")
		}
		return
	case r.Fitted == AgeOnSize && r.Sizes == nil:
		say(&r.Sizes, "write sizes: [smallest, largest]", "no sizes it holds for")
		return
	case r.Fitted == SizeOnAge && r.Ages == nil:
		say(&r.Ages, "write ages: [youngest, oldest]", "no ages it holds for")
		return
	}
	r.wrongCourse(say)
}

// wrongCourse looks at 200 places of the range: what is predicted must be a
// number and must rise, or no size has one age.
func (r *Relation) wrongCourse(say sayWrong) {
	from, to := r.span()
	p := r.values()
	last := math.Inf(-1)
	for i := range 201 {
		x := from + float64((to-from)*float64(i)/200)
		y := r.predict(p, x)
		if math.IsNaN(y) || math.IsInf(y, 0) || y <= last {
			say(&r.Parameters, "check the parameters and their units, or give a narrower range", "at %s it gives %s after %s: it must rise throughout its range", short(x), short(y), short(last))
			return
		}
		if r.Fitted == AgeOnSize && y < 0 {
			say(&r.Sizes, "let the range begin at a larger size, or check the parameters", "at size %s it gives the age %s", short(x), short(y))
			return
		}
		last = y
	}
	if r.Form == Tabulated && (from < r.end(0) || to > r.end(len(r.Table)-1)) {
		say(&r.Table, "let the range end where the rows end", "range %s to %s goes beyond the rows", short(from), short(to))
	}
}

// end is what a row of a table predicts from.
func (r *Relation) end(i int) float64 {
	if r.Fitted == AgeOnSize {
		return r.Table[i].Size
	}
	return r.Table[i].Age
}
