package trapside_test

import (
	"net/http"
	"strings"
	"testing"
	"time"

	"dawnround/courier"
	"dawnround/trapside"
)

// crew is company that hears and is told.
type crew struct {
	told    []courier.Presence
	fellows courier.Fellows
}

func (c *crew) Tell(p courier.Presence)  { c.told = append(c.told, p) }
func (c *crew) Fellows() courier.Fellows { return c.fellows }

// TestTheRoundTogether: what another device has seen stands beside this one's
// round with its age, and this one tells what it sees, has waiting and in hand.
func TestTheRoundTogether(t *testing.T) {
	t.Parallel()
	d := open(t)
	c := &crew{fellows: courier.Fellows{Of: []courier.Fellow{
		{Name: "AB's phone", AgeS: 360, Presence: courier.Presence{Who: "AB", Site: "K", Night: night.String(), Seen: []string{"K10", "K2"}, Handling: "K2 …311", Bags: []courier.Bag{{Trap: "K2", Bag: "3", ForS: 360}}}},
		{Name: "elsewhere", Presence: courier.Presence{Site: "L", Night: night.String(), Seen: []string{"K1"}}},
	}}}
	screens, err := trapside.New(d.p, d.drafts, func() time.Time { return d.now })
	d.must(err)
	screens.Join(c)
	d.mux = http.NewServeMux()
	screens.Mount(d.mux)
	card := d.caught()
	p := d.see("/round")
	others := p.One(".fellows").Text()
	for _, want := range []string{"AB · AB's phone, 6 min ago", "has K2 …311 in the hand", "has seen 2 traps: K2 K10", "waits: K2, bag 3, 12 min"} {
		if !strings.Contains(others, want) {
			t.Errorf("the others: %q, without %q", others, want)
		}
	}
	if got := p.One(`[data-trap="K10"] small`).Text(); !strings.Contains(got, "not seen") || !strings.Contains(got, "by AB") {
		t.Errorf("K10 says %q: it is not seen here, and another has", got)
	}
	d.see(card)
	last := c.told[len(c.told)-1]
	if last.Who != "MO" || last.Site != "K" || last.Night != night.String() || !strings.HasPrefix(last.Handling, "K1") || len(last.Seen) != 1 || len(last.Bags) != 1 {
		t.Errorf("told %+v", last)
	}
}
