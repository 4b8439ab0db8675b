package trapside

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"sync"
	"time"

	"dawnround/check"
	"dawnround/notebook"
	"dawnround/page"
	"dawnround/programme"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Trapside is the scribe's screens over one programme.
type Trapside struct {
	programme *programme.Programme
	drafts    notebook.Drafts
	now       func() time.Time

	company Company // the other devices; nil: none can be heard

	mu     sync.Mutex        // one edit after another, from however many tabs; over all below
	usual  *check.Population // what the checks hold an animal against, told when a round opens
	steps  map[uuid.UUID][]record.Step
	last   tap        // the outcome written last
	spoken vocabulary // the vocabulary of the protocol in force
}

// New opens the screens and the drafts left open. A draft whose capture was
// released already is dropped: the power failed between keeping and dropping.
// now is the clock.
func New(p *programme.Programme, drafts notebook.Drafts, now func() time.Time) (*Trapside, error) {
	t := &Trapside{programme: p, drafts: drafts, now: now, steps: map[uuid.UUID][]record.Step{}}
	t.know()
	all, err := drafts.All()
	if err != nil {
		return nil, err
	}
	for id, steps := range all {
		if t.released(id) {
			if err := drafts.Drop(id); err != nil {
				return nil, err
			}
			continue
		}
		t.steps[id] = readSteps(steps)
	}
	return t, nil
}

// know tells what is usual in the population, from all that is kept by now.
func (t *Trapside) know() {
	t.programme.View(func(r *register.Register) { t.usual = check.Know(r) })
}

// released reports a capture that has left the hand.
func (t *Trapside) released(id uuid.UUID) bool {
	var yes bool
	t.programme.View(func(r *register.Register) {
		c, ok := r.Capture(id)
		yes = ok && c.Released != nil
	})
	return yes
}

// readSteps reads steps, of which those of one edit may be written together;
// what cannot be read is kept as words without a place.
func readSteps(raw [][]byte) []record.Step {
	var steps []record.Step
	for _, b := range raw {
		var one record.Step
		var several []record.Step
		switch {
		case json.Unmarshal(b, &one) == nil:
			steps = append(steps, one)
		case json.Unmarshal(b, &several) == nil:
			steps = append(steps, several...)
		default:
			steps = append(steps, record.Step{Field: "unread", Typed: string(b)})
		}
	}
	return steps
}

// Mount adds the screens to a program's pages.
func (t *Trapside) Mount(mux *http.ServeMux) {
	for pattern, serve := range map[string]http.HandlerFunc{
		"GET /{$}":                    t.first,
		"GET /set":                    t.showSet,
		"POST /set/trip":              t.openTrip,
		"POST /set/all":               t.setAll,
		"POST /set/trap":              t.setTrap,
		"GET /round":                  t.showRound,
		"POST /round/open":            t.openRound,
		"POST /round/check":           t.checkTrap,
		"POST /round/undo":            t.undoTap,
		"POST /round/bycatch":         t.bycatch,
		"POST /round/close":           t.closeTraps,
		"POST /round/weather":         t.weather,
		"POST /round/end":             t.endRound,
		"GET /bench":                  t.longestWait,
		"GET /bench/{capture}":        t.showBench,
		"POST /bench/{capture}/in":    t.writeIn,
		"POST /bench/{capture}/call":  t.call,
		"GET /bench/{capture}/echo":   t.echo,
		"POST /bench/{capture}/undo":  t.undo,
		"POST /bench/{capture}/mark":  t.readMark,
		"POST /bench/{capture}/young": t.addYoung,
		"POST /bench/{capture}/found": t.finding,
		"POST /bench/{capture}/bag":   t.bag,
		"POST /bench/{capture}/none":  t.noAnimal,
		"POST /bench/{capture}/keep":  t.keep,
		"GET /paper":                  t.showPaper,
		"POST /paper/traps":           t.paperTraps,
		"POST /paper/{capture}":       t.paperSheet,
	} {
		mux.HandleFunc(pattern, serve)
	}
	t.mountPhotos(mux)
}

