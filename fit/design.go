package fit

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Cells are the rows of a linear predictor (say, every night of every group)
// with all that an effect may name about them.
type Cells struct {
	Rows    int
	Factors map[string]Factor
	Columns map[string][]float64 // a number for every row
}

// A Factor sorts rows into levels. At holds each row's index into Levels.
type Factor struct {
	Levels []string
	At     []int
}

// A Design is the matrix of a linear predictor: link value = X·coefficients.
type Design struct {
	Names   []string    // one per coefficient
	X       [][]float64 // one row per cell
	Basis   Matrix      // upper triangular; the columns of X·Basis are orthogonal, of mean square 1
	Aliased []string    // columns left out, because those before them say the same
}

// Design builds a linear predictor from a list of effects, each adding to the
// ones before. There is always a constant. An effect is
//
//	constant        the constant alone
//	NAME            a factor (its first level is the reference) or a column
//	NAME:k          a factor whose levels from the k-th on are one
//	sets:1=a;2=b    the factor "occasion" gathered into named sets
//	E*E             every combination of two effects
//
// A column that others before it already determine is left out and named in
// Aliased. A name that is neither factor nor column is an error that lists
// what there is.
func (c Cells) Design(effects []string) (Design, error) {
	columns := []column{{name: "constant", at: filled(c.Rows, 1)}}
	for _, effect := range effects {
		t, err := c.term(strings.TrimSpace(effect))
		if err != nil {
			return Design{}, fmt.Errorf("effect %q: %w", effect, err)
		}
		columns = append(columns, t.columns(strings.TrimSpace(effect))...)
	}
	return orthogonalise(columns, c.Rows), nil
}

// Used returns the names of the factors and columns that effects speak of.
func Used(effects []string) []string {
	var used []string
	for _, effect := range effects {
		for _, part := range strings.Split(effect, "*") {
			name, _, _ := strings.Cut(strings.TrimSpace(part), ":")
			if name == "sets" {
				name = "occasion"
			}
			if name != "constant" && !slices.Contains(used, name) {
				used = append(used, name)
			}
		}
	}
	return used
}

type column struct {
	name string
	at   []float64
}

// A term is an effect before contrasts are taken: a factor, numbers, or
// numbers within the levels of a factor.
type term struct {
	levels []string
	level  []int
	number []float64
}

func (c Cells) term(effect string) (term, error) {
	var t term
	for _, part := range strings.Split(effect, "*") {
		next, err := c.single(strings.TrimSpace(part))
		if err != nil {
			return term{}, err
		}
		t = t.by(next, c.Rows)
	}
	return t, nil
}

func (c Cells) single(name string) (term, error) {
	base, argument, has := strings.Cut(name, ":")
	switch factor, isFactor := c.Factors[base]; {
	case name == "constant":
		return term{}, nil
	case base == "sets" && has:
		return c.sets(argument)
	case isFactor && has:
		return capped(factor, argument)
	case isFactor:
		return term{levels: factor.Levels, level: factor.At}, nil
	case c.Columns[name] != nil:
		return term{number: c.Columns[name]}, nil
	}
	return term{}, fmt.Errorf("no such effect here; these data know %s", strings.Join(c.known(), ", "))
}

func (c Cells) known() []string {
	known := []string{}
	for name := range c.Factors {
		known = append(known, name)
	}
	for name := range c.Columns {
		known = append(known, name)
	}
	slices.Sort(known)
	return append([]string{"constant"}, known...)
}

// capped makes one level of the k-th level of a factor and all behind it.
func capped(f Factor, argument string) (term, error) {
	k, err := strconv.Atoi(argument)
	if err != nil || k < 1 {
		return term{}, fmt.Errorf("%q after the colon: expected how many levels to keep apart, 1 or more", argument)
	}
	if k >= len(f.Levels) {
		return term{levels: f.Levels, level: f.At}, nil
	}
	levels := slices.Clone(f.Levels[:k])
	levels[k-1] += "+"
	at := make([]int, len(f.At))
	for i, l := range f.At {
		at[i] = min(l, k-1)
	}
	return term{levels: levels, level: at}, nil
}

// sets gathers the levels of the factor "occasion" into named sets.
func (c Cells) sets(argument string) (term, error) {
	occasion, ok := c.Factors["occasion"]
	if !ok {
		return term{}, fmt.Errorf("sets are of occasions, and these data do not tell occasions apart")
	}
	var levels []string
	setOf := map[string]int{}
	for _, pair := range strings.FieldsFunc(argument, func(r rune) bool { return r == ',' || r == ';' }) {
		level, set, found := strings.Cut(pair, "=")
		if !found || !slices.Contains(occasion.Levels, level) {
			return term{}, fmt.Errorf("set %q: expected OCCASION=SET with an occasion of %s", pair, strings.Join(occasion.Levels, ", "))
		}
		if !slices.Contains(levels, set) {
			levels = append(levels, set)
		}
		setOf[level] = slices.Index(levels, set)
	}
	at := make([]int, c.Rows)
	for i, l := range occasion.At {
		set, ok := setOf[occasion.Levels[l]]
		if !ok {
			return term{}, fmt.Errorf("occasion %s is in no set; give every occasion a set", occasion.Levels[l])
		}
		at[i] = set
	}
	return term{levels: levels, level: at}, nil
}

