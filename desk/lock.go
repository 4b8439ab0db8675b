package desk

import (
	"net/http"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"
)

// Locked is how a trip's record stands locked.
type Locked struct {
	State string `json:"state"`
	Who   string `json:"who"`
	At    string `json:"at"`
	Why   string `json:"why,omitempty"`
	Late  int    `json:"late,omitempty"` // lines about the trip that the lock does not know
}

// locked tells the lock of a trip, nil where there is none.
func (w words) locked(trip string) *Locked {
	var out *Locked
	for _, e := range w.Locks() {
		if b := e.Now().(record.Lock); b.Trip == trip {
			out = &Locked{State: b.State, Who: e.Who, At: w.clockOf(e).clock(e.At(), record.Night{}), Why: b.Why}
		}
	}
	for _, a := range w.AfterLocks() {
		if out != nil && a.Lock.Now().(record.Lock).Trip == trip {
			out.Late++
		}
	}
	return out
}

// lock writes that a trip's record is finished as this notebook stands.
func (d *desk) lock(w http.ResponseWriter, r *http.Request) {
	trip := r.FormValue("trip")
	back := local("/trip/" + trip)
	if page.AskPen(w, r, back) {
		return
	}
	heads, _, err := d.p.Notebook().Heads()
	if err != nil {
		panic(err) // the store that holds the notebook cannot be read
	}
	var lock record.Lock
	known := false
	d.p.View(func(reg *register.Register) {
		_, known = reg.Trip(trip)
		lock = reg.NewLock(trip, heads, form{r.PostForm, ""}.text("why"))
	})
	if !known {
		page.Refuse(w, r, http.StatusNotFound, "Not in this notebook", "There is no trip "+trip+" here.", "Go back and choose one.")
		return
	}
	if _, err := d.p.Keep(page.Who(r), d.now(), lock); err != nil {
		page.Refuse(w, r, http.StatusUnprocessableEntity, "Not written", sentence(err.Error()), "Go back and try again.")
		return
	}
	page.Go(w, r, page.Said(back, "The trip is locked; later lines about it are kept, and asked about."))
}
