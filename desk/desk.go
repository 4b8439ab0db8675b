package desk

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"dawnround/notebook"
	"dawnround/page"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// desk answers for one programme.
type desk struct {
	p      *programme.Programme
	now    func() time.Time
	drafts []notebook.Drafts
}

// New returns the desk's screens. now is the clock that the pages are written
// by; drafts are where unfinished animals lie, for the evening to count.
func New(p *programme.Programme, now func() time.Time, drafts ...notebook.Drafts) http.Handler {
	d := &desk{p, now, drafts}
	mux := http.NewServeMux()
	mux.HandleFunc("GET /desk/{file}", serveStyle)
	mux.HandleFunc("GET /evening", d.evening)
	mux.HandleFunc("GET /animals", d.animals)
	mux.HandleFunc("GET /animal/{id}", d.life)
	mux.HandleFunc("GET /capture/{id}", d.capture)
	mux.HandleFunc("GET /line/{id}", d.line)
	mux.HandleFunc("GET /trip", d.trips)
	mux.HandleFunc("GET /trip/{id}", d.trip)
	mux.HandleFunc("GET /sheets", d.sheets)
	mux.HandleFunc("GET /due.ics", d.calendar)
	mux.HandleFunc("GET /answers", d.answers)
	mux.HandleFunc("GET /answers/{question}", d.reply)
	mux.HandleFunc("GET /answers/{question}/captures", d.behind)
	mux.HandleFunc("GET /programme", d.programme)
	mux.HandleFunc("POST /programme/protocol", d.adopt)
	mux.HandleFunc("POST /lock", d.lock)
	for path, act := range acts {
		mux.HandleFunc("POST "+path, func(w http.ResponseWriter, r *http.Request) { d.act(w, r, act) })
	}
	return mux
}

// shown is one screen: its title, its struct and its template; the zero title
// says that there is no such thing.
type shown struct {
	title string
	here  page.Place
	data  any
	page  func(page.Frame) templ.Component
}

// show answers with a screen made from the register.
func (d *desk) show(w http.ResponseWriter, r *http.Request, make func(words) shown) {
	var s shown
	var f page.Frame
	d.p.View(func(reg *register.Register) {
		words := wordsOf(reg, d.now())
		words.here = d.here
		if s = make(words); s.title != "" {
			f = page.FrameOf(r, s.title, reg.Programme().Name, s.here, words.now)
			f.Wide = true
		}
	})
	if s.title == "" {
		page.Refuse(w, r, http.StatusNotFound, "Not in this notebook",
			r.URL.Path+" names nothing this notebook knows.", "It may lie on a device whose lines are not here yet; exchange lines with it, then ask again.")
		return
	}
	page.Answer(w, r, s.data, s.page(f))
}

// here tells whether a picture's bytes are on this device.
func (d *desk) here(b notebook.Blob) bool {
	here, err := d.p.Here(b)
	return here && err == nil
}

// An act makes the lines that a form asks for, and says what was done.
type act struct {
	make func(words, form) ([]record.Body, error)
	said string
}

// acts are the forms of the desk by their address.
var acts = map[string]act{
	"/flag":     {settleFlag, "The flag is settled; it opens again if the values change."},
	"/correct":  {correct, "Corrected; what stood there stays visible."},
	"/strike":   {strike, "Struck; the line stays visible."},
	"/choose":   {choose, "That version stands; the other stays visible."},
	"/seen":     {seen, "Written for those traps."},
	"/closed":   {closed, "Written closed."},
	"/released": {released, "The release is written."},
	"/done":     {done, "Done."},
	"/same":     {same, "Taken for one animal; strike the line to undo it."},
	"/apart":    {apart, "Told apart; strike the line to undo it."},
	"/mother":   {mother, "The mother is written."},

	"/programme/person": {writePerson, "Written."},
	"/programme/site":   {writeSite, "The site is written."},
	"/programme/trap":   {writeTrap, "The trap is written."},
	"/programme/trip":   {writeTrip, "The trip is written."},
	"/programme/labels": {writeLabels, "The series is reserved."},
	"/programme/tare":   {writeTare, "The bag is written."},
	"/programme/clock":  {writeClock, "Written; times stay as they were stored."},
	"/programme/device": {writeDevice, "Written."},
}

// act writes the lines of a form and goes back to where it stood.
func (d *desk) act(w http.ResponseWriter, r *http.Request, a act) {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<20)
	if err := r.ParseForm(); err != nil {
		page.Refuse(w, r, http.StatusBadRequest, "Not written", "The form could not be read: "+err.Error()+".", "Go back and send it again.")
		return
	}
	back := local(r.PostFormValue("back"))
	if page.AskPen(w, r, back) {
		return
	}
	var bodies []record.Body
	var err error
	now := d.now()
	d.p.View(func(reg *register.Register) { bodies, err = a.make(wordsOf(reg, now), form{r.PostForm, page.Who(r)}) })
	if err == nil {
		_, err = d.p.Keep(page.Who(r), now, bodies...)
	}
	if err != nil {
		page.Refuse(w, r, http.StatusUnprocessableEntity, "Not written", sentence(err.Error()), "Go back: what you wrote is still in the form.")
		return
	}
	page.Go(w, r, page.Said(back, a.said))
}

// form is what was sent, and who holds the pen.
type form struct {
	url.Values
	who string
}

// text is a value without the spaces around it.
func (f form) text(name string) string { return strings.TrimSpace(f.Get(name)) }

// id reads an id; a form of ours always holds one.
func (f form) id(name string) (uuid.UUID, error) { return uuid.Parse(f.Get(name)) }

// sentence begins with a capital and ends with a full stop.
func sentence(s string) string {
	if s == "" {
		return s
	}
	s = sentenceStart(s)
	if strings.ContainsAny(s[len(s)-1:], ".?!") {
		return s
	}
	return s + "."
}

// local is an address of this program, the evening where it is not.
func local(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.Host != "" || u.Scheme != "" || !strings.HasPrefix(address, "/") || strings.HasPrefix(address, "//") || strings.Contains(address, `\`) {
		return "/evening"
	}
	query := u.Query()
	query.Del("said")
	u.RawQuery = query.Encode()
	return u.String()
}

// pathID is the id in the address, zero where there is none.
func pathID(r *http.Request) uuid.UUID {
	id, err := uuid.Parse(r.PathValue("id"))
	if err != nil {
		return uuid.UUID{}
	}
	return id
}
