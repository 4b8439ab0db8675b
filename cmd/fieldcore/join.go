package main

import (
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"net/http"
	"strings"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/notebook/browser"
	"dawnround/page"
	"dawnround/pairing"
	"dawnround/programme"
)

// tries is how often a question to a laptop is asked again where the way was
// cut, and pause how long the phone waits in between.
const (
	tries = 5
	pause = 2 * time.Second
)

// join lets an empty phone into the programme that a laptop serves.
func (p *phone) join(w http.ResponseWriter, r *http.Request) {
	if err := p.joinWith(r); err != nil {
		p.showBegin(w, r, err)
		return
	}
	page.Go(w, r, "/pen?back=%2F")
}

func (p *phone) joinWith(r *http.Request) error {
	inv, err := p.invitation(r)
	if err != nil {
		return err
	}
	name, err := named(r)
	if err != nil {
		return err
	}
	v, err := browser.Seal(p.disk, r.FormValue("passphrase"), p.stretch)
	if err != nil {
		return err
	}
	if err := p.joinIn(r.Context(), v, inv, name); err != nil {
		return errors.Join(err, v.Discard())
	}
	return nil
}

// named reads the phone's name, and that the passphrase was written twice alike.
func named(r *http.Request) (string, error) {
	name := strings.TrimSpace(r.FormValue("name"))
	switch {
	case name == "":
		return "", errors.New("the phone has no name: write what the crew calls it, like AB's phone")
	case r.FormValue("passphrase") != r.FormValue("again"):
		return "", errors.New("the two passphrases differ: write the same one twice")
	}
	return name, nil
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
func (p *phone) joinIn(ctx context.Context, v *browser.Vault, inv pairing.Invitation, name string) error {
	store, err := browser.Open(v, nil, nil)
	if err != nil {
		return err
	}
	o := &notebookOpen{vault: v, store: store}
	if err := p.joinOpen(ctx, o, inv, name); err != nil {
		return errors.Join(err, o.closeFiles())
	}
	p.open = o
	return nil
}

func (p *phone) joinOpen(ctx context.Context, o *notebookOpen, inv pairing.Invitation, name string) error {
	if err := o.recall(); err != nil {
		return err
	}
	o.self.Name = name
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
	if err := p.bring(ctx, o); err != nil {
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
	for range tries {
		err = do()
		var refused *pairing.Refused
		var denied *courier.Denied
		var older *courier.Older
		if err == nil || errors.As(err, &refused) || errors.As(err, &denied) || errors.As(err, &older) {
			return err
		}
		time.Sleep(pause)
	}
	return err
}

// bring exchanges lines with the laptop that let this phone in last.
func (p *phone) bring(ctx context.Context, o *notebookOpen) error {
	joined, ok := o.joined()
	if !ok {
		return errors.New("this phone is paired with no laptop yet: pair it first, or take a file out")
	}
	tell := func(s courier.State) {
		p.tell(progress{Says: "exchanging lines", Done: int64(s.Sent + s.Came), Of: int64(s.Sent + s.Came + s.ToSend + s.ToCome)})
	}
	var failed error
	for _, address := range joined.Addresses {
		failed = again(func() error {
			state, err := o.side(p.now).Sync(ctx, p.carry(address), tell)
			o.last = state
			if state.Renewed {
				o.self.Seed = o.programme.Notebook().Key().Seed()
			}
			return errors.Join(err, o.remember())
		})
		if failed == nil {
			return nil
		}
	}
	return failed
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
