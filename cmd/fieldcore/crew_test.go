package main

import (
	"context"
	"errors"
	"testing"
	"time"

	"dawnround/courier"
)

// TestCrewOutOfReach: with nobody to be reached nothing waits, nothing is heard,
// and what was heard grows old.
func TestCrewOutOfReach(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 5, 14, 6, 0, 0, 0, time.UTC)
	asked := make(chan string, 10)
	c := &crew{
		side:      func() courier.Side { return courier.Side{} },
		addresses: func() []string { return nil },
		now:       func() time.Time { return now },
		carry: func(address string) courier.Carry {
			return func(context.Context, string, string, []byte) (courier.Answer, error) {
				asked <- address
				return courier.Answer{}, errors.New("no network")
			}
		},
		told: courier.Fellows{Of: []courier.Fellow{{Name: "AB's phone", AgeS: 30}}}, heard: now.Add(-5 * time.Minute),
	}
	c.Tell(courier.Presence{Who: "MO"})
	if len(asked) != 0 {
		t.Error("asked of nobody")
	}
	if got := c.Fellows().Of[0].Says(); got != "AB's phone, 5 min ago" {
		t.Errorf("heard %q", got)
	}
	if got := c.Fellows().Of[0].AgeS; got != 330 {
		t.Errorf("asked twice it is %d s old: what was heard must not age itself", got)
	}
}
