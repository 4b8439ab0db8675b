package main

import (
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/notebook/browser"
	"dawnround/page"
	"dawnround/pairing"
	"dawnround/programme"
	"dawnround/record"
)

// tries is how often a question to a laptop is asked again where the way was
// cut, and pause how long the phone waits in between.
const (
	tries = 3
	pause = 2 * time.Second
)

// join lets an empty phone into the programme that a laptop serves.
func (p *phone) join(w http.ResponseWriter, r *http.Request) {
	if err := p.joinWith(r); err != nil {
		p.showBegin(w, r, err)
		return
	}
	page.Go(w, r, "/")
}

func (p *phone) joinWith(r *http.Request) error {
	inv, err := p.invitation(r)
	if err != nil {
		return err
	}
	as, err := named(r)
	if err != nil {
		return err
	}
	v, err := browser.Seal(p.disk, r.FormValue("passphrase"), p.stretch)
	if err != nil {
		return err
	}
	if err := p.joinIn(r.Context(), v, inv, as); err != nil {
		return errors.Join(err, v.Discard())
	}
	return nil
}

// newcomer is what the crew calls a phone that begins, and who holds it.
type newcomer struct{ name, initials string }

// named reads the newcomer, and that the passphrase was written twice alike.
func named(r *http.Request) (newcomer, error) {
	as := newcomer{strings.TrimSpace(r.FormValue("name")), strings.TrimSpace(r.FormValue("who"))}
	switch {
	case as.name == "":
		return as, errors.New("the phone has no name: write what the crew calls it, like AB's phone")
	case !initials.MatchString(as.initials):
		return as, fmt.Errorf("initials %q: write one to eight letters or digits, like AB", as.initials)
	case r.FormValue("passphrase") != r.FormValue("again"):
		return as, errors.New("the two passphrases differ: write the same one twice")
	}
	return as, nil
}

