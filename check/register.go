package check

import (
	"bytes"
	"fmt"
	"maps"
	"slices"
	"time"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Register checks everything: every capture beside its animal's earlier ones
// and what is usual in the population, every trip's traps and rounds, and
// what concerns identity and the lines themselves.
func Register(r *register.Register, now time.Time) []record.Flag {
	captures := r.Captures()
	lives := lives(captures)
	b := newBook(r, know(r, lives), now)
	var flags []record.Flag
	at := map[uuid.UUID]int{}
	for _, c := range captures {
		life := lives[c.Animal]
		flags = append(flags, b.card(c, c.Marks(), life[:at[c.Animal]]).flags()...)
		at[c.Animal]++
	}
	flags = append(flags, b.traps(captures)...)
	flags = append(flags, b.contradictions()...)
	flags = append(flags, b.versions(captures)...)
	flags = append(flags, b.protocols()...)
	return append(flags, Party(r)...)
}

// lives gives each animal's captures, in the order given.
func lives(captures []*register.Capture) map[uuid.UUID][]*register.Capture {
	out := map[uuid.UUID][]*register.Capture{}
	for _, c := range captures {
		out[c.Animal] = append(out[c.Animal], c)
	}
	return out
}

// inOrder gives lives by their first captures.
func inOrder(lives map[uuid.UUID][]*register.Capture) [][]*register.Capture {
	return slices.SortedFunc(maps.Values(lives), func(a, b []*register.Capture) int { return a[0].Compare(b[0]) })
}

// traps checks every trip, and the releases of captures on none.
func (b *book) traps(captures []*register.Capture) []record.Flag {
	var flags []record.Flag
	trips := map[string]bool{}
	for _, t := range b.register.Trips() {
		trips[t.Trip.Trip] = true
		flags = append(flags, b.trip(t)...)
	}
	for _, c := range captures {
		if !trips[c.At.Trip] {
			flags = append(flags, b.unreleased(c)...)
		}
	}
	return flags
}

func (b *book) contradictions() []record.Flag {
	var flags []record.Flag
	for _, c := range b.register.Contradictions() {
		who := ""
		if e, ok := b.register.Line(c.Line); ok {
			who = " by " + e.Who
		}
		flags = append(flags, sameAndNotSame.flag(c.Line, found{
			field:    "marks",
			says:     fmt.Sprintf("A line%s says these are not the same animal, and other lines make them one. Which stands?", who),
			evidence: fmt.Sprintf("%d captures of animal %s", len(c.Apart.These), c.Animal),
			beside:   append(slices.Clone(c.Apart.These), c.Apart.From),
		}))
	}
	return flags
}

// versions says every disagreement, within captures and outside them.
func (b *book) versions(captures []*register.Capture) []record.Flag {
	var flags []record.Flag
	for _, c := range captures {
		for _, d := range c.Disagree {
			flags = append(flags, twoVersions.flag(c.ID(), versions(d)))
		}
	}
	all := b.register.Disagreements()
	for _, id := range slices.SortedFunc(maps.Keys(all), func(x, y uuid.UUID) int { return bytes.Compare(x[:], y[:]) }) {
		for _, d := range all[id] {
			flags = append(flags, twoVersions.flag(id, versions(d)))
		}
	}
	return flags
}

// protocols asks about two protocols adopted in place of the same one.
func (b *book) protocols() []record.Flag {
	var flags []record.Flag
	for _, rivals := range b.register.RivalProtocols() {
		was, p := rivals[0].Now().(record.Protocol), rivals[1].Now().(record.Protocol)
		flags = append(flags, twoProtocols.flag(rivals[1].ID, found{
			field:    "protocol",
			says:     fmt.Sprintf("Two protocols replace the same one: %.8s and %.8s. The later is in force; which is right?", was.Version, p.Version),
			evidence: fmt.Sprintf("%s and %s replace %s", was.Version, p.Version, p.Replaces),
			beside:   []uuid.UUID{rivals[0].ID},
		}))
	}
	return flags
}
