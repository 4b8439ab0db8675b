package main

import (
	"context"
	"slices"
	"sync"
	"time"

	"dawnround/courier"
)

// How long the other devices are listened for after this one last said where it
// is, and how long one question waits for news: what is on screen longer is not
// being looked at, and a radio that listens costs the battery.
const (
	listenFor = 10 * time.Minute
	newsWaits = 30 * time.Second
)

// crew is the other devices of the round, heard through the laptop that let this
// phone in. Where it cannot be reached nothing is said, and what was heard grows
// old on the page.
type crew struct {
	side      func() courier.Side
	addresses func() []string
	carry     carrying
	now       func() time.Time

	mu        sync.Mutex
	told      courier.Fellows
	heard     time.Time // when told was
	spoke     time.Time // when this phone last said where it is
	listening bool
}

func (p *phone) crewOf(o *notebookOpen) *crew {
	addresses := func() []string {
		joined, _ := o.joined()
		return joined.Addresses
	}
	return &crew{side: func() courier.Side { return o.side(p.now) }, addresses: addresses, carry: p.carry, now: p.now}
}

// Tell says where this phone is, beside the page, and listens for a while.
func (c *crew) Tell(mine courier.Presence) {
	if len(c.addresses()) == 0 {
		return
	}
	c.mu.Lock()
	c.spoke = c.now()
	listen := !c.listening
	c.listening = true
	c.mu.Unlock()
	go c.ask(&mine, 0)
	if listen {
		go c.listen()
	}
}

// Fellows is what was heard last, as old as it is by now.
func (c *crew) Fellows() courier.Fellows {
	c.mu.Lock()
	defer c.mu.Unlock()
	out := courier.Fellows{Version: c.told.Version, Of: slices.Clone(c.told.Of)}
	for i := range out.Of {
		out.Of[i].AgeS += int(c.now().Sub(c.heard).Seconds())
	}
	return out
}

// listen waits for news, one question after the other, until nobody can be
// reached or this phone has said nothing for a while.
func (c *crew) listen() {
	for {
		c.mu.Lock()
		after, quiet := c.told.Version, c.now().Sub(c.spoke) > listenFor
		c.listening = !quiet
		c.mu.Unlock()
		if quiet {
			return
		}
		if !c.ask(nil, after) {
			c.mu.Lock()
			c.listening = false
			c.mu.Unlock()
			return
		}
	}
}

// ask puts one question to the first address that answers.
func (c *crew) ask(mine *courier.Presence, after uint64) bool {
	for _, address := range c.addresses() {
		ctx, stop := context.WithTimeout(context.Background(), newsWaits)
		f, err := c.side().TellPresence(ctx, c.carry(address), mine, after)
		stop()
		if err != nil {
			continue
		}
		c.mu.Lock()
		c.told, c.heard = f, c.now()
		c.mu.Unlock()
		return true
	}
	return false
}