// by combines two terms: levels with levels, numbers with numbers.
func (t term) by(u term, rows int) term {
	out := term{levels: t.levels, level: t.level, number: t.number}
	switch {
	case t.level == nil:
		out.levels, out.level = u.levels, u.level
	case u.level != nil:
		out.levels, out.level = nil, make([]int, rows)
		for _, a := range t.levels {
			for _, b := range u.levels {
				out.levels = append(out.levels, a+","+b)
			}
		}
		for i := range rows {
			out.level[i] = t.level[i]*len(u.levels) + u.level[i]
		}
	}
	switch {
	case t.number == nil:
		out.number = u.number
	case u.number != nil:
		out.number = make([]float64, rows)
		for i := range rows {
			out.number[i] = t.number[i] * u.number[i]
		}
	}
	return out
}

// columns lays a term out: one column for numbers, one for each level of a
// factor but its first; numbers within levels take one column for each level.
// Levels that no row has are passed over.
func (t term) columns(name string) []column {
	if t.level == nil {
		if t.number == nil {
			return nil
		}
		return []column{{name, t.number}}
	}
	var out []column
	for l, label := range t.levels {
		if !slices.Contains(t.level, l) {
			continue
		}
		at := make([]float64, len(t.level))
		for i := range at {
			if t.level[i] == l {
				at[i] = 1
				if t.number != nil {
					at[i] = t.number[i]
				}
			}
		}
		out = append(out, column{fmt.Sprintf("%s[%s]", name, label), at})
	}
	if t.number == nil && len(out) > 0 {
		return out[1:]
	}
	return out
}

// orthogonalise keeps the columns that add something, in order, and finds the
// triangular change of coefficients that makes them orthogonal, by modified
// Gram–Schmidt (Golub & Van Loan, Matrix Computations, §5.2).
func orthogonalise(columns []column, rows int) Design {
	var d Design
	var kept, q [][]float64
	var r [][]float64 // column j of the triangle
	for _, col := range columns {
		v := slices.Clone(col.at)
		along := make([]float64, len(q)+1)
		for range 2 { // twice is enough to be orthogonal to rounding
			for k, unit := range q {
				a := dot(unit, v) / float64(rows)
				along[k] += a
				axpy(-a, unit, v)
			}
		}
		length := math.Sqrt(dot(v, v) / float64(rows))
		if !(length > 1e-9*math.Sqrt(dot(col.at, col.at)/float64(rows))) {
			d.Aliased = append(d.Aliased, col.name)
			continue
		}
		for i := range v {
			v[i] /= length
		}
		along[len(q)] = length
		kept, q, r = append(kept, col.at), append(q, v), append(r, along)
		d.Names = append(d.Names, col.name)
	}
	d.X = transposed(kept, rows)
	d.Basis = invertedTriangle(r)
	return d
}

func transposed(columns [][]float64, rows int) [][]float64 {
	flat := make([]float64, rows*len(columns))
	x := make([][]float64, rows)
	for i := range x {
		x[i] = flat[i*len(columns) : (i+1)*len(columns)]
		for j, c := range columns {
			x[i][j] = c[i]
		}
	}
	return x
}

// invertedTriangle inverts the upper triangle whose column j is r[j].
func invertedTriangle(r [][]float64) Matrix {
	n := len(r)
	upper := NewMatrix(n)
	for j, column := range r {
		for i, v := range column {
			upper[i][j] = v
		}
	}
	inverse := NewMatrix(n)
	for j := range n {
		for i, v := range upper.solveUpper(unit(n, j)) {
			inverse[i][j] = v
		}
	}
	return inverse
}

func unit(n, i int) []float64 {
	u := make([]float64, n)
	u[i] = 1
	return u
}

func filled(n int, v float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = v
	}
	return x
}

// Coefficients finds the coefficients that give the link values eta at the
// rows of x, or tells that the predictor cannot take those values. The least
// squares are taken in orthogonal columns.
func Coefficients(x [][]float64, eta []float64) ([]float64, error) {
	if len(x) != len(eta) || len(x) == 0 {
		return nil, fmt.Errorf("%d values given for a predictor of %d", len(eta), len(x))
	}
	columns := make([]column, len(x[0]))
	for j := range columns {
		columns[j] = column{strconv.Itoa(j + 1), make([]float64, len(x))}
		for i := range x {
			columns[j].at[i] = x[i][j]
		}
	}
	d := orthogonalise(columns, len(x))
	if len(d.Aliased) > 0 {
		return nil, fmt.Errorf("these values do not settle every coefficient; give coefficients on the link scale instead")
	}
	projected := make([]float64, len(columns)) // (X·Basis)ᵀ·eta / rows
	scratch := make([]float64, len(columns))
	for i, row := range x {
		d.Basis.timesTransposed(row, scratch)
		axpy(eta[i]/float64(len(x)), scratch, projected)
	}
	beta := d.Basis.times(projected)
	for i, row := range x {
		size := 1 + math.Abs(eta[i])
		for j, v := range row {
			size += math.Abs(v * beta[j])
		}
		if !(math.Abs(dot(row, beta)-eta[i]) <= 1e-8*size) {
			return nil, fmt.Errorf("value %d: this predictor cannot take these values together", i+1)
		}
	}
	return beta, nil
}
