package courier

import (
	"fmt"
	"time"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"
)

// noticed is the least by which a clock must be off to be written of. Common
// practice, no source: a bag's minutes matter, seconds do not.
const noticed = 2 * time.Minute

// dayAhead is from when on a clock is not adopted by a notebook.
const dayAhead = 24 * time.Hour

// compare writes by how much this device's clock was found wrong at an
// exchange, unless that is known already.
func (s Side) compare(ahead time.Duration, with register.Device) error {
	own := s.Programme.Notebook().Device()
	if with.Name == "" {
		with.Name = fmt.Sprintf("device %.8s…", with.ID)
	}
	return s.offset(own, ahead, "compared with "+with.Name+" at an exchange of lines")
}

// found writes of devices whose lines came from more than a day ahead: their
// lines are kept, their time is not adopted. Once is enough, since a device's
// later lines go on from there even when its clock is put right.
func (s Side) found(ahead []notebook.Ahead) error {
	for _, a := range ahead {
		told := false
		s.Programme.View(func(r *register.Register) {
			for _, w := range r.WrongClocks(dayAhead) {
				told = told || w.Device == a.Device
			}
		})
		if told {
			continue
		}
		if err := s.offset(a.Device, a.By, "its lines came from more than a day ahead of the clock here"); err != nil {
			return err
		}
	}
	return nil
}

// offset writes by how much a device's clock is off, unless the lines say so.
func (s Side) offset(device notebook.DeviceID, ahead time.Duration, why string) error {
	now := s.Now()
	var known time.Duration
	s.Programme.View(func(r *register.Register) { known = r.LatestOffset(device) })
	if off := ahead - known; off > -noticed && off < noticed {
		return nil
	}
	said := record.ClockOffset{Of: device, Seconds: int(ahead.Round(time.Second).Seconds()), Why: why}
	if device == s.Programme.Notebook().Device() {
		said.Of = notebook.DeviceID{}
	}
	_, err := s.Programme.Keep(s.Who, now, said)
	return err
}
