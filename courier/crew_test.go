package courier_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"errors"
	"fmt"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
	"pgregory.net/rapid"
)

var (
	evening = time.Date(2026, 5, 13, 19, 0, 0, 0, time.UTC)
	id      = uuid.MustParse("01977000-0000-7000-8000-000000000001")
	night   = record.Night{Year: 2026, Month: 5, Day: 13}
)

// member is one device of an invented crew.
type member struct {
	courier.Side
	store *notebook.Memory
	key   ed25519.PrivateKey
	time  *time.Time    // what it is
	ahead time.Duration // by which its clock is fast
	house *courier.House
}

func keyOf(seed byte) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{seed}, ed25519.SeedSize))
}

// newMember makes a device with an empty notebook, whose clock is ahead.
func newMember(tb rapid.TB, seed byte, ahead time.Duration) *member {
	tb.Helper()
	at := evening
	m := &member{store: &notebook.Memory{}, key: keyOf(seed), time: &at, ahead: ahead}
	m.Now = func() time.Time { return m.time.Add(m.ahead) }
	n, err := notebook.Create(m.store, id, m.key, m.Now)
	if err != nil {
		tb.Fatal(err)
	}
	m.open(tb, n)
	return m
}

func (m *member) open(tb rapid.TB, n *notebook.Notebook) {
	tb.Helper()
	p, err := programme.Open(n)
	if err != nil {
		tb.Fatal(err)
	}
	p.Blobs = m.store
	m.Who, m.Programme, m.Copies = "AB", p, &courier.Copies{}
	m.house = courier.NewHouse(m.Side)
}

func (m *member) device() notebook.DeviceID { return m.Programme.Notebook().Device() }

func (m *member) keep(tb rapid.TB, bodies ...record.Body) []uuid.UUID {
	tb.Helper()
	kept, err := m.Programme.Keep("AB", m.Now(), bodies...)
	if err != nil {
		tb.Fatal(err)
	}
	return kept.Lines
}

// notes keeps so many lines.
func (m *member) notes(tb rapid.TB, n int) {
	tb.Helper()
	for i := range n {
		m.keep(tb, record.Note{On: "trap NR/K1", Text: fmt.Sprintf("note %d", i)})
	}
}

// saved is the register, as bytes.
func (m *member) saved(tb rapid.TB) string {
	tb.Helper()
	var b bytes.Buffer
	m.Programme.View(func(r *register.Register) {
		if err := r.Save(&b); err != nil {
			tb.Fatal(err)
		}
	})
	return b.String()
}

// newCrew makes a laptop that began the notebook, and phones that it admitted
// as scribes and that trust it.
func newCrew(tb rapid.TB, phones ...*member) *member {
	tb.Helper()
	laptop := newMember(tb, 1, 0)
	laptop.keep(tb, record.Programme{Name: "Northern ridge", Zone: "Australia/Hobart"}, record.Device{Name: "camp laptop"})
	for i, p := range phones {
		laptop.keep(tb, record.Admitted{Device: p.device(), Name: fmt.Sprintf("phone %d", i+1), Role: record.Scribe})
		p.Trust = []notebook.DeviceID{laptop.device()}
	}
	return laptop
}

// to carries to a member's answering side, without loss.
func to(m *member) courier.Carry {
	return func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
		switch path {
		case "/presence":
			return m.house.Presence(ctx, authorization, body), nil
		case "/blob":
			return m.house.Blob(authorization, body), nil
		}
		return m.house.Answer(authorization, body), nil
	}
}

func sync(tb rapid.TB, a, b *member) courier.State {
	tb.Helper()
	s, err := a.Sync(context.Background(), to(b), nil)
	if err != nil || !s.Done {
		tb.Fatalf("%s: %v", s.Says(), err)
	}
	return s
}

func alike(tb rapid.TB, all ...*member) {
	tb.Helper()
	for _, m := range all[1:] {
		if m.saved(tb) != all[0].saved(tb) {
			tb.Fatal("two notebooks do not say the same")
		}
	}
	for _, m := range all {
		if _, err := notebook.Verify(m.store, nil); err != nil {
			tb.Fatal(err)
		}
	}
}

var errLost = errors.New("the way was cut")
