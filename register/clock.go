package register

import (
	"slices"
	"time"

	"dawnround/notebook"
	"dawnround/record"
)

// Offset is by how much a device's clock was wrong when it showed at
// (positive: fast), as far as lines say: by the last comparison before, else
// by the first after. Between two comparisons nobody knows when it changed.
func (r *Register) Offset(device notebook.DeviceID, at time.Time) time.Duration {
	var seconds int
	for i, e := range r.comparisons(device) {
		if i > 0 && e.At().After(at) {
			break
		}
		seconds = e.now.(record.ClockOffset).Seconds
	}
	return time.Duration(seconds) * time.Second
}

// TrueTime is when a line was written, its device's clock put right; the
// stored time is [Entry.At].
func (r *Register) TrueTime(e *Entry) time.Time { return r.Right(e.Device, e.At()) }

// Right puts a time that a device's clock showed right.
func (r *Register) Right(device notebook.DeviceID, at time.Time) time.Time {
	if at.IsZero() {
		return at
	}
	return at.Add(-r.Offset(device, at))
}

// WrongClock is a device whose clock was found wrong.
type WrongClock struct {
	Device  notebook.DeviceID
	Seconds int // positive: fast
	Line    *Entry
}

// WrongClocks gives, for each device, the comparison in which its clock was
// furthest off, where that was by at least so much; by the clock.
func (r *Register) WrongClocks(least time.Duration) []WrongClock {
	var out []WrongClock
	for _, list := range r.about["clock"] {
		var worst WrongClock
		for _, e := range list {
			b := e.now.(record.ClockOffset)
			if worst.Line == nil || abs(b.Seconds) > abs(worst.Seconds) {
				worst = WrongClock{Device: subjectDevice(b, e), Seconds: b.Seconds, Line: e}
			}
		}
		if time.Duration(abs(worst.Seconds))*time.Second >= least {
			out = append(out, worst)
		}
	}
	sortBy(out, func(w WrongClock) *Entry { return w.Line })
	return out
}

// subjectDevice is the device whose clock a line speaks of.
func subjectDevice(b record.ClockOffset, e *Entry) notebook.DeviceID {
	if b.Of == (notebook.DeviceID{}) {
		return e.Device
	}
	return b.Of
}

func abs(n int) int { return max(n, -n) }

// LatestOffset is by how much a device's clock was wrong when it was last
// compared (positive: fast); zero where it never was.
func (r *Register) LatestOffset(device notebook.DeviceID) time.Duration {
	list := r.comparisons(device)
	if len(list) == 0 {
		return 0
	}
	return time.Duration(list[len(list)-1].now.(record.ClockOffset).Seconds) * time.Second
}

// comparisons are the standing lines that say by how much a device's clock was
// wrong: its own, and only where it wrote none those of others, who go by the
// times of its lines.
func (r *Register) comparisons(device notebook.DeviceID) []*Entry {
	all := r.about["clock"][subject{a: device.String()}]
	own := slices.DeleteFunc(slices.Clone(all), func(e *Entry) bool { return e.Device != device })
	if len(own) > 0 {
		return own
	}
	return all
}
