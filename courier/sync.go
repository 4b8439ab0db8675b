package courier

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"dawnround/notebook"
	"dawnround/record"
)

// Sync exchanges lines with whoever carry reaches until both hold the same. It
// tells after every acknowledged step how far it is, and may be stopped at any
// moment: what was acknowledged is safe on both sides, and the next time goes on
// from there.
//
// Errors: [*Older] says who must update; [*Denied] that this device or the
// other is not admitted; others that the way was cut. The state is true also
// beside an error.
func (s Side) Sync(ctx context.Context, carry Carry, tell func(State)) (State, error) {
	x := exchange{side: s, tell: tell}
	err := x.open(ctx, carry)
	for again := false; err == nil && !x.state.Done; {
		err = x.step(ctx)
		if errors.Is(err, errAgain) && !again {
			again = true
			err = x.open(ctx, carry)
		}
	}
	return x.state, err
}

// exchange is one under way, as the asking side sees it.
type exchange struct {
	side  Side
	tell  func(State)
	talk  *talk
	laid  aside
	state State

	theirs *holding        // what they said last; nil before the first answer
	been   map[string]bool // what both held after each step
}

// open begins a conversation, and looks whom it is with.
func (x *exchange) open(ctx context.Context, carry Carry) error {
	n := x.side.Programme.Notebook()
	t, err := open(ctx, carry, n.Programme(), n.Key(), x.side.Now)
	if err != nil {
		return err
	}
	if t.with.Programme != n.Programme() {
		return &Denied{fmt.Sprintf("it keeps another programme, %s; this notebook is of %s", t.with.Programme, n.Programme())}
	}
	with := x.side.member(t.with.Device)
	if !with.Admitted() && (with.Lost != "" || !slices.Contains(x.side.Trust, with.ID)) {
		return &Denied{fmt.Sprintf("no line here admits the other side (device %s), so nothing was told to it; a leader admits it, or this device is paired with it", with.ID)}
	}
	x.talk = t
	x.state.With = with.ID
	if off := t.ahead; off <= -noticed || off >= noticed {
		x.state.AheadS = int(off.Round(time.Second).Seconds())
	}
	return x.side.compare(t.ahead, with)
}

// step sends one parcel and takes the one that comes back.
func (x *exchange) step(ctx context.Context) error {
	p, err := x.side.parcel(&x.laid, x.theirs)
	if err != nil {
		return err
	}
	question, err := p.pack()
	if err != nil {
		return err
	}
	answer, err := x.talk.ask(ctx, "/sync", question)
	if err != nil {
		return err
	}
	q, err := unpackBytes(answer)
	if err != nil {
		return err
	}
	came, err := x.side.receive(&x.laid, q)
	if err != nil {
		return err
	}
	return x.acknowledged(p, q, came)
}

// parcel packs what the other side, as far as it has said, lacks.
func (s Side) parcel(laid *aside, theirs *holding) (Parcel, error) {
	note, err := s.note(laid, theirs)
	p := Parcel{Note: note}
	if err == nil && theirs != nil && !s.reader() {
		err = p.load(s.Programme.Notebook(), *theirs, s.limited())
	}
	return p, err
}

// reader reports a device whose lines nobody takes.
func (s Side) reader() bool {
	return s.member(s.Programme.Notebook().Device()).Role == record.Reader
}

// receive takes what a parcel brings.
func (s Side) receive(laid *aside, p Parcel) (took, error) {
	if p.Programme != s.Programme.Notebook().Programme() {
		return took{}, &Denied{fmt.Sprintf("a parcel of programme %s came; this notebook is of %s", p.Programme, s.Programme.Notebook().Programme())}
	}
	if len(p.Lines)+len(p.Heads) == 0 {
		return took{}, nil
	}
	if site := s.site(); site != "" {
		s.Programme.Notebook().Limit()
		s.withhold(&p, site, s.Programme.Notebook().Device())
	}
	t, err := laid.take(s.Programme, s.Who, p.Lines, p.Heads)
	if err != nil {
		return t, err
	}
	return t, s.found(t.Ahead)
}

// acknowledged notes a step, and whether it was the last.
func (x *exchange) acknowledged(p, q Parcel, came took) error {
	s := &x.state
	theirs := q.holding()
	ours, _, err := x.side.Programme.Notebook().Heads()
	if err != nil {
		return err
	}
	own := x.side.Programme.Notebook().Device()
	switch {
	case x.side.reader():
		ours = nil
	case x.side.limited():
		ours = notebook.Heads{own: ours[own]}
	}
	from, lacking := theirs.from(ours, own)
	s.At, s.WithName = x.side.Now(), x.side.member(s.With).Name
	s.Sent += len(p.Lines)
	for _, w := range q.Waiting {
		s.Sent -= w.Lines
	}
	s.Came += len(came.New)
	s.ToSend, s.ToCome = lacking, q.More
	s.Waiting, s.Refused = came.Waiting, q.Waiting
	s.Forks += came.forks
	s.Renewed = s.Renewed || came.Renewed
	s.Done = x.theirs != nil && len(q.Lines) == 0 && q.More == 0 && same(from, ours)
	x.theirs = &theirs
	x.side.Copies.note(Copy{Device: s.With, Name: s.WithName, At: s.At, Heads: q.Holds})
	if x.tell != nil {
		x.tell(*s)
	}
	if came.fault != nil {
		return came.fault
	}
	return x.moved(ours)
}

// moved ends an exchange that has come to where it was before.
func (x *exchange) moved(ours notebook.Heads) error {
	now := fmt.Sprint(ours, x.laid.heads(), x.theirs.heads, x.theirs.aside, x.theirs.branches)
	if x.been[now] && !x.state.Done {
		return fmt.Errorf("%s do not go through, and the rest does: %s", lines(x.state.ToSend+x.state.ToCome), x.state.Says())
	}
	if x.been == nil {
		x.been = map[string]bool{}
	}
	x.been[now] = true
	return nil
}

// same reports that a holder of from lacks nothing of ours.
func same(from, ours notebook.Heads) bool {
	for device, head := range ours {
		if from[device] != head {
			return false
		}
	}
	return true
}
