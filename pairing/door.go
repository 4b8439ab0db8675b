package pairing

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"
)

const (
	codeLasts   = 2 * time.Minute
	codeTries   = 5
	secretLasts = 10 * time.Minute
)

// Door is where new devices ask at one that invites. Everything in it is
// forgotten when the program stops; who was admitted is a line.
type Door struct {
	p         *programme.Programme
	now       func() time.Time
	addresses func() []string

	mu      sync.Mutex // over all below
	invited []*invited
	changed chan struct{} // closed when a person has decided
}

// NewDoor makes the door of a programme; addresses are where lines can be
// exchanged with this device.
func NewDoor(p *programme.Programme, now func() time.Time, addresses func() []string) *Door {
	return &Door{p: p, now: now, addresses: addresses, changed: make(chan struct{})}
}

// Terms are what an invited device will be.
type Terms struct {
	Role record.Role
	Site string // coordinates of this site only; empty: of all
}

// Check says why no device can be admitted on these terms, or nothing.
func (t Terms) Check(p *programme.Programme) (err error) {
	if !slices.Contains([]record.Role{record.Scribe, record.Leader, record.Reader}, t.Role) {
		return fmt.Errorf("role %q: expected scribe, leader or reader", t.Role)
	}
	p.View(func(r *register.Register) { err = courier.Limits(r, t.Site) })
	return err
}

// Shown is an invitation as the inviting side shows it.
type Shown struct {
	ID     int       `json:"id"`
	Link   string    `json:"link"` // in the QR code
	Code   string    `json:"code"` // "483 201"; empty once it is dead
	Until  time.Time `json:"until"`
	Coding time.Time `json:"code_until"`
}

// invited is one invitation, and who has asked by it.
type invited struct {
	id      int
	terms   Terms
	secret  secret
	code    string
	made    time.Time
	tries   int // wrong ones of the code
	address string

	by      secret // what the device that asked knows
	device  notebook.DeviceID
	name    string
	decided bool
	joined  *Joined
}

// Invite makes an invitation; address is where the new device asks.
func (d *Door) Invite(terms Terms, address string) (Shown, error) {
	if err := terms.Check(d.p); err != nil {
		return Shown{}, err
	}
	d.mu.Lock()
	defer d.mu.Unlock()
	i := &invited{terms: terms, secret: newSecret(), code: newCode(), made: d.now(), address: strings.TrimSuffix(address, "/")}
	d.invited = slices.DeleteFunc(d.invited, func(old *invited) bool { return d.now().Sub(old.made) > 2*secretLasts })
	for _, old := range d.invited {
		i.id = max(i.id, old.id+1)
	}
	d.invited = append(d.invited, i)
	return d.shown(i), nil
}

// Showing gives an invitation that is still good.
func (d *Door) Showing(id int) (Shown, bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, i := range d.invited {
		if i.id == id && d.good(i) {
			return d.shown(i), true
		}
	}
	return Shown{}, false
}

func (d *Door) shown(i *invited) Shown {
	s := Shown{ID: i.id, Link: i.address + JoinPath + "#" + i.secret.text(), Until: i.made.Add(secretLasts), Coding: i.made.Add(codeLasts)}
	if d.coding(i) {
		s.Code = i.code[:3] + " " + i.code[3:]
	}
	return s
}

// good reports an invitation that nobody has used and that is not too old.
func (d *Door) good(i *invited) bool { return i.by == nil && d.now().Sub(i.made) <= secretLasts }

// coding reports one whose short code is still alive.
func (d *Door) coding(i *invited) bool {
	return d.good(i) && d.now().Sub(i.made) <= codeLasts && i.tries < codeTries
}

// Caller is a device that has asked and waits for a person's word.
type Caller struct {
	Device notebook.DeviceID `json:"device"`
	Name   string            `json:"name"`
	Check  string            `json:"check"` // must stand on the device too
	Role   record.Role       `json:"role"`
	Site   string            `json:"site,omitempty"`
}

