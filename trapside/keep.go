package trapside

import (
	"cmp"
	"net/http"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// keep lets the animal go and keeps its lines; only then the draft goes. A
// stop that has not been shown yet, or something missing, interrupts once; whoever insists is
// believed, and the flag is kept with the line.
func (t *Trapside) keep(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	id, err := captureOf(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.letGo(w, r, who, id)
}

// letGo is what the button does, and the word on the call line.
func (t *Trapside) letGo(w http.ResponseWriter, r *http.Request, who string, id uuid.UUID) {
	if t.released(id) { // the other tab was faster
		page.Go(w, r, "/bench/"+id.String())
		return
	}
	if err := t.open(id); err != nil {
		wrong(w, r, err)
		return
	}
	now := t.now()
	capture, halt := t.finished(id, who, now)
	if len(halt) > 0 {
		if err := t.add(id, halt...); err != nil {
			notKept(w, r, err)
			return
		}
		page.Go(w, r, "/bench/"+id.String()+"#foot")
		return
	}
	if _, err := t.programme.Keep(who, now, t.withFollowUps(capture, now)...); err != nil {
		notKept(w, r, err)
		return
	}
	if err := t.drop(id); err != nil {
		delete(t.steps, id) // it is kept; the draft is dropped again at the next start
	}
	page.Go(w, r, page.Said("/bench/"+id.String(), "kept"))
}

// withFollowUps adds what must be done after a capture, by the rules of the
// protocol.
func (t *Trapside) withFollowUps(c record.Capture, now time.Time) []record.Body {
	lines := []record.Body{c}
	t.programme.View(func(r *register.Register) {
		for _, f := range r.Protocol().FollowUps(c, now, newID) {
			lines = append(lines, f)
		}
	})
	return lines
}

// finished is the line of an animal that leaves the hand now, or the steps
// that say which stops are shown first.
func (t *Trapside) finished(id uuid.UUID, who string, now time.Time) (record.Capture, []record.Step) {
	d := Fold(id, t.steps[id])
	var halt []record.Step
	var acts []record.FlagAct
	var version string
	t.programme.View(func(r *register.Register) {
		version = r.Protocol().Version
		card := Card{ID: id, usual: t.usual}
		card.fill(r, Fold(id, t.steps[id]), now)
		if len(card.Missing) > 0 && card.Ask == "" {
			halt = append(halt, step(who, now, "flags/"+lacks(card.Missing), record.FlagShown))
		}
		d.Finish(r, r.Protocol())
		d.release(who, now)
		d.onPaper()
		for _, f := range t.usual.Draft(r, d.Capture, now) {
			act := cmp.Or(d.Acts[f.Key()], record.FlagShown)
			if f.Grade == record.Stop {
				if d.Acts[f.Key()] == "" {
					halt = append(halt, step(who, now, "flags/"+f.Key(), record.FlagShown))
				}
				act = record.FlagKept
			}
			acts = append(acts, record.FlagAct{Flag: f.Key(), Rule: f.Rule, Of: f.Subject, Act: act, At: now})
		}
	})
	h := d.Capture.Handled
	h.Protocol, h.Scribe, h.Steps, h.Flags = version, who, d.Steps, acts
	d.Capture.At, d.Capture.Bagged = nil, nil // lines of their own
	return d.Capture, halt
}

// release completes the processing and the release with the time it is now.
func (d *Draft) release(who string, now time.Time) {
	h, r := d.handled(), d.released()
	h.Start, h.End = cmp.Or(d.began(), now), now
	r.At, r.By = now, cmp.Or(h.Handler, who)
	if r.Fate == "" {
		r.Fate = record.FateReleased
	}
	if h.Status == record.FoundDead && r.Fate == record.FateReleased {
		r.Fate = record.FateDied
	}
}
