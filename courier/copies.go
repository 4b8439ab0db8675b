package courier

import (
	"slices"
	"time"

	"dawnround/notebook"
	"dawnround/programme"
)

// Copies is what other devices are known to hold, from exchanges with them. It
// is disposable: without it, nobody knows what lies elsewhere.
type Copies struct {
	Of []Copy `json:"of"`
}

// Copy is what one device held when lines were last exchanged with it.
type Copy struct {
	Device notebook.DeviceID `json:"device"`
	Name   string            `json:"name"`
	At     time.Time         `json:"at"` // by the clock here
	Heads  notebook.Heads    `json:"heads"`
}

// note keeps what a device has just said that it holds.
func (c *Copies) note(of Copy) {
	if c == nil {
		return
	}
	c.Of = slices.DeleteFunc(c.Of, func(had Copy) bool { return had.Device == of.Device })
	c.Of = append(c.Of, of)
}

// Last is the latest exchange.
func (c *Copies) Last() (Copy, bool) {
	if c == nil || len(c.Of) == 0 {
		return Copy{}, false
	}
	return c.Of[len(c.Of)-1], true
}

// Waiting counts the lines that no other device is known to hold: those that
// would be lost with this one.
func (c *Copies) Waiting(p *programme.Programme) (int, error) {
	heads, _, err := p.Notebook().Heads()
	if err != nil {
		return 0, err
	}
	waiting := 0
	for device, head := range heads {
		known := uint64(0)
		if c != nil {
			for _, copy := range c.Of {
				known = max(known, copy.Heads[device].Seq)
			}
		}
		waiting += int(head.Seq - min(known, head.Seq))
	}
	return waiting, nil
}

// Known are the heads that a device held when last met; none for a stranger.
func (c *Copies) Known(device notebook.DeviceID) notebook.Heads {
	if c == nil {
		return nil
	}
	for _, copy := range c.Of {
		if copy.Device == device {
			return copy.Heads
		}
	}
	return nil
}