var initials = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}.-]{0,7}$`)

// take makes the newcomer the phone's, and gives them the pen.
func (p *phone) take(o *notebookOpen, as newcomer) {
	o.self.Name, o.self.Cookies = as.name, map[string]string{"pen": as.initials}
	p.cookies.Cookies = o.self.Cookies
}

// introduce writes the first line of a phone that begins: its name.
func (o *notebookOpen) introduce(now time.Time) error {
	_, err := o.programme.Keep(o.self.Cookies["pen"], now, record.Device{Name: o.self.Name})
	return errors.Join(err, o.remember())
}

// invitation is that of the QR code through which the phone came, or the
// address and the code that were typed.
func (p *phone) invitation(r *http.Request) (pairing.Invitation, error) {
	if secret := r.FormValue("secret"); secret != "" {
		return pairing.ReadInvitation(p.home + pairing.JoinPath + "#" + secret)
	}
	return pairing.ByCode(r.FormValue("address"), r.FormValue("code"))
}

// joinIn asks to be let in, and brings the programme to an empty vault. The
// phone's key lies sealed before anybody is asked.
func (p *phone) joinIn(ctx context.Context, v *browser.Vault, inv pairing.Invitation, as newcomer) error {
	o := &notebookOpen{vault: v}
	if _, err := o.recallIndex(); err != nil {
		return err
	}
	var err error
	if o.store, err = browser.Open(v, nil, nil); err != nil {
		return errors.Join(err, o.closeFiles())
	}
	if err := p.joinOpen(ctx, o, inv, as); err != nil {
		return errors.Join(err, o.closeFiles())
	}
	p.open = o
	return o.keepIndex()
}

func (p *phone) joinOpen(ctx context.Context, o *notebookOpen, inv pairing.Invitation, as newcomer) error {
	if err := o.recall(); err != nil {
		return err
	}
	p.take(o, as)
	joined, err := p.ask(ctx, o, inv)
	if err != nil {
		return err
	}
	n, err := notebook.Create(o.store, joined.Programme, o.key(), p.now)
	if err != nil {
		return err
	}
	if o.programme, err = programme.Open(n); err != nil {
		return err
	}
	o.openPictures()
	if err := o.introduce(p.now()); err != nil {
		return err
	}
	if err := p.bring(ctx, o, p.bringLines); err != nil {
		return err
	}
	return p.screens(o)
}

// ask asks the laptop, and waits until a person there has confirmed.
func (p *phone) ask(ctx context.Context, o *notebookOpen, inv pairing.Invitation) (pairing.Joined, error) {
	asked := pairing.Ask(inv, o.key(), o.self.Name)
	p.tell(progress{Says: "the laptop shows the number " + asked.Check + " beside this phone's name: compare them, and confirm there"})
	var joined pairing.Joined
	err := again(func() (err error) {
		joined, err = asked.Join(ctx, p.carry(inv.Address))
		return err
	})
	if err != nil {
		return joined, err
	}
	if len(joined.Addresses) == 0 {
		joined.Addresses = []string{inv.Address}
	}
	o.self.Joined = append(o.self.Joined, joined)
	return joined, o.remember()
}

// again tries what the way may have cut.
func again(do func() error) error {
	var err error
	for i := range tries {
		if i > 0 {
			time.Sleep(pause)
		}
		err = do()
		var refused *pairing.Refused
		var denied *courier.Denied
		var older *courier.Older
		if err == nil || errors.As(err, &refused) || errors.As(err, &denied) || errors.As(err, &older) {
			return err
		}
	}
	return err
}

// bring exchanges with the laptop that let this phone in last, at the first of
// its addresses that answers.
func (p *phone) bring(ctx context.Context, o *notebookOpen, what func(context.Context, *notebookOpen, courier.Carry) error) error {
	joined, ok := o.joined()
	if !ok {
		return errors.New("this phone is paired with no laptop yet: pair it first, or take a file out")
	}
	var failed error
	for _, address := range joined.Addresses {
		if failed = again(func() error { return what(ctx, o, p.carry(address)) }); failed == nil {
			return nil
		}
	}
	return failed
}

// bringLines exchanges lines alone: a phone that joins waits for no picture.
func (p *phone) bringLines(ctx context.Context, o *notebookOpen, carry courier.Carry) error {
	state, err := o.side(p.now).Sync(ctx, carry, func(s courier.State) {
		p.tell(progress{Says: "exchanging lines", Done: int64(s.Sent + s.Came), Of: int64(s.Sent + s.Came + s.ToSend + s.ToCome)})
	})
	o.last = state
	if state.Renewed {
		o.self.Seed = o.programme.Notebook().Key().Seed()
	}
	return errors.Join(err, o.remember())
}

// bringAll exchanges lines, and then the pictures follow.
func (p *phone) bringAll(ctx context.Context, o *notebookOpen, carry courier.Carry) error {
	named := o.named()
	if err := p.bringLines(ctx, o, carry); err != nil {
		return err
	}
	return p.bringPictures(ctx, o, carry, named)
}

// joined is the latest pairing.
func (o *notebookOpen) joined() (pairing.Joined, bool) {
	if len(o.self.Joined) == 0 {
		return pairing.Joined{}, false
	}
	return o.self.Joined[len(o.self.Joined)-1], true
}

// side is this phone at an exchange.
func (o *notebookOpen) side(now func() time.Time) courier.Side {
	s := courier.Side{Programme: o.programme, Who: o.self.Cookies["pen"], Now: now, Copies: &o.self.Copies}
	for _, j := range o.self.Joined {
		s.Trust, s.Site = append(s.Trust, j.With), j.Site
	}
	return s
}

func (o *notebookOpen) key() ed25519.PrivateKey { return ed25519.NewKeyFromSeed(o.self.Seed) }

func (o *notebookOpen) remember() error {
	text, err := json.Marshal(o.self)
	if err != nil {
		return err
	}
	return o.note.Put(text)
}
