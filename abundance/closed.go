package abundance

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"dawnround/fit"
)

// A Model says what detection depends on, as a list of effects (see
// [fit.Cells.Design]): "occasion", "trend" (0 on the first night, 1 on the
// second…), "after-capture" (caught before or not), "group", "mixture:2" (two
// unknown kinds of animal, or more), a nightly or an animal's number by name.
// No effect is constant detection. Conditional takes the likelihood given that
// the animal was caught, which alone allows animals' own numbers (Huggins
// 1989); otherwise N is a parameter (Otis et al. 1978).
type Model struct {
	Detect      []string `json:"detect"`
	Conditional bool     `json:"conditional"`
}

// closed is a model laid over data.
type closed struct {
	survey
	model      Model
	components int
	design     fit.Design   // of the distinct rows
	x          [][]float64  // the distinct rows
	index      map[cell]int // place of each chance
	cellOf     []int        // by place: the cell of the design it is
	rows       [][]int      // by cell: the row of each component
	lives      []path       // of animals caught
	unseen     []path       // of one never caught, by distinct kind
	labels     []label      // the natural-scale detections
	scratch    scratch
}

// A path is a life over the cells of the design.
type path struct {
	count float64
	group int
	uses  []pathUse
}

type pathUse struct {
	cell           int
	caught, missed float64
}

// A label is a detection probability as a reader would name it, with its row
// of the predictor (at the animals' mean, where they have numbers of their own).
type label struct {
	name string
	row  []float64
}

// lay puts a model over data, pooling whatever the model cannot tell apart.
func lay(d Data, m Model) (*closed, error) {
	effects, components, err := mixture(m.Detect)
	if err != nil {
		return nil, err
	}
	used := fit.Used(effects)
	s, err := d.survey(used)
	if err != nil {
		return nil, err
	}
	if components > 1 && !s.tellsWho {
		return nil, fmt.Errorf("a mixture needs to know how often each animal was caught; nightly totals do not tell")
	}
	if len(s.columns) > 0 && !m.Conditional {
		return nil, fmt.Errorf("%s differs between animals, and that of those never caught is not known: use the conditional likelihood", strings.Join(s.columns, " and "))
	}
	c := &closed{survey: s, model: m, components: components}
	cells := c.list()
	if c.design, err = predictorCells(s, cells, components).Design(effects); err != nil {
		return nil, err
	}
	c.distinct(len(cells))
	c.pool()
	c.name(cells, used)
	c.scratch = newScratch(len(c.x), components)
	return c, nil
}

// mixture takes "mixture:k" apart from the effects, leaving "mixture".
func mixture(effects []string) (rest []string, components int, err error) {
	components = 1
	for _, effect := range effects {
		parts := strings.Split(effect, "*")
		for i, part := range parts {
			kind, count, has := strings.Cut(strings.TrimSpace(part), ":")
			if kind != "mixture" {
				continue
			}
			components = 2
			if has {
				if components, err = strconv.Atoi(count); err != nil || components < 2 || components > 5 {
					return nil, 0, fmt.Errorf("%q: expected mixture:2 to mixture:5", part)
				}
			}
			parts[i] = "mixture"
		}
		rest = append(rest, strings.Join(parts, "*"))
	}
	return rest, components, nil
}

// list gives every chance the data have a place.
func (c *closed) list() []cell {
	var cells []cell
	c.index = map[cell]int{}
	add := func(uses []use) {
		for _, u := range uses {
			if _, ok := c.index[u.cell]; !ok {
				c.index[u.cell] = len(cells)
				cells = append(cells, u.cell)
			}
		}
	}
	for _, p := range c.profiles {
		add(p.unseen)
	}
	for _, l := range c.survey.lives {
		add(l.uses)
	}
	return cells
}

// predictorCells describes every cell, once for each component, to the predictor.
func predictorCells(s survey, cells []cell, components int) fit.Cells {
	out := fit.Cells{Rows: len(cells) * components, Factors: map[string]fit.Factor{}, Columns: map[string][]float64{}}
	each := func(of func(cell) int) []int {
		at := make([]int, 0, out.Rows)
		for _, c := range cells {
			for range components {
				at = append(at, of(c))
			}
		}
		return at
	}
	column := func(of func(cell) float64) []float64 {
		at := make([]float64, 0, out.Rows)
		for _, c := range cells {
			for range components {
				at = append(at, of(c))
			}
		}
		return at
	}
	if s.tellsNight {
		out.Factors["occasion"] = fit.Factor{Levels: numbered(s.nights), At: each(func(c cell) int { return c.night })}
		out.Columns["trend"] = column(func(c cell) float64 { return float64(c.night) })
	}
	if s.tellsFirst {
		out.Factors["after-capture"] = fit.Factor{Levels: []string{"first", "after"}, At: each(func(c cell) int {
			if c.after {
				return 1
			}
			return 0
		})}
	}
	if len(s.groups) > 0 {
		out.Factors["group"] = fit.Factor{Levels: s.groups, At: each(func(c cell) int { return s.profiles[c.profile].group })}
	}
	if components > 1 {
		at := make([]int, out.Rows)
		for i := range at {
			at[i] = i % components
		}
		out.Factors["mixture"] = fit.Factor{Levels: numbered(components), At: at}
	}
	for name, values := range s.nightly {
		out.Columns[name] = column(func(c cell) float64 { return values[c.night] })
	}
	for k, name := range s.columns {
		out.Columns[name] = column(func(c cell) float64 { return s.profiles[c.profile].values[k] })
	}
	return out
}

