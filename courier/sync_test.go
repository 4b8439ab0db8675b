package courier_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"errors"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"pgregory.net/rapid"
)

// Two notebooks that have exchanged say the same, whoever asked; a third gets
// what one of them wrote from the other.
func TestSync(t *testing.T) {
	t.Parallel()
	a, b := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, a, b)
	a.notes(t, 3)
	laptop.notes(t, 2)
	if s := sync(t, a, laptop); s.Sent != 3 || s.Came != 6 || s.WithName != "camp laptop" || s.ToSend+s.ToCome != 0 {
		t.Errorf("%+v", s)
	}
	alike(t, a, laptop)
	b.notes(t, 1)
	sync(t, b, laptop)
	sync(t, a, laptop)
	alike(t, a, b, laptop)
	if s := sync(t, a, laptop); s.Sent != 0 || s.Came != 0 {
		t.Errorf("again: %s", s.Says())
	}
	if n, err := a.Copies.Waiting(a.Programme); err != nil || n != 0 {
		t.Errorf("%d lines wait, %v", n, err)
	}
	a.notes(t, 2)
	if n, _ := a.Copies.Waiting(a.Programme); n != 2 {
		t.Errorf("%d lines wait, want 2", n)
	}
	if last, ok := a.Copies.Last(); !ok || last.Name != "camp laptop" || !last.At.Equal(evening) {
		t.Errorf("last copy %+v", last)
	}
}

// A long chain goes in many steps, and each step's lines are safe when the way
// is cut; another device's chain is laid aside until it is complete.
func TestManySteps(t *testing.T) {
	t.Parallel()
	a, b := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, a, b)
	a.notes(t, 600)
	var steps []courier.State
	_, err := a.Sync(context.Background(), to(laptop), func(s courier.State) { steps = append(steps, s) })
	if err != nil || len(steps) < 5 {
		t.Fatalf("%d steps, %v", len(steps), err)
	}
	alike(t, a, laptop)

	asks := 0
	cut := func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
		if asks++; asks > 4 {
			return courier.Answer{}, errLost
		}
		return to(laptop)(ctx, path, authorization, body)
	}
	s, err := b.Sync(context.Background(), cut, nil)
	if !errors.Is(err, errLost) || s.Came == 0 || s.ToCome == 0 {
		t.Errorf("cut: %s, %v", s.Says(), err)
	}
	sync(t, b, laptop)
	alike(t, a, b, laptop)
}

// flaky loses, cuts, doubles and delays messages between two sides.
type flaky struct {
	rng  *rand.Rand
	to   courier.Carry
	late []message
}

type message struct {
	path, authorization string
	body                []byte
}

func (f *flaky) carry(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
	m := message{path, authorization, bytes.Clone(body)}
	send := func(m message) courier.Answer {
		answer, err := f.to(ctx, m.path, m.authorization, m.body)
		if err != nil {
			return courier.Answer{}
		}
		return answer
	}
	switch f.rng.IntN(10) {
	case 0: // lost on the way there, or late
		f.late = append(f.late, m)
		return courier.Answer{}, errLost
	case 1: // lost on the way back
		send(m)
		return courier.Answer{}, errLost
	case 2: // cut on the way there, and the rest of the way is whole
		m.body = m.body[:f.rng.IntN(len(m.body)+1)]
	case 3: // an old message arrives first, and this one twice
		if len(f.late) > 0 {
			send(f.late[f.rng.IntN(len(f.late))])
		}
		send(m)
	}
	answer := send(m)
	if f.rng.IntN(10) == 0 && len(answer.Body) > 0 { // cut on the way back
		answer.Body = answer.Body[:f.rng.IntN(len(answer.Body))]
	}
	return answer, nil
}

// However messages are lost, cut, doubled and delayed, no chain breaks, and once
// the way is good both notebooks hold the same.
func TestSyncOverBadWays(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		a, b := newMember(t, 2, 0), newMember(t, 3, 0)
		laptop := newCrew(t, a, b)
		way := &flaky{rng: rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1)), to: to(laptop)}
		for range rapid.IntRange(1, 12).Draw(t, "exchanges") {
			m := rapid.SampledFrom([]*member{a, b}).Draw(t, "who")
			m.notes(t, rapid.IntRange(0, 200).Draw(t, "lines"))
			laptop.notes(t, rapid.IntRange(0, 3).Draw(t, "on the laptop"))
			m.Sync(context.Background(), way.carry, nil)
			if rapid.Bool().Draw(t, "laptop starts anew") {
				laptop.house = courier.NewHouse(laptop.Side)
			}
			for _, m := range []*member{a, b, laptop} {
				if _, err := notebook.Verify(m.store, nil); err != nil {
					t.Fatal(err)
				}
			}
		}
		sync(t, a, laptop)
		sync(t, b, laptop)
		sync(t, a, laptop)
		alike(t, a, b, laptop)
	})
}

