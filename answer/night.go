package answer

import (
	"slices"

	"dawnround/record"
	"dawnround/register"
)

// Night is the effort of one trip at one site on one night, by the rule of
// [Effort]. known is false where nobody wrote how many traps were set.
func Night(r *register.Register, trip string, at register.SiteNight) (row TrapNights, known bool) {
	n := r.NightAt(at.Site, at.Night)
	counts := slices.DeleteFunc(r.Efforts(), func(e record.Effort) bool {
		return e.Trip != trip || e.Site != at.Site || e.Night != at.Night
	})
	row.Trip = trip
	row.add(n, counts)
	known = row.TrapNights > 0 ||
		slices.ContainsFunc(counts, func(e record.Effort) bool { return e.Trapped == "no" }) ||
		slices.ContainsFunc(n.Settings, func(s record.Setting) bool { return s.Trip == trip && len(s.Not) > 0 })
	return row, known
}
