package answer

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"dawnround/agreement"
	"dawnround/fit"
	"dawnround/protocol"
)

// asOne writes an estimate's fields behind those of another value.
func asOne(of any, e fit.Estimate) ([]byte, error) {
	a, err := json.Marshal(of)
	if err != nil {
		return nil, err
	}
	b, err := json.Marshal(e)
	if err != nil {
		return nil, err
	}
	a[len(a)-1] = ','
	return append(a, b[1:]...), nil
}

// levelled is readings by a factor of so many levels, each of a unit within
// which nothing changed.
type levelled struct {
	levels   []string
	readings []agreement.Reading
}

// level gathers one reading a look under the level that of gives; looks
// without one are passed over.
func level(looks [][]look, parted func([]look) [][]look, of func(look) string) levelled {
	at := map[string]int{}
	var out levelled
	unit := 0
	for _, animal := range looks {
		for _, u := range parted(animal) {
			for _, l := range u {
				name := of(l)
				if name == "" {
					continue
				}
				if _, known := at[name]; !known {
					at[name] = len(out.levels)
					out.levels = append(out.levels, name)
				}
				out.readings = append(out.readings, agreement.Reading{Animal: unit, Handler: at[name], Value: l.counts()})
			}
			unit++
		}
	}
	return out
}

// shared counts, for each two levels, the units that both read.
func (v levelled) shared() [][]int {
	of := map[int]map[int]bool{}
	for _, r := range v.readings {
		if of[r.Animal] == nil {
			of[r.Animal] = map[int]bool{}
		}
		of[r.Animal][r.Handler] = true
	}
	out := make([][]int, len(v.levels))
	for i := range out {
		out[i] = make([]int, len(v.levels))
	}
	for _, levels := range of {
		for i := range levels {
			for j := range levels {
				out[i][j]++
			}
		}
	}
	return out
}

// joined is the largest set of levels each of which shares so many units with
// another of them, by readings.
func (v levelled) joined(least int) map[int]bool {
	shared := v.shared()
	count := make([]int, len(v.levels))
	for _, r := range v.readings {
		count[r.Handler]++
	}
	done := map[int]bool{}
	var best map[int]bool
	most := 0
	for i := range v.levels {
		if done[i] {
			continue
		}
		set, todo, readings := map[int]bool{i: true}, []int{i}, 0
		for len(todo) > 0 {
			j := todo[0]
			todo = todo[1:]
			done[j] = true
			readings += count[j]
			for k := range v.levels {
				if k != j && shared[j][k] >= least && !set[k] {
					set[k] = true
					todo = append(todo, k)
				}
			}
		}
		if len(set) > 1 && readings > most {
			best, most = set, readings
		}
	}
	return best
}

// only keeps the readings of some levels, numbered anew in order.
func (v levelled) only(keep map[int]bool) levelled {
	var out levelled
	at := map[int]int{}
	for _, i := range slices.Sorted(maps.Keys(keep)) {
		at[i] = len(out.levels)
		out.levels = append(out.levels, v.levels[i])
	}
	for _, r := range v.readings {
		if i, ok := at[r.Handler]; ok {
			r.Handler = i
			out.readings = append(out.readings, r)
		}
	}
	return out
}

// handlers compares those who read, and refuses those who share too few
// animals.
func (out *Repeats) handlers(t *protocol.Trait, looks [][]look) {
	parted := func(of []look) [][]look { return units(t, of) }
	v := level(looks, parted, func(l look) string { return l.handler })
	if len(v.levels) < 2 {
		out.HandlersSay = "handlers cannot be told apart: the captures name fewer than two"
		return
	}
	joined := v.joined(sharedByTwo)
	shared := v.shared()
	for i, name := range v.levels {
		if !joined[i] {
			most := 0
			for j := range v.levels {
				if j != i {
					most = max(most, shared[i][j])
				}
			}
			out.Handlers = append(out.Handlers, HandlerOffset{Handler: name, Readings: v.count(i), Shared: most, Estimate: fit.Lost("offset"),
				Refused: thin("an offset of "+name, most, sharedByTwo, "animals shared with any other handler")})
		}
	}
	kept := v.only(joined)
	o, err := agreement.Handlers(kept.readings)
	if err != nil {
		out.HandlersSay = fmt.Sprintf("too thin to compare handlers: no two of them measured %d animals in common", sharedByTwo)
		return
	}
	for i, h := range o.Handlers {
		h.Name = "offset"
		out.Handlers = append(out.Handlers, HandlerOffset{Handler: kept.levels[i], Readings: h.Readings, Shared: h.Animals, Estimate: h.Estimate})
	}
	slices.SortStableFunc(out.Handlers, func(a, b HandlerOffset) int { return cmp.Compare(a.Handler, b.Handler) })
	out.HandlersSay = fmt.Sprintf("offsets from the mean of %d handlers, the animal a random effect (restricted maximum likelihood): %d readings of %d animals; the error left is %s %s",
		len(o.Handlers), o.Readings, o.Animals, figures(o.ErrorSD, 3), out.Unit)
}

func (v levelled) count(level int) int {
	n := 0
	for _, r := range v.readings {
		if r.Handler == level {
			n++
		}
	}
	return n
}

// drift looks at handlers trip by trip. The unit is the grown animal over all
// trips: what truly changes from trip to trip in all of them alike, as weight
// does, cannot be told from an instrument.
func (out *Repeats) drift(t *protocol.Trait, looks [][]look) {
	grown := func(of []look) [][]look {
		return [][]look{slices.DeleteFunc(slices.Clone(of), func(l look) bool { return !l.grown })}
	}
	named := slices.ContainsFunc(looks, func(of []look) bool { return slices.ContainsFunc(of, func(l look) bool { return l.handler != "" }) })
	v := level(looks, grown, func(l look) string {
		if named && l.handler == "" {
			return ""
		}
		return l.handler + "\x00" + l.capture.At.Trip
	})
	enough := map[int]bool{}
	for i := range v.levels {
		if v.count(i) >= cellReadings {
			enough[i] = true
		}
	}
	v = v.only(enough)
	v = v.only(v.joined(1))
	o, err := agreement.Handlers(v.readings)
	if err != nil {
		out.DriftSays = fmt.Sprintf("too thin for a drift: no two trips with at least %d readings share an animal", cellReadings)
		return
	}
	out.DriftSays = "how far a handler's readings of grown animals lay from the mean, trip by trip, each animal against itself"
	if !named {
		out.DriftSays = "how far the readings of grown animals lay from the mean, trip by trip, each animal against itself; no handler is written"
	}
	if !t.Bone {
		out.DriftSays += "; what changes with the season in all animals alike cannot be told from the scale or instrument"
	}
	out.DriftSays += fmt.Sprintf("; the error left is %s %s", figures(o.ErrorSD, 3), out.Unit)
	for i, h := range o.Handlers {
		d := DriftPoint{Readings: h.Readings, Estimate: h.Estimate}
		d.Handler, d.Trip, _ = strings.Cut(v.levels[i], "\x00")
		d.Name = "offset"
		out.Drift = append(out.Drift, d)
	}
	slices.SortStableFunc(out.Drift, func(a, b DriftPoint) int {
		return cmp.Or(cmp.Compare(slices.Index(out.trips, a.Trip), slices.Index(out.trips, b.Trip)), cmp.Compare(a.Handler, b.Handler))
	})
}