// Callers gives the devices that wait.
func (d *Door) Callers() []Caller {
	d.mu.Lock()
	defer d.mu.Unlock()
	var out []Caller
	for _, i := range d.invited {
		if i.by != nil && !i.decided {
			out = append(out, Caller{Device: i.device, Name: i.name, Check: i.by.check(i.device), Role: i.terms.Role, Site: i.terms.Site})
		}
	}
	return out
}

// Changed is closed when the next person decides or device asks.
func (d *Door) Changed() <-chan struct{} {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.changed
}

func (d *Door) tell() {
	close(d.changed)
	d.changed = make(chan struct{})
}

// Decide lets a waiting device in, under a name, or not. who says so.
func (d *Door) Decide(device notebook.DeviceID, name, who string, in bool) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	at := slices.IndexFunc(d.invited, func(i *invited) bool { return i.device == device && i.by != nil && !i.decided })
	if at < 0 {
		return errors.New("no such device waits; it may have gone away, or somebody has decided already")
	}
	i := d.invited[at]
	if in {
		name = cmp.Or(strings.TrimSpace(name), i.name)
		if _, err := d.p.Keep(who, d.now(), record.Admitted{Device: device, Name: name, Role: i.terms.Role, Site: i.terms.Site}); err != nil {
			return err
		}
		i.joined = d.joins(i)
	}
	i.decided = true
	d.tell()
	return nil
}

// joins is what an admitted device is told.
func (d *Door) joins(i *invited) *Joined {
	n := d.p.Notebook()
	j := &Joined{Programme: n.Programme(), Role: i.terms.Role, Site: i.terms.Site, With: n.Device(), Addresses: d.addresses()}
	d.p.View(func(r *register.Register) {
		j.ProgrammeName, j.WithName = r.Programme().Name, r.Member(j.With, j.With).Name
	})
	return j
}

// Answer answers one question on "/pair". While nobody has decided it waits
// until somebody does or ctx ends; the device then asks again.
func (d *Door) Answer(ctx context.Context, body []byte) courier.Answer {
	var a ask
	if err := json.Unmarshal(body, &a); err != nil || !a.signed() {
		return denied("this is no question of a device that wants to take part; scan the code again")
	}
	if a.Pair != Version {
		return denied(fmt.Sprintf("pairing speaks version %d here and %d there: the older side must update", Version, a.Pair))
	}
	if a.Name == "" || len(a.Name) > 60 {
		return denied("give the device a name of up to 60 letters, so that people know it")
	}
	i, why := d.invitation(&a)
	if why != "" {
		return denied(why)
	}
	for {
		d.mu.Lock()
		changed, decided, r := d.changed, i.decided, reply{Pair: Version, Waiting: true}
		if r.Joined = i.joined; r.Joined != nil {
			r.Waiting = false
		}
		d.mu.Unlock()
		if decided && r.Joined == nil {
			return denied("the person at the other side said no")
		}
		if r.Joined == nil {
			select {
			case <-changed:
				continue
			case <-ctx.Done():
			}
		}
		r.Proof = i.by.mac(r.words(a.Device))
		return answer(200, r)
	}
}

// invitation finds the invitation by which a device asks, and binds it to that
// device; why says that there is none.
func (d *Door) invitation(a *ask) (i *invited, why string) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, i := range d.invited {
		if i.by != nil && i.device == a.Device && a.proved(i.by) {
			return i, ""
		}
	}
	var coding []*invited
	for _, i := range d.invited {
		s := i.secret
		if a.Code && d.coding(i) {
			s = secret(i.code)
			coding = append(coding, i)
		} else if a.Code {
			continue
		}
		if d.good(i) && a.proved(s) {
			i.by, i.device, i.name = s, a.Device, a.Name
			d.tell()
			return i, ""
		}
	}
	for _, i := range coding {
		i.tries++
	}
	if len(coding) > 0 {
		return nil, "the code is not right; after five wrong tries it is dead, and the laptop shows another"
	}
	return nil, "this invitation is used up or too old; ask the laptop for another"
}

func denied(why string) courier.Answer { return answer(403, reply{Pair: Version, Denied: why}) }

func answer(status int, r reply) courier.Answer {
	text, err := json.Marshal(r)
	if err != nil {
		panic(err) // strings and bytes can always be written
	}
	return courier.Answer{Status: status, Body: text}
}
