package trapside

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnround/courier"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Company is the other devices of a crew, as far as they can be heard: what this
// one tells them of its round, and what they told, however long ago.
type Company interface {
	Tell(courier.Presence)
	Fellows() courier.Fellows
}

// Join makes the round one over several devices. What is told are messages, never
// lines: traps seen elsewhere count once their lines are here.
func (t *Trapside) Join(c Company) { t.company = c }

// Fellow is another device on the round's page.
type Fellow struct {
	Says     string   // "AB's phone, 6 min ago"
	Handling string   // what it has in the hand
	Seen     []string // traps it has looked into on this night
	Bags     []string // what waits there: "K14, bag 3, 12 min"
}

// tell says where this device is: which traps it has seen, what waits, and what
// is in the hand.
func (t *Trapside) tell(who string, at Where, round uuid.UUID, handling string) {
	if t.company == nil || at.Site == "" {
		return
	}
	mine := courier.Presence{Who: who, Round: round, Site: at.Site, Night: at.Night.String(), Handling: handling}
	now := t.local()
	t.mu.Lock()
	t.programme.View(func(r *register.Register) {
		for _, c := range r.NightAt(at.Site, at.Night).Checks {
			if !slices.Contains(mine.Seen, c.Trap) {
				mine.Seen = append(mine.Seen, c.Trap)
			}
		}
		for _, b := range t.bags(r, at, now) {
			mine.Bags = append(mine.Bags, courier.Bag{Trap: b.Trap, Bag: strings.TrimPrefix(b.In, "in bag "), ForS: int(now.Sub(b.Since).Seconds())})
		}
	})
	t.mu.Unlock()
	t.company.Tell(mine)
}

// fellows are the other devices at this site and night.
func (t *Trapside) fellows(at Where) []Fellow {
	if t.company == nil {
		return nil
	}
	var out []Fellow
	for _, f := range t.company.Fellows().Of {
		if f.Site != at.Site || f.Night != at.Night.String() {
			continue
		}
		one := Fellow{Says: joinNonEmpty(f.Who, f.Says()), Handling: f.Handling, Seen: f.Seen}
		slices.SortFunc(one.Seen, record.Naturally)
		for _, b := range f.Bags {
			one.Bags = append(one.Bags, fmt.Sprintf("%s, %s, %s", b.Trap, bagWords(b.Bag), minutesFor(b.ForS+f.AgeS)))
		}
		out = append(out, one)
	}
	return out
}

func joinNonEmpty(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), " · ")
}

func bagWords(bag string) string {
	if bag == "" || bag == "in trap" {
		return "in trap"
	}
	return "bag " + bag
}

func minutesFor(seconds int) string { return page.Minutes(time.Duration(seconds) * time.Second) }

// others puts the other devices beside this one's round.
func (p *RoundPage) others(fellows []Fellow) {
	p.Fellows = fellows
	for i := range p.Strip {
		if s := &p.Strip[i]; s.Outcome == "" && s.Set {
			s.Other = elsewhere(fellows, s.Trap)
		}
	}
}

// elsewhere tells which of these traps another device has seen.
func elsewhere(fellows []Fellow, trap string) string {
	for _, f := range fellows {
		if slices.Contains(f.Seen, trap) {
			return f.Says
		}
	}
	return ""
}
