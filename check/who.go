package check

import (
	"fmt"
	"strings"

	"dawnround/record"
	"dawnround/register"
)

func sexChanged(k *card) []found {
	if !told(k.h.Sex) {
		return nil
	}
	c := k.last(func(c *register.Capture) bool { return told(handled(c).Sex) })
	if c == nil || c.Handled.Sex == k.h.Sex {
		return nil
	}
	return []found{{
		field:    "sex",
		says:     fmt.Sprintf("%s %s, %s now. Which is right, or is this another animal?", capital(string(c.Handled.Sex)), k.when(c), k.h.Sex),
		evidence: fmt.Sprintf("%s on %s; %s now", c.Handled.Sex, on(c), k.h.Sex),
		beside:   beside(c),
	}}
}

func speciesChanged(k *card) []found {
	now := k.Species()
	c := k.last(func(c *register.Capture) bool { return c.Species() != "" })
	if now == "" || c == nil || c.Species() == now {
		return nil
	}
	return []found{{
		field:    "species",
		says:     fmt.Sprintf("%s %s, %s now. Which is right, or is this another animal?", c.Species(), k.when(c), now),
		evidence: fmt.Sprintf("%s on %s; %s now", c.Species(), on(c), now),
		beside:   beside(c),
	}}
}

func aliveAfterDeath(k *card) []found {
	died := func(c *register.Capture) bool {
		return handled(c).Status == record.FoundDead || c.Released != nil && c.Released.Fate.Ends()
	}
	c := k.last(died)
	if c == nil || k.h.Status == record.FoundDead {
		return nil
	}
	return []found{{
		field:    "marks",
		says:     fmt.Sprintf("This animal died %s at %s. Read the mark again?", k.when(c), spot(c)),
		evidence: "died on " + on(c),
		beside:   beside(c),
	}}
}

func ageGoesBack(k *card) []found {
	now := k.sheet.StageRank(k.h.Stage)
	c := k.last(func(c *register.Capture) bool { return k.sheet.StageRank(handled(c).Stage) >= 0 && k.sameSpecies(c) })
	if now < 0 || c == nil || k.sheet.StageRank(c.Handled.Stage) <= now {
		return nil
	}
	return []found{{
		field:    "stage",
		says:     fmt.Sprintf("%s %s, %s now. Which is right?", capital(c.Handled.Stage), k.when(c), k.h.Stage),
		evidence: fmt.Sprintf("%s on %s; %s now", c.Handled.Stage, on(c), k.h.Stage),
		beside:   beside(c),
	}}
}

// bearing is the last earlier capture of this life that bears a mark.
func (k *card) bearing(key register.MarkKey) *register.Capture {
	return k.last(func(c *register.Capture) bool { return c.Bears(key) })
}

// known is the first of the marks that was met before, and where last.
func (k *card) known() (register.MarkKey, *register.Capture) {
	for _, key := range k.marks {
		if c := k.bearing(key); c != nil {
			return key, c
		}
	}
	return register.MarkKey{}, nil
}

func newButKnown(k *card) []found {
	key, c := k.known()
	if k.h.Status != record.New || c == nil {
		return nil
	}
	return []found{{
		field:    "status",
		says:     fmt.Sprintf("Not new: %s %s was read %s at %s.", key.Kind, key.Text, k.when(c), spot(c)),
		evidence: fmt.Sprintf("new; %s on %s", key.Text, on(c)),
		beside:   beside(c),
	}}
}

// recaptureButUnknown names, for a mark never met before, those that are one
// slip away on the same species.
func recaptureButUnknown(k *card) []found {
	_, c := k.known()
	if k.h.Status != record.Recapture && k.h.Status != record.Retrap || len(k.marks) == 0 || c != nil {
		return nil
	}
	var texts, near []string
	for _, key := range k.marks {
		texts = append(texts, key.Text)
		for _, o := range k.near(key) {
			near = append(near, o.key.Text)
		}
	}
	read := strings.Join(texts, ", ")
	says := fmt.Sprintf("%s, but %s was never met before. Read it again?", capital(string(k.h.Status)), read)
	if len(near) > 0 && len(near) <= 3 {
		says += " Known and one slip away: " + strings.Join(near, ", ") + "."
	}
	return []found{{field: "status", says: says, evidence: fmt.Sprintf("%s; %s", k.h.Status, read)}}
}

func retrapButNotThisTrip(k *card) []found {
	_, known := k.known()
	if k.h.Status != record.Retrap || k.At.Trip == "" || known == nil {
		return nil // an unknown mark is said once, by the rule above
	}
	if k.last(func(c *register.Capture) bool { return c.At.Trip == k.At.Trip }) != nil {
		return nil
	}
	c := k.before[len(k.before)-1]
	return []found{{
		field:    "status",
		says:     fmt.Sprintf("Retrap, but not caught on this trip: last met %s at %s.", k.when(c), spot(c)),
		evidence: fmt.Sprintf("retrap in %s; last on %s", k.At.Trip, on(c)),
		beside:   beside(c),
	}}
}