// A device that began as another's copy is found: both branches are kept, both
// go on as new devices, and nobody loses a word.
func TestForkedDevice(t *testing.T) {
	t.Parallel()
	a := newMember(t, 2, 0)
	laptop := newCrew(t, a)
	a.notes(t, 2)
	sync(t, a, laptop)
	twin := copied(t, a)
	a.keep(t, record.Note{On: "trap NR/K1", Text: "at the hut"})
	twin.keep(t, record.Note{On: "trap NR/K2", Text: "at the camp"})
	sync(t, a, laptop)
	s, err := twin.Sync(context.Background(), to(laptop), nil)
	if err != nil || s.Forks+laptopForks(laptop) == 0 {
		t.Fatalf("%s, %v", s.Says(), err)
	}
	for _, m := range []*member{a, twin} { // each goes on as a device that a leader admits anew
		if m.device() != notebook.DeviceID(m.key.Public().(ed25519.PublicKey)) {
			laptop.keep(t, record.Admitted{Device: m.device(), Name: "renewed", Role: record.Scribe})
		}
	}
	sync(t, a, laptop)
	sync(t, twin, laptop)
	alike(t, a, twin, laptop)
	laptop.Programme.View(func(r *register.Register) {
		for _, on := range []string{"trap NR/K1", "trap NR/K2"} {
			if len(r.Notes(on)) == 0 {
				t.Errorf("what was written of %s is lost", on)
			}
		}
	})
}

// Branches longer than a step, and one ahead of the other, come whole by either
// way.
func TestLongBranches(t *testing.T) {
	t.Parallel()
	for name, meet := range map[string]func(m, laptop *member) (courier.State, error){
		"network": func(m, laptop *member) (courier.State, error) { return m.Sync(context.Background(), to(laptop), nil) },
		"file": func(m, laptop *member) (courier.State, error) {
			heads, _, err := laptop.Programme.Notebook().Heads()
			if err != nil {
				return courier.State{}, err
			}
			return laptop.Import(bytes.NewReader(stick(t, m, heads)))
		},
	} {
		for _, counts := range [][2]int{{400, 500}, {500, 400}, {1, 400}} {
			a := newMember(t, 2, 0)
			laptop := newCrew(t, a)
			a.notes(t, 2)
			sync(t, a, laptop)
			twin := copied(t, a)
			a.notes(t, counts[0])
			twin.notes(t, counts[1])
			sync(t, a, laptop)
			if _, err := meet(twin, laptop); err != nil {
				t.Errorf("%s, %v: %v", name, counts, err)
			}
			laptop.Programme.View(func(r *register.Register) {
				if n := len(r.Notes("trap NR/K1")); n != 2+counts[0]+counts[1] {
					t.Errorf("%s, %v: %d notes at the laptop, want %d", name, counts, n, 2+counts[0]+counts[1])
				}
			})
		}
	}
}

func laptopForks(m *member) (n int) {
	m.Programme.View(func(r *register.Register) { n = len(r.Forks()) })
	return n
}

// copied opens a copy of a member's notebook with the same key.
func copied(t rapid.TB, m *member) *member {
	t.Helper()
	var export bytes.Buffer
	c := &member{store: &notebook.Memory{}, key: m.key, time: m.time}
	c.Side = m.Side
	c.Now = func() time.Time { return c.time.Add(c.ahead) }
	if err := notebook.Export(&export, m.store); err != nil {
		t.Fatal(err)
	}
	if err := notebook.Restore(&export, c.store); err != nil {
		t.Fatal(err)
	}
	n, err := notebook.Open(c.store, c.key, c.Now)
	if err != nil {
		t.Fatal(err)
	}
	c.open(t, n)
	return c
}

// A clock an hour off is noticed at the first exchange, written once, and the
// stored times stay; a clock two days ahead is written of, and not adopted.
func TestClocks(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		ahead time.Duration
		says  int
	}{{0, 0}, {time.Minute, 0}, {time.Hour, 3600}, {-2 * time.Hour, -7200}, {50 * time.Hour, 180000}} {
		phone := newMember(t, 2, c.ahead)
		laptop := newCrew(t, phone)
		phone.notes(t, 1)
		if s := sync(t, phone, laptop); s.AheadS != c.says {
			t.Errorf("%s ahead: said %d s, want %d", c.ahead, s.AheadS, c.says)
		}
		sync(t, phone, laptop)
		laptop.notes(t, 1)
		sync(t, phone, laptop)
		alike(t, phone, laptop)
		laptop.Programme.View(func(r *register.Register) {
			if got := r.LatestOffset(phone.device()); got != time.Duration(c.says)*time.Second {
				t.Errorf("%s ahead: the line says %s", c.ahead, got)
			}
			if wrong := r.WrongClocks(time.Minute); c.says != 0 && len(wrong) != 1 {
				t.Errorf("%s ahead: %d clocks are told wrong", c.ahead, len(wrong))
			}
		})
		_, signed, err := laptop.Programme.Notebook().Heads()
		if err != nil || len(signed) != 2 {
			t.Fatalf("heads %v, %v", signed, err)
		}
		lines := slices.Collect(values(laptop.Programme.Notebook().Since(nil)))
		last := lines[slices.IndexFunc(lines, func(l notebook.Line) bool { return l.Device == laptop.device() && l.Kind == "note" })]
		if adopted := last.Clock.Time().Sub(evening) > 25*time.Hour; adopted {
			t.Errorf("%s ahead: the laptop went on at %s", c.ahead, last.Clock)
		}
	}
}

func values(seq func(func(notebook.Line, error) bool)) func(func(notebook.Line) bool) {
	return func(yield func(notebook.Line) bool) {
		seq(func(l notebook.Line, err error) bool { return err == nil && yield(l) })
	}
}
