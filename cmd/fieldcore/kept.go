package main

import (
	"fmt"
	"net/http"
	"runtime"
	"runtime/debug"
	"strings"

	"dawnround/page"
	"dawnround/register"
)

// room is what the browser says of the phone's storage.
type room struct {
	Known     bool
	Persisted bool  // the browser has promised not to clear it by itself
	Used, Of  int64 // bytes
}

// leastRoom is the free storage below which the phone warns: thousands of
// captures still fit, a season's photographs do not.
const leastRoom = 200 << 20

// low reports that storage runs short.
func (r room) low() bool { return r.Known && r.Of-r.Used < leastRoom }

// state is what stands on the screen at all times.
type state struct {
	Says   string `json:"says"`   // where what was written lies
	Warns  string `json:"warns"`  // what is wrong with that; empty: nothing
	InHand int    `json:"inHand"` // animals whose drafts are open
	Open   bool   `json:"open"`
	Words  string `json:"words"` // what was typed and not sent when the phone stopped
}

// state tells where things stand.
func (p *phone) state() state {
	if p.open == nil {
		return state{}
	}
	s := state{Says: "kept on this phone · " + p.open.elsewhere(p.open.zone()), InHand: p.open.store.InHand(), Open: true, Words: string(p.open.words.Text())}
	if p.room.low() {
		s.Warns = fmt.Sprintf("storage runs short: %s free", megabytes(p.room.Of-p.room.Used))
	}
	if p.open.noPictures != nil {
		s.Warns = strings.TrimPrefix(s.Warns+"; the pictures on this phone do not open, lines are not concerned", "; ")
	}
	return s
}

func megabytes(bytes int64) string { return fmt.Sprintf("%d MB", bytes>>20) }

// keptPage tells where what was written lies, and lets it out.
type keptPage struct {
	Frame   page.Frame
	State   state
	Pairs   []page.Pair
	With    string // the laptop that lines are exchanged with; empty: none yet
	Outcome string // how that went last
	Address string // where this program was loaded from
}

// mountOpen adds the phone's own pages to the scribe's.
func (p *phone) mountOpen(mux *http.ServeMux) {
	mux.HandleFunc("GET /kept", p.showKept)
	mux.HandleFunc("GET /out", p.out)
	mux.HandleFunc("GET /out/plain", p.outPlain)
	mux.HandleFunc("POST /in", p.in)
	mux.HandleFunc("POST /sync", p.sync)
	mux.HandleFunc("POST /pair", p.pair)
	mux.HandleFunc("POST /close", p.closeNotebook)
	mux.HandleFunc("GET /protects", p.showProtects)
	for _, place := range []string{"/evening", "/evening/", "/animals", "/animal/", "/trip", "/trip/", "/answers", "/answers/"} {
		mux.HandleFunc("GET "+place, p.atTheDesk)
	}
	mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		page.Refuse(w, r, http.StatusNotFound, "There is no such page", r.URL.Path+" is not an address of this program.", "Go back; the pages are named at the top of each.")
	})
}

func (p *phone) frame(r *http.Request, title string) page.Frame {
	name := ""
	if p.open != nil {
		name = p.open.name()
	}
	return page.FrameOf(r, title, name, "", p.local())
}

func (p *phone) showKept(w http.ResponseWriter, r *http.Request) {
	o := p.open
	k := keptPage{Frame: p.frame(r, "Kept on this phone"), State: p.state(), Outcome: o.outcome(), Address: p.home}
	if joined, ok := o.joined(); ok {
		k.With = joined.WithName
	}
	heads, _, err := o.store.Heads()
	if err != nil {
		page.Refuse(w, r, http.StatusInternalServerError, "The lines cannot be counted", err.Error(), "Take the notebook out as a file.")
		return
	}
	var lines, captures int
	for _, head := range heads {
		lines += int(head.Seq)
	}
	var stateID string
	o.programme.View(func(reg *register.Register) { captures, stateID = len(reg.Captures()), reg.State() })
	k.Pairs = []page.Pair{
		{Term: "lines", Is: fmt.Sprintf("%d by %s, %s sealed", lines, page.Count(len(heads), "device", "devices"), megabytes(o.store.Size()))},
		{Term: "captures", Is: fmt.Sprint(captures)},
		{Term: "pictures", Is: o.picturesSay()},
		{Term: "in the hand", Is: page.Count(o.store.InHand(), "open draft", "open drafts")},
		{Term: "this phone", Is: fmt.Sprintf("%s, device %.8s…", o.self.Name, o.programme.Notebook().Device())},
		{Term: "state", Is: stateID},
		{Term: "storage", Is: p.room.says()},
	}
	page.Answer(w, r, k, keptTempl(k))
}

// says is the phone's storage in words.
func (r room) says() string {
	if !r.Known {
		return "the browser does not say"
	}
	promise := "the browser promises to keep it"
	if !r.Persisted {
		promise = "the browser promises nothing: it may clear it when the phone is full, or when the page was not opened for weeks; install the program, and take a file out each evening"
	}
	return fmt.Sprintf("%s used of %s; %s; warned below %s free", megabytes(r.Used), megabytes(r.Of), promise, megabytes(leastRoom))
}

func (p *phone) closeNotebook(w http.ResponseWriter, r *http.Request) {
	if err := p.lock(); err != nil {
		page.Refuse(w, r, http.StatusInternalServerError, "The notebook did not close cleanly", err.Error(), "What was kept is kept. Close the tab.")
		return
	}
	page.Go(w, r, "/")
}

// deskPage says that a page is read at the laptop.
type deskPage struct{ Frame page.Frame }

func (p *phone) atTheDesk(w http.ResponseWriter, r *http.Request) {
	d := deskPage{p.frame(r, "Read at the desk")}
	page.Answer(w, r, d, deskTempl(d))
}

// protectsPage says what sealing protects and what not.
type protectsPage struct{ Frame page.Frame }

func (p *phone) showProtects(w http.ResponseWriter, r *http.Request) {
	q := protectsPage{p.frame(r, "What the passphrase protects")}
	page.Answer(w, r, q, protectsTempl(q))
}

// typed keeps what is typed and not sent yet, as the shell gives it.
func (p *phone) typed(words []byte) error {
	if p.open == nil || string(p.open.words.Text()) == string(words) {
		return nil
	}
	if err := p.open.words.Put(words); err != nil {
		return err
	}
	return p.open.words.Tidy()
}

// survive turns a mistake of ours into a page with a report.
func survive(w http.ResponseWriter, r *http.Request) {
	mistake := recover()
	if mistake == nil {
		return
	}
	said := fmt.Sprintf("%T", mistake) // the words of a panic may hold what was typed
	if own, ok := mistake.(runtime.Error); ok {
		said = own.Error()
	}
	report := fmt.Sprintf("dawnround fieldcore %s, %s\n%s %s\n%s\n\n%s", core, runtime.Version(), r.Method, r.Pattern, said, debug.Stack())
	if answer, ok := w.(*written); ok {
		*answer = written{header: http.Header{}}
	}
	page.OurFault(w, r, report)
}

// core is the version of this program: the checksum of its own file, as the
// shell tells it.
var core = "unknown"
