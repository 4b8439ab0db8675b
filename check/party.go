package check

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// clockOff is from when on a device's clock is asked about: a bag's minutes
// matter. dayAhead is what is not adopted. Common practice, no source.
const clockOff, dayAhead = 5 * time.Minute, 24 * time.Hour

// Party checks what comes of several devices writing one notebook: lines after
// a lock, a device written at two places, wrong clocks, and lines of devices
// that nobody whose word counts has admitted.
func Party(r *register.Register) []record.Flag {
	var flags []record.Flag
	flags = append(flags, lateLines(r)...)
	flags = append(flags, twoPlaces(r)...)
	flags = append(flags, clocks(r)...)
	flags = append(flags, strangers(r)...)
	return append(flags, noLeaders(r)...)
}

// lateLines asks about each device's lines on a locked trip that its lock does
// not know.
func lateLines(r *register.Register) []record.Flag {
	type late struct {
		lock   uuid.UUID
		device notebook.DeviceID
	}
	count := map[late]int{}
	last := map[late]register.AfterLock{}
	var order []late
	for _, a := range r.AfterLocks() {
		of := late{a.Lock.ID, a.Line.Device}
		if count[of]++; count[of] == 1 {
			order = append(order, of)
		}
		last[of] = a
	}
	var flags []record.Flag
	for _, of := range order {
		lock := last[of].Lock.Now().(record.Lock)
		flags = append(flags, afterLock.flag(of.lock, found{
			field:    "lock",
			says:     fmt.Sprintf("Trip %s was locked at %s, and %d of its lines came from %s since. Answers of that state do not hold them; lock it again, or leave them out and say why.", lock.Trip, lock.State, count[of], named(r, of.device)),
			evidence: fmt.Sprintf("%s, %d lines to %d of %s", lock.State, count[of], last[of].Line.Seq, of.device),
			beside:   []uuid.UUID{last[of].Line.ID},
		}))
	}
	return flags
}

// twoPlaces says that a device's notebook was copied and written in twice.
func twoPlaces(r *register.Register) []record.Flag {
	var flags []record.Flag
	told := map[string]bool{}
	for _, e := range r.Forks() {
		b := e.Now().(record.Fork)
		if len(b.Branches) < 2 {
			continue
		}
		ends := make([]string, len(b.Branches))
		for i, branch := range b.Branches {
			ends[i] = branch.Head.Hash.String()[:8]
		}
		slices.Sort(ends)
		device := b.Branches[0].Head.Device
		evidence := fmt.Sprintf("%s ends in %v", device, ends)
		if told[evidence] {
			continue // adopted at two places at once
		}
		told[evidence] = true
		flags = append(flags, copiedDevice.flag(e.ID, found{
			field:    "device",
			says:     fmt.Sprintf("The notebook of %s was written in at two places as one device, to line %d and to line %d. Both are kept, and both go on as new devices. Who copied it, and is one to be put away?", named(r, device), b.Branches[0].Head.Seq, b.Branches[1].Head.Seq),
			evidence: evidence,
		}))
	}
	return flags
}

// clocks asks about each device whose clock was found wrong.
func clocks(r *register.Register) []record.Flag {
	var flags []record.Flag
	for _, w := range r.WrongClocks(clockOff) {
		off := time.Duration(w.Seconds) * time.Second
		says := fmt.Sprintf("The clock of %s was %s. Its times are shown put right; those stored stay. Set the clock, and look at its bag times.", named(r, w.Device), offWords(off))
		rule := wrongClock
		if off > dayAhead {
			rule = clockAhead
			says = fmt.Sprintf("The clock of %s was %s, more than a day ahead. Its lines are kept; nobody took its time over. Set the clock, and look at which night its lines are of.", named(r, w.Device), offWords(off))
		}
		flags = append(flags, rule.flag(w.Line.ID, found{field: "clock", says: says, evidence: fmt.Sprintf("%s %d s", w.Device, w.Seconds)}))
	}
	return flags
}

// offWords says how far a clock is off.
func offWords(off time.Duration) string {
	way := "fast"
	if off < 0 {
		off, way = -off, "slow"
	}
	off = off.Round(time.Minute)
	switch days, hours, minutes := int(off.Hours())/24, int(off.Hours())%24, int(off.Minutes())%60; {
	case days > 0:
		return fmt.Sprintf("%d d %d h %s", days, hours, way)
	case hours > 0:
		return fmt.Sprintf("%d h %d min %s", hours, minutes, way)
	default:
		return fmt.Sprintf("%d min %s", minutes, way)
	}
}

// strangers asks about devices that wrote and are not admitted: a notebook put
// back from a backup goes on as one, and so does a copied one; and about lines
// that a device wrote after it was shut out.
func strangers(r *register.Register) []record.Flag {
	var flags []record.Flag
	if r.Programme() == (record.Programme{}) {
		return nil // nobody knows yet who began it
	}
	for _, d := range r.Party(notebook.DeviceID{}) {
		if d.Admitted() {
			continue
		}
		first, last, n := r.LinesBy(d.ID, d.Since)
		switch {
		case n == 0:
		case d.Lost == "":
			flags = append(flags, newDevice.flag(first.ID, found{
				field:    "device",
				says:     fmt.Sprintf("Nobody has admitted %s, which writes here: a notebook put back from a backup, or copied, goes on as a new device. Admit it under Devices if you know it.", named(r, d.ID)),
				evidence: d.ID.String(),
			}))
		default:
			flags = append(flags, lostDevice.flag(first.ID, found{
				field:    "device",
				says:     fmt.Sprintf("%d lines of %s bear a time after it was shut out (%s). Somebody let them in: whose hand wrote them?", n, named(r, d.ID), d.Lost),
				evidence: fmt.Sprintf("%s, %d lines to %d", d.ID, n, last.Seq),
			}))
		}
	}
	return flags
}

// noLeaders says which lines about devices do not count.
func noLeaders(r *register.Register) []record.Flag {
	var flags []record.Flag
	for _, e := range r.Overruled() {
		var of notebook.DeviceID
		did, name := "admits", ""
		switch b := e.Now().(type) {
		case record.Admitted:
			of, name = b.Device, b.Name
		case record.ShutOut:
			of, did = b.Device, "shuts out"
		}
		if d := r.Member(of, notebook.DeviceID{}); d.Admitted() == (did == "admits") {
			continue // a leader has done it since
		}
		flags = append(flags, noLeader.flag(e.ID, found{
			field:    "device",
			says:     fmt.Sprintf("That %s %s %s counts nowhere else, since it is no leader’s device. A leader does it, or strikes the line.", named(r, e.Device), did, cmp.Or(name, named(r, of))),
			evidence: fmt.Sprintf("%s %s %s", e.Device, did, of),
		}))
	}
	return flags
}

// named is what people call a device.
func named(r *register.Register, id notebook.DeviceID) string {
	return cmp.Or(r.Member(id, notebook.DeviceID{}).Name, fmt.Sprintf("device %.8s…", id))
}
