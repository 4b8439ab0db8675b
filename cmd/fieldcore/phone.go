package main

import (
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/notebook/browser"
	"dawnround/page"
	"dawnround/pairing"
	"dawnround/programme"
	"dawnround/register"
	"dawnround/trapside"
)

// phone is the program on one phone. It answers one ask after another.
type phone struct {
	disk    browser.Disk
	stretch browser.Stretch
	now     func() time.Time
	tell    func(progress) // hears how far long work is

	carry carrying // the way to other devices
	home  string   // where the shell was loaded from, scheme and host

	cookies jar
	closed  http.Handler // the pages while the notebook is closed
	open    *notebookOpen
	room    room
}

// progress is how far long work is.
type progress struct {
	Says     string `json:"says"`
	Done, Of int64
}

// self is what belongs to this phone alone. It is sealed like the lines.
type self struct {
	Seed    []byte            `json:"seed"` // of the device's private key
	Name    string            `json:"name"` // what people call the phone
	Cookies map[string]string `json:"cookies,omitempty"`
	Joined  []pairing.Joined  `json:"joined,omitempty"` // with which laptops it was paired, the latest last
	Copies  courier.Copies    `json:"copies"`           // what other devices hold
}

// notebookOpen is all there is while the notebook is open.
type notebookOpen struct {
	vault     *browser.Vault
	store     *browser.Store
	self      self
	note      *browser.Note // where self lies
	words     *browser.Note // what is typed and not sent yet
	snapshot  *browser.Note // where the lines lie; see savedIndex
	programme *programme.Programme
	pages     http.Handler

	blobs      *browser.Blobs // the pictures; nil where their files do not open
	noPictures error          // why they do not

	syncing bool          // lines are being exchanged
	last    courier.State // how the latest exchange went
	carried courier.Blobs // and its pictures
	failed  error         // why it did not come to its end
}

func newPhone(disk browser.Disk, stretch browser.Stretch, carry carrying, now func() time.Time, tell func(progress)) *phone {
	p := &phone{disk: disk, stretch: stretch, carry: carry, now: now, tell: tell}
	p.cookies.dark = p.dark
	p.closed = p.closedPages()
	return p
}

// answer answers one ask.
func (p *phone) answer(a ask) answer {
	got := answered(http.HandlerFunc(p.serve), &p.cookies, a)
	if p.open != nil && p.cookies.changed {
		p.open.self.Cookies, p.cookies.changed = p.cookies.Cookies, false
		p.open.remember() // who has the pen is asked again where this could not be kept
	}
	return got
}

func (p *phone) serve(w http.ResponseWriter, r *http.Request) {
	defer survive(w, r)
	if p.open == nil {
		p.closed.ServeHTTP(w, r)
		return
	}
	p.open.pages.ServeHTTP(w, r)
}

// dark says that pages are dark unless somebody chose otherwise: from six in
// the evening to six in the morning.
func (p *phone) dark() bool {
	hour := p.local().Hour()
	return hour < 6 || hour >= 18
}

// local is the clock in the programme's zone, the phone's own while it is closed.
func (p *phone) local() time.Time {
	if p.open == nil {
		return p.now()
	}
	return p.now().In(p.open.zone())
}

func (o *notebookOpen) zone() (zone *time.Location) {
	o.programme.View(func(r *register.Register) { zone = r.Zone() })
	return zone
}

// unlock opens the notebook that lies here.
func (p *phone) unlock(passphrase string) error {
	p.tell(progress{Says: "trying the passphrase"})
	v, err := browser.Unlock(p.disk, passphrase, p.stretch)
	if err != nil {
		return err
	}
	if err := p.openVault(v); err != nil {
		return errors.Join(err, v.Close())
	}
	return nil
}

// openVault opens what lies in a vault.
func (p *phone) openVault(v *browser.Vault) error {
	o := &notebookOpen{vault: v}
	known, err := o.recallIndex()
	if err != nil {
		return err
	}
	p.tell(progress{Says: "reading the lines"})
	o.store, err = browser.Open(v, known, nil)
	if err != nil && known != nil { // it is disposable
		o.store, err = browser.Open(v, nil, nil)
	}
	if err != nil {
		return errors.Join(err, o.closeFiles())
	}
	if err := p.fill(o); err != nil {
		return errors.Join(err, o.closeFiles())
	}
	p.open = o
	return o.keepIndex()
}