func numbered(n int) []string {
	names := make([]string, n)
	for i := range names {
		names[i] = strconv.Itoa(i + 1)
	}
	return names
}

// distinct keeps each different row of the design once. Cells whose rows agree
// in every component become one.
func (c *closed) distinct(cells int) {
	rowAt, tupleAt := map[string]int{}, map[string]int{}
	c.cellOf = make([]int, cells)
	for i := range cells {
		tuple := make([]int, c.components)
		for k := range tuple {
			row := c.design.X[i*c.components+k]
			key := bits(row)
			at, ok := rowAt[key]
			if !ok {
				at = len(c.x)
				rowAt[key] = at
				c.x = append(c.x, row)
			}
			tuple[k] = at
		}
		key := fmt.Sprint(tuple)
		at, ok := tupleAt[key]
		if !ok {
			at = len(c.rows)
			tupleAt[key] = at
			c.rows = append(c.rows, tuple)
		}
		c.cellOf[i] = at
	}
}

func bits(row []float64) string {
	key := make([]byte, 0, 8*len(row))
	for _, v := range row {
		b := math.Float64bits(v)
		for shift := 0; shift < 64; shift += 8 {
			key = append(key, byte(b>>shift))
		}
	}
	return string(key)
}

// pool counts together the lives, and the kinds of animal, that look alike to
// the model.
func (c *closed) pool() {
	alike := map[string]int{}
	add := func(to *[]path, p path, kind string) {
		key := kind + fmt.Sprint(p.uses)
		if at, ok := alike[key]; ok {
			(*to)[at].count += p.count
			return
		}
		alike[key] = len(*to)
		*to = append(*to, p)
	}
	for _, l := range c.survey.lives {
		add(&c.lives, c.shorten(l.count, 0, l.uses), "life ")
	}
	for _, p := range c.profiles {
		add(&c.unseen, c.shorten(p.caught, p.group, p.unseen), fmt.Sprint("unseen ", p.group, " "))
	}
}

// shorten takes chances that are one to the model together.
func (c *closed) shorten(count float64, group int, uses []use) path {
	p := path{count: count, group: group}
	at := map[int]int{}
	for _, u := range uses {
		id := c.cellOf[c.index[u.cell]]
		k, ok := at[id]
		if !ok {
			k = len(p.uses)
			at[id] = k
			p.uses = append(p.uses, pathUse{cell: id})
		}
		p.uses[k].caught += u.caught
		p.uses[k].missed += u.missed
	}
	slices.SortFunc(p.uses, func(a, b pathUse) int { return a.cell - b.cell })
	return p
}

// name finds the natural-scale detections: one for each combination of the
// levels the effects speak of. Nightly numbers make nights differ.
func (c *closed) name(cells []cell, used []string) {
	speaks := func(name string) bool { return slices.Contains(used, name) }
	nights := speaks("occasion") || speaks("trend")
	for name := range c.nightly {
		nights = nights || speaks(name)
	}
	sums := map[string]float64{}
	for i, cell := range cells {
		for k := range c.components {
			var words []string
			if nights {
				words = append(words, strconv.Itoa(cell.night+1))
			}
			if speaks("group") {
				words = append(words, c.groups[c.profiles[cell.profile].group])
			}
			if speaks("after-capture") {
				words = append(words, map[bool]string{false: "first", true: "after"}[cell.after])
			}
			if c.components > 1 {
				words = append(words, "kind "+strconv.Itoa(k+1))
			}
			name := "detection"
			if len(words) > 0 {
				name += "[" + strings.Join(words, ",") + "]"
			}
			at := slices.IndexFunc(c.labels, func(l label) bool { return l.name == name })
			if at < 0 {
				at = len(c.labels)
				c.labels = append(c.labels, label{name, make([]float64, len(c.design.Names))})
			}
			weight := math.Max(c.profiles[cell.profile].caught, 1e-9)
			sums[name] += weight
			for j, v := range c.design.X[i*c.components+k] {
				c.labels[at].row[j] += weight * v
			}
		}
	}
	for _, l := range c.labels {
		for j := range l.row {
			l.row[j] /= sums[l.name]
		}
	}
}
