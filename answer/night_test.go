package answer_test

import (
	"testing"

	"dawnround/answer"
	"dawnround/record"
	"dawnround/register"
)

func TestNightsAddUpToTheTrip(t *testing.T) {
	t.Parallel()
	n := record.Night{Year: 2026, Month: 8, Day: 1}
	r := fold(t,
		record.Trip{Trip: "P"},
		record.Effort{Trip: "P", Site: "S", Night: n, Trapped: "yes", Traps: 40, From: &record.Source{File: "captures"}},
		record.Effort{Trip: "P", Site: "S", Night: n, Trapped: "yes", Traps: 49},
		record.Effort{Trip: "P", Site: "S", Night: n.Add(1), Trapped: "no"},
		record.Effort{Trip: "P", Site: "S", Night: n.Add(2), Trapped: "unknown"},
		record.Setting{Trip: "P", Site: "S", Night: n.Add(3), Set: []string{"1", "2"}},
		record.Effort{Trip: "P", Site: "S", Night: n.Add(3), Trapped: "yes", Traps: 30},
	)
	sum := 0
	for i, want := range []struct {
		traps int
		known bool
	}{{49, true}, {0, true}, {0, false}, {2, true}} {
		row, known := answer.Night(r, "P", register.SiteNight{Site: "S", Night: n.Add(i)})
		if row.TrapNights != want.traps || known != want.known {
			t.Errorf("night %d: %d traps, known %v; want %+v", i+1, row.TrapNights, known, want)
		}
		sum += row.TrapNights
	}
	if got := answer.Effort(r, "S").Trips[0].TrapNights; got != sum {
		t.Errorf("the trip has %d trap nights, its nights %d", got, sum)
	}
}