// savedIndex is where the lines lie, as the version of the program that is
// named found them. It is disposable.
type savedIndex struct {
	Core  string        `json:"core"`
	Index browser.Index `json:"index"`
}

// recallIndex gives the index that this version saved; nil where there is none.
func (o *notebookOpen) recallIndex() (*browser.Index, error) {
	var err error
	if o.snapshot, err = o.vault.Note("snapshot"); err != nil {
		return nil, err
	}
	var saved savedIndex
	if json.Unmarshal(o.snapshot.Text(), &saved) != nil || saved.Core != core {
		return nil, nil
	}
	return &saved.Index, nil
}

// keepIndex saves where the lines lie by now.
func (o *notebookOpen) keepIndex() error {
	text, err := json.Marshal(savedIndex{core, o.store.Index()})
	if err != nil {
		return err
	}
	return errors.Join(o.snapshot.Put(text), o.snapshot.Tidy())
}

// far gives a function that tells progress, not too often.
func (p *phone) far(says string) func(done, of int64) {
	next := int64(0)
	return func(done, of int64) {
		if done >= next {
			p.tell(progress{says, done, of})
			next = done + of/50
		}
	}
}

// fill opens the notebook in a store and folds it.
func (p *phone) fill(o *notebookOpen) error {
	if err := o.recall(); err != nil {
		return err
	}
	heads, _, err := o.store.Heads()
	if err != nil {
		return err
	}
	var done, of int64
	for _, head := range heads {
		of += int64(head.Seq)
	}
	far := p.far("folding the register")
	fold := programme.Begin()
	n, err := notebook.Open(o.store, o.key(), p.now, func(l notebook.Line) {
		fold.Line(l)
		done++
		far(done, of)
	})
	o.programme = fold.Done(n)
	if err != nil {
		return err
	}
	o.openPictures()
	return p.screens(o)
}

// recall reads what belongs to this phone, and makes its key where it has none.
func (o *notebookOpen) recall() (err error) {
	if o.note, err = o.vault.Note("self"); err != nil {
		return err
	}
	if o.words, err = o.vault.Note("words"); err != nil {
		return err
	}
	if text := o.note.Text(); text != nil {
		if err := json.Unmarshal(text, &o.self); err != nil || len(o.self.Seed) != ed25519.SeedSize {
			return fmt.Errorf("file self: %w: not this phone's key; take the notebook out as a file and begin anew", err)
		}
		return nil
	}
	_, key, err := ed25519.GenerateKey(nil)
	if err != nil {
		return err
	}
	o.self.Seed = key.Seed()
	return o.remember()
}

// screens puts the pages under one roof.
func (p *phone) screens(o *notebookOpen) error {
	bench, err := trapside.New(o.programme, o.store, p.now)
	if err != nil {
		return err
	}
	bench.Join(p.crewOf(o))
	pages := http.NewServeMux()
	bench.Mount(pages)
	page.Mount(pages, o.name, o.crew)
	p.mountOpen(pages)
	o.pages = pages
	if p.cookies.Cookies = o.self.Cookies; p.cookies.Cookies == nil {
		p.cookies.Cookies = map[string]string{}
	}
	return nil
}

func (o *notebookOpen) name() (name string) {
	o.programme.View(func(r *register.Register) { name = r.Programme().Name })
	return name
}

func (o *notebookOpen) crew() (crew []page.Holder) {
	o.programme.View(func(r *register.Register) {
		for _, h := range r.People() {
			crew = append(crew, page.Holder{Initials: h.Initials, Name: h.Name})
		}
	})
	return crew
}

// lock closes the notebook; the passphrase is asked for again.
func (p *phone) lock() error {
	o := p.open
	switch {
	case o == nil:
		return nil
	case o.syncing:
		return errors.New("lines are being exchanged: wait until that has ended")
	}
	p.open, p.cookies = nil, jar{dark: p.dark}
	return errors.Join(o.keepIndex(), o.close())
}

func (o *notebookOpen) close() error { return errors.Join(o.closeFiles(), o.vault.Close()) }

// closeFiles gives back all but the vault.
func (o *notebookOpen) closeFiles() error {
	var err error
	if o.store != nil {
		err = o.store.Close()
	}
	if o.blobs != nil {
		err = errors.Join(err, o.blobs.Close())
	}
	for _, n := range []*browser.Note{o.note, o.words, o.snapshot} {
		if n != nil {
			err = errors.Join(err, n.Close())
		}
	}
	return err
}
