package main

import (
	"bufio"
	"bytes"
	"cmp"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"

	"dawnround/notebook"
	"dawnround/notebook/browser"
	"dawnround/page"
)

// closedPages are the pages while the notebook is closed, or not here yet.
func (p *phone) closedPages() http.Handler {
	mux := http.NewServeMux()
	page.Mount(mux, func() string { return "" }, func() []page.Holder { return nil })
	mux.HandleFunc("POST /begin", p.begin)
	mux.HandleFunc("POST /join", p.join)
	mux.HandleFunc("POST /unlock", p.tryPassphrase)
	mux.HandleFunc("GET /protects", p.showProtects)
	mux.HandleFunc("/", p.showClosed)
	return mux
}

// beginPage asks for the notebook's file, and how it is to be sealed.
type beginPage struct {
	Frame                           page.Frame
	Name, Initials, Address, Secret string
	Wrong                           string `json:",omitempty"`
}

// unlockPage asks for the passphrase.
type unlockPage struct {
	Frame page.Frame
	Next  string
	Wrong string `json:",omitempty"`
}

// showClosed asks for the passphrase, or for a notebook where none is here.
func (p *phone) showClosed(w http.ResponseWriter, r *http.Request) {
	sealed, err := browser.Sealed(p.disk)
	switch {
	case err != nil:
		page.Refuse(w, r, http.StatusServiceUnavailable, "The phone's storage does not open", err.Error(), "Close other tabs of this program, then load this one again.")
	case sealed:
		next := r.URL.RequestURI()
		if r.Method != http.MethodGet || next == "/unlock" {
			next = "/"
		}
		p.showUnlock(w, r, next, nil)
	default:
		p.showBegin(w, r, nil)
	}
}

func (p *phone) showUnlock(w http.ResponseWriter, r *http.Request, next string, wrong error) {
	u := unlockPage{Frame: page.FrameOf(r, "Open the notebook", "", "", p.now()), Next: next}
	status := http.StatusOK
	if wrong != nil {
		u.Wrong, status = wrong.Error(), http.StatusUnprocessableEntity
	}
	page.AnswerAs(w, r, status, u, unlockTempl(u))
}

// tryPassphrase opens the notebook.
func (p *phone) tryPassphrase(w http.ResponseWriter, r *http.Request) {
	next := r.FormValue("next")
	if !strings.HasPrefix(next, "/") {
		next = "/"
	}
	if err := p.unlock(r.FormValue("passphrase")); err != nil {
		p.showUnlock(w, r, next, err)
		return
	}
	page.Go(w, r, next)
}

func (p *phone) showBegin(w http.ResponseWriter, r *http.Request, wrong error) {
	b := beginPage{
		Frame: page.FrameOf(r, "Begin on this phone", "", "", p.now()), Name: r.FormValue("name"), Initials: r.FormValue("who"),
		Address: cmp.Or(r.FormValue("address"), p.home), Secret: cmp.Or(r.FormValue("secret"), r.URL.Fragment),
	}
	status := http.StatusOK
	if wrong != nil {
		b.Wrong, status = wrong.Error(), http.StatusUnprocessableEntity
	}
	page.AnswerAs(w, r, status, b, beginTempl(b))
}

// mostFile is the most of a notebook's file that is held in memory; the rest
// waits on the phone's disk while it is read.
const mostFile = 512 << 20

// begin seals a notebook's file on this phone and opens it.
func (p *phone) begin(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseMultipartForm(mostFile); err != nil {
		p.showBegin(w, r, fmt.Errorf("the form could not be read: %w; choose the file again", err))
		return
	}
	if err := p.beginWith(r); err != nil {
		p.showBegin(w, r, err)
		return
	}
	page.Go(w, r, "/")
}

var errNoFile = errors.New("no file was chosen: at the laptop, dawnround export lines -o notebook.lines writes one")

// beginWith takes the notebook in from the form. The file is verified before
// anything is written.
func (p *phone) beginWith(r *http.Request) error {
	as, err := named(r)
	if err != nil {
		return err
	}
	file, _, err := r.FormFile("file")
	if err != nil {
		return errNoFile
	}
	p.tell(progress{Says: "verifying the file"})
	var came notebook.Memory
	plain, err := unpacked(file)
	if err == nil {
		err = notebook.Restore(plain, &came)
	}
	if err != nil {
		return err
	}
	if sealed, err := browser.Sealed(p.disk); err != nil || sealed {
		return errors.Join(err, errors.New("there is a notebook on this phone already: open it with its passphrase"))
	}
	return p.settle(&came, r.FormValue("passphrase"), as)
}

// unpacked reads a file that may be packed with gzip.
func unpacked(file io.Reader) (io.Reader, error) {
	in := bufio.NewReader(file)
	if start, err := in.Peek(2); err == nil && bytes.Equal(start, []byte{0x1f, 0x8b}) {
		return gzip.NewReader(in)
	}
	return in, nil
}

// settle seals lines on this phone under a new passphrase, as a new device.
func (p *phone) settle(came notebook.Store, passphrase string, as newcomer) error {
	v, err := browser.Seal(p.disk, passphrase, p.stretch)
	if err != nil {
		return err
	}
	if err := p.settleIn(v, came, as); err != nil {
		return errors.Join(err, v.Discard())
	}
	return nil
}

func (p *phone) settleIn(v *browser.Vault, came notebook.Store, as newcomer) error {
	store, err := browser.Open(v, nil, nil)
	if err != nil {
		return err
	}
	if err := copyLines(store, came); err != nil {
		return errors.Join(err, store.Close())
	}
	if err := store.Close(); err != nil {
		return err
	}
	if err := p.openVault(v); err != nil {
		return err
	}
	p.take(p.open, as)
	return p.open.introduce(p.now())
}

// copyLines fills an empty store, all or nothing.
func copyLines(into, from notebook.Store) error {
	_, signed, err := from.Heads()
	if err != nil {
		return err
	}
	var lines []notebook.Line
	for l, err := range from.Since(nil) {
		if err != nil {
			return err
		}
		lines = append(lines, l)
	}
	return into.Append(lines, signed)
}