// first goes to the page of the hour: from noon on traps are set, before it
// they are cleared.
func (t *Trapside) first(w http.ResponseWriter, r *http.Request) {
	to := "/round"
	if t.local().Hour() >= 12 {
		to = "/set"
	}
	page.Go(w, r, to)
}

// local is the clock in the programme's zone.
func (t *Trapside) local() time.Time { return t.now().In(t.zone()) }

// zone is the time zone in which nights are told.
func (t *Trapside) zone() *time.Location {
	zone := time.UTC
	t.programme.View(func(r *register.Register) { zone = r.Zone() })
	return zone
}

// nightNow is the night that the clock proposes: until noon, last evening's.
func nightNow(now time.Time) record.Night {
	night := record.NightOf(now)
	if now.Hour() < 12 {
		return night.Add(-1)
	}
	return night
}

// frame is what surrounds a page.
func (t *Trapside) frame(r *http.Request, title string, here page.Place) page.Frame {
	var name string
	t.programme.View(func(reg *register.Register) { name = nameIn(reg.Programme(), reg.Protocol()) })
	return page.FrameOf(r, title, name, here, t.local())
}

func nameIn(p record.Programme, q *protocol.Protocol) string {
	for _, name := range []string{p.Name, q.Name} {
		if name != "" {
			return name
		}
	}
	return "a programme without a name"
}

// writes reads a form that somebody who holds the pen has sent; it answers
// whoever cannot write.
func (t *Trapside) writes(w http.ResponseWriter, r *http.Request) (who string, ok bool) {
	if err := r.ParseForm(); err != nil {
		page.Refuse(w, r, http.StatusBadRequest, "That could not be read", err.Error(), "Go back; what you wrote is still in the field.")
		return "", false
	}
	if who = page.Who(r); who == "" {
		noPen(w, r)
		return "", false
	}
	return who, true
}

// wrong answers what a person wrote and cannot stand.
func wrong(w http.ResponseWriter, r *http.Request, err error) {
	page.Refuse(w, r, http.StatusUnprocessableEntity, "That cannot stand so", err.Error(), "Go back and write it again; what was written before is kept.")
}

// keepLines keeps lines that a page has written and goes on; what cannot be
// kept is told.
func (t *Trapside) keepLines(w http.ResponseWriter, r *http.Request, who, to string, bodies ...record.Body) {
	if _, err := t.programme.Keep(who, t.now(), bodies...); err != nil {
		notKept(w, r, err)
		return
	}
	page.Go(w, r, to)
}

// notKept answers a disk that does not take a line.
func notKept(w http.ResponseWriter, r *http.Request, err error) {
	page.Refuse(w, r, http.StatusInsufficientStorage, "Not kept", "The notebook could not be written: "+err.Error(),
		"Write it on paper now. Then see whether the disk is full or the folder is gone, and write it again.")
}

// captureOf is the capture a request is about.
func captureOf(r *http.Request) (uuid.UUID, error) {
	id, err := uuid.Parse(r.PathValue("capture"))
	if err != nil {
		return id, fmt.Errorf("capture %q: not an id; go to it from the round", r.PathValue("capture"))
	}
	return id, nil
}

// add writes steps into a draft. Those of one edit are on disk together, or none
// of them is.
func (t *Trapside) add(id uuid.UUID, steps ...record.Step) error {
	var all any = steps
	if len(steps) == 1 {
		all = steps[0]
	}
	b, err := json.Marshal(all)
	if err != nil || len(steps) == 0 {
		return err
	}
	if err := t.drafts.Add(id, b); err != nil {
		return err
	}
	t.steps[id] = append(t.steps[id], steps...)
	return nil
}

// drop forgets a draft whose lines are kept.
func (t *Trapside) drop(id uuid.UUID) error {
	if err := t.drafts.Drop(id); err != nil {
		return err
	}
	delete(t.steps, id)
	return nil
}

var errGone = errors.New("this animal has left the hand: its lines are kept, and a correction is a new line")
