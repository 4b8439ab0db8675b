package protocol

import "testing"

func TestLimitsAreOffUntilTyped(t *testing.T) {
	t.Parallel()
	none := parsed(t, "name: n\nzone: UTC\nspecies: [{code: a}]\n")
	for _, l := range Limits {
		if v, _, on := none.Limit(l.ID); on {
			t.Errorf("%s is on, at %v, though nobody typed it", l.ID, v)
		}
		if n, ok := LimitOf(l.ID); !ok || n.Unit == "" || n.Means == "" {
			t.Errorf("%s: %+v", l.ID, n)
		}
	}
	p := parsed(t, small)
	if v, source, on := p.Limit("handling minutes"); v != 15 || source != "invented approval" || !on {
		t.Errorf("handling minutes: got %v, %q, %v", v, source, on)
	}
	if _, _, on := p.Limit("bag minutes"); on {
		t.Error("bag minutes is on without a value")
	}
}
