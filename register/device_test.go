package register_test

import (
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

func (w *world) fold() *register.Register {
	r := register.New()
	for _, l := range w.lines {
		r.Apply(register.ReadLine(l))
	}
	return r
}

// A leader's word counts, a scribe's does not, and whoever is shut out leads no more.
func TestParty(t *testing.T) {
	t.Parallel()
	w := newWorld(4)
	laptop, phone, other, lost := w.devices[0].Device(), w.devices[1].Device(), w.devices[2].Device(), w.devices[3].Device()
	w.write(0, record.Programme{Name: "n"})
	w.write(0, record.Device{Name: "camp laptop"})
	w.write(0, record.Admitted{Device: phone, Name: "AB's phone", Role: record.Scribe, Site: "NR"})
	w.write(1, record.Admitted{Device: other, Name: "a friend's phone", Role: record.Leader})
	w.write(0, record.Admitted{Device: lost, Name: "old tablet", Role: record.Leader})
	w.write(0, record.ShutOut{Device: lost, Why: "left on the bus"})
	w.write(3, record.Admitted{Device: other, Name: "thief's phone", Role: record.Leader})
	r := w.fold()
	for _, c := range []struct {
		id       notebook.DeviceID
		name     string
		role     record.Role
		admitted bool
	}{
		{laptop, "camp laptop", record.Leader, true},
		{phone, "AB's phone", record.Scribe, true},
		{other, "", "", false},
		{lost, "old tablet", record.Leader, false},
	} {
		if d := r.Member(c.id, laptop); d.Name != c.name || d.Role != c.role || d.Admitted() != c.admitted {
			t.Errorf("%+v, want %+v", d, c)
		}
	}
	if d := r.Member(other, phone); d.Role != record.Leader {
		t.Errorf("the phone itself does not see whom it admitted: %+v", d)
	}
	if over := r.Overruled(); len(over) != 2 || over[0].Device != phone || over[1].Device != lost {
		t.Errorf("%d lines are overruled, want the phone's and the lost tablet's", len(over))
	}
}

// A clock's offset holds from the comparison on, and before the first.
func TestOffset(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	phone := w.devices[1].Device()
	start := w.now
	w.now = start.Add(time.Hour)
	w.write(1, record.ClockOffset{Seconds: 3600, Why: "an hour off"})
	w.now = start.Add(5 * time.Hour)
	w.write(1, record.ClockOffset{Seconds: -30, Why: "put right"})
	w.write(0, record.ClockOffset{Of: phone, Seconds: 90000, Why: "its lines came from ahead"}) // its own word counts
	r := w.fold()
	for _, c := range []struct{ at, want time.Duration }{
		{0, time.Hour}, {2 * time.Hour, time.Hour}, {6 * time.Hour, -30 * time.Second},
	} {
		if got := r.Offset(phone, start.Add(c.at)); got != c.want {
			t.Errorf("after %s: %s, want %s", c.at, got, c.want)
		}
	}
	if wrong := r.WrongClocks(time.Minute); len(wrong) != 1 || wrong[0].Seconds != 90000 || wrong[0].Device != phone {
		t.Errorf("wrong clocks: %+v", wrong)
	}
	if right := r.Right(w.devices[0].Device(), start); right != start {
		t.Errorf("a clock never compared is changed to %s", right)
	}
}

// A line that the lock does not know is found; locking again takes it in.
func TestAfterLock(t *testing.T) {
	t.Parallel()
	w := newWorld(2)
	trip := record.Spot{Trip: "2026-05", Site: "NR", Night: record.Night{Year: 2026, Month: 5, Day: 10}}
	w.write(0, record.Capture{Capture: captureID(1), At: &trip})
	heads, _, err := w.devices[0].Heads()
	if err != nil {
		t.Fatal(err)
	}
	w.write(0, w.fold().NewLock("2026-05", heads, "report sent"))
	w.write(1, record.Site{Site: "NR", Name: "of no trip"})
	late := w.write(1, record.Capture{Capture: captureID(2), At: &trip})
	wrong := w.write(1, record.Correction{Line: late, Field: "/at/trap", Value: []byte(`"K1"`), Why: "w"})
	r := w.fold()
	after := r.AfterLocks()
	if len(after) != 2 || after[0].Line.ID != late || after[1].Line.ID != wrong {
		t.Fatalf("after the lock: %d lines, want the capture and its correction", len(after))
	}
	both := notebook.Heads{}
	for _, n := range w.devices {
		h, _, err := n.Heads()
		if err != nil {
			t.Fatal(err)
		}
		both[n.Device()] = h[n.Device()]
	}
	w.write(0, r.NewLock("2026-05", both, "with the phone's"))
	if after := w.fold().AfterLocks(); len(after) != 0 {
		t.Errorf("locked again, %d lines are still after the lock", len(after))
	}
}

// A fork line is read, and tells where both branches end.
func TestForkIsRead(t *testing.T) {
	t.Parallel()
	w := newWorld(1)
	body := `{"branches":[{"lines":[],"head":{"programme":"` + captureID(1000).String() + `","device":"` + w.devices[0].Device().String() +
		`","seq":3,"hash":"` + notebook.Hash{}.String() + `","signature":"AA=="}}]}`
	r := register.New()
	r.Apply(register.ReadLine(notebook.Line{Format: notebook.Format, ID: uuid.UUID{1}, Kind: notebook.ForkKind, Body: []byte(body)}))
	forks := r.Forks()
	if len(forks) != 1 || forks[0].Now().(record.Fork).Branches[0].Head.Seq != 3 {
		t.Errorf("forks: %+v", forks)
	}
}
