package demo

import (
	"fmt"
	"math"
	"slices"

	"github.com/google/uuid"
)

// beast is one invented animal as it really is.
type beast struct {
	*kind
	name   string
	female bool
	born   int // day; the first night of the first trip is day 0
	died   int
	how    string // it went; empty while it lives
	mother *beast

	site  int
	home  float64 // along the line, in traps
	bold  float64 // logit, added to the chance to be caught
	scale map[string]float64

	pouch, foot []*beast
	next        int // day from which it may give birth
	bred        bool

	chip, tag string // in or on it now
	hole      bool   // of an ear biopsy
	wound     wound
	file      *file // as the crew know it, nil while unknown
	row       uuid.UUID
	renamed   []uuid.UUID // a capture under its old name and one under the new, until the lab has told
	truth     Animal
}

// wound is a bite or scratch; day zero value is none.
type wound struct {
	part, side string
	day        int
	real       bool
}

// file is what the crew know of an animal.
type file struct {
	chip, tag string
	trip      string // it was last met on
	rank      int    // of its life stage; it never goes back
	biopsied  bool
}

func (b *beast) sexAt() int {
	if b.female {
		return 0
	}
	return 1
}

func (b *beast) age(day int) int { return day - b.born }

// curve is the animal's own growth curve of a trait.
func (b *beast) curve(trait string) Curve {
	return b.sizes[trait][b.sexAt()].scaled(b.scale[trait])
}

// size is the true size of a trait on a day, in its unit.
func (b *beast) size(trait string, day int) float64 {
	return b.curve(trait).At(math.Max(0, float64(b.age(day))))
}

func (b *beast) alone(day int) bool { return b.age(day) >= b.weaned }

// outAndAbout reports an animal that may walk into a trap by itself.
func (b *beast) outAndAbout(day int) bool {
	return b.how == "" && b.age(day) >= b.about
}

// country is where the animals live.
type country struct {
	chance
	season func(day int) float64 // −1 in midwinter to 1 in midsummer
	living []*beast
	ever   []*beast
	day    int
}

// settle puts the first animals on the ridges.
func (c *country) settle(sites int) {
	for _, k := range kinds {
		for site := range sites {
			for range k.capacity {
				age := k.weaned + int(c.ExpFloat64()*float64(k.old)/4)
				b := c.newborn(k, nil)
				b.born = c.day - min(age, k.old)
				b.site, b.home = site, 0.5+20*c.Float64()
				c.firstBirth(b)
			}
		}
	}
}

// newborn makes an animal of this day.
func (c *country) newborn(k *kind, mother *beast) *beast {
	b := &beast{
		kind: k, name: fmt.Sprintf("%s-%04d", k.code, len(c.ever)+1), female: c.of(0.5), born: c.day, mother: mother,
		bold: c.about(0, 0.6), scale: map[string]float64{crown: 1},
	}
	frame := c.about(1, 0.018)
	for _, trait := range bones {
		b.scale[trait] = frame * c.about(1, 0.012)
	}
	b.scale[mass] = math.Pow(frame, 2.5) * c.about(1, 0.06)
	b.scale[testis] = c.about(1, 0.05)
	if mother != nil {
		b.site, b.home = mother.site, mother.home
		mother.pouch = append(mother.pouch, b)
		mother.bred = true
	}
	c.ever, c.living = append(c.ever, b), append(c.living, b)
	return b
}

// firstBirth says when a female may first breed.
func (c *country) firstBirth(b *beast) { b.next = b.born + b.breeds + c.between(0, 60) }

// pass lets a day go by.
func (c *country) pass() {
	c.day++
	for _, b := range slices.Clone(c.living) {
		if b.how != "" {
			continue
		}
		if c.of(b.daily[b.stageAt(b.age(c.day))]) {
			c.bury(b, "died")
			continue
		}
		c.grow(b)
	}
	c.living = slices.DeleteFunc(c.living, func(b *beast) bool { return b.how != "" })
}

// grow is what a day brings a living animal.
func (c *country) grow(b *beast) {
	switch b.age(c.day) {
	case b.exit:
		c.leavePouch(b)
	case b.weaned:
		c.leaveMother(b)
	}
	if b.alone(c.day) && !b.wound.real && c.of(0.0006) {
		b.wound = wound{part: c.one("ear", "foot", "rump", "back", "tail"), day: c.day, real: true}
		if b.wound.part == "ear" || b.wound.part == "foot" {
			b.wound.side = c.one("left", "right")
		}
	}
	if b.wound.real && c.day-b.wound.day > 240 {
		b.wound = wound{}
	}
	if b.female && b.alone(c.day) && len(b.pouch) == 0 && c.day >= b.next && c.breedsToday(b) {
		for range c.litter(b.kind) {
			c.newborn(b.kind, b)
		}
	}
}

// breedsToday spreads births over the days from which they can be, fewer in
// the winter.
func (c *country) breedsToday(b *beast) bool {
	summer := (c.season(c.day) + 1) / 2
	return c.of(0.2 * (b.winter + float64((1-b.winter)*summer)))
}

func (c *country) litter(k *kind) int {
	if k == wallaby {
		return 1
	}
	return c.between(1, 3) + c.between(1, 3)
}

func (c *country) leavePouch(b *beast) {
	m := b.mother
	if m == nil {
		return
	}
	m.pouch = without(m.pouch, b)
	m.foot = append(m.foot, b)
	if len(m.pouch) == 0 {
		m.next = c.day + c.between(b.again[0], b.again[1])
		if c.of(b.atOnce) {
			m.next = c.day + c.between(1, 4)
		}
	}
}

// leaveMother is weaning: the young finds room on its ridge, daughters near
// their mothers, or is not seen again.
func (c *country) leaveMother(b *beast) {
	if b.mother != nil {
		b.mother.foot = without(b.mother.foot, b)
	}
	room := 1 - float64(c.count(b.kind, b.site))/(1.3*float64(b.capacity))
	if !c.of(b.settling * room) {
		c.bury(b, "found no room")
		return
	}
	sd := 3.5
	if b.female {
		sd = 1.3
	}
	b.home = min(max(c.about(b.home, sd), 0.6), 20.4)
	c.firstBirth(b)
}

// count is the animals of a kind on their own on a ridge.
func (c *country) count(k *kind, site int) int {
	n := 0
	for _, b := range c.living {
		if b.kind == k && b.site == site && b.how == "" && b.age(c.day) > b.weaned {
			n++
		}
	}
	return n
}

// bury ends a life, and those that hang on it.
func (c *country) bury(b *beast, how string) {
	b.how, b.died = how, c.day
	for _, y := range append(slices.Clone(b.pouch), b.foot...) {
		if y.how == "" {
			c.bury(y, "with its mother")
		}
	}
	if m := b.mother; m != nil && m.how == "" {
		m.foot = without(m.foot, b)
		if slices.Contains(m.pouch, b) {
			m.pouch = without(m.pouch, b)
			m.next = c.day + b.afterOut
		}
	}
}

// remembered is every animal that lived on or after the first trip's first
// night, and their mothers.
func (c *country) remembered() []*beast {
	keep := map[*beast]bool{}
	for _, b := range c.ever {
		if b.how == "" || b.died >= 0 {
			keep[b], keep[b.mother] = true, true
		}
	}
	return slices.DeleteFunc(slices.Clone(c.ever), func(b *beast) bool { return !keep[b] })
}

func without(list []*beast, b *beast) []*beast {
	return slices.DeleteFunc(list, func(o *beast) bool { return o == b })
}
