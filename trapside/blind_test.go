package trapside_test

import (
	"strings"
	"testing"

	"dawnround/register"
)

// TestMeasuringBlind: last time is not on the page before the new value stands,
// it is after, and the reading says that it was made so; one read before the
// mode was on does not.
func TestMeasuringBlind(t *testing.T) {
	t.Parallel()
	d := open(t)
	card := d.caught()
	d.do(card+"/mark", "text", known, "how", "scanned")
	if got := d.see(card).One(`[data-row="pes"] .last`).Text(); !strings.Contains(got, "131") {
		t.Fatalf("last time %q", got)
	}
	p := d.in(card, "blind", "yes")
	if got := p.One(`[data-row="pes"]`).Text(); strings.Contains(got, "131") || strings.Contains(got, "129") {
		t.Errorf("blind, and the row says %q", got)
	}
	p = d.in(card, "measures/pes", "131.6")
	if got := p.One(`[data-row="pes"] .last`).Text(); !strings.Contains(got, "131") {
		t.Errorf("the value stands, and last time is %q", got)
	}
	d.letGo(card)
	d.letGo(card)
	d.view(func(r *register.Register) {
		for _, c := range r.CapturesOn("K", night) {
			if pes := c.Handled.Measures["pes"]; !pes.Blind || pes.Typed != "131.6" {
				t.Errorf("%+v", pes)
			}
		}
	})
}
