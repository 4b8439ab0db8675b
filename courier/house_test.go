package courier_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"
)

func denied(t *testing.T, err error, want string) {
	t.Helper()
	var d *courier.Denied
	if !errors.As(err, &d) || !strings.Contains(err.Error(), want) {
		t.Errorf("%v; want a refusal that says %q", err, want)
	}
}

// Who is a stranger, or shut out, gets nothing, and the laptop knows who
// knocked; nor does a phone tell anything to a laptop it does not know.
func TestWhoIsAnswered(t *testing.T) {
	t.Parallel()
	phone, stranger := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, phone)
	stranger.Trust = phone.Trust
	stranger.notes(t, 1)
	before := laptop.saved(t)
	_, err := stranger.Sync(t.Context(), to(laptop), nil)
	denied(t, err, "not admitted")
	if _, knocked := laptop.house.Knocked()[stranger.device()]; !knocked || laptop.saved(t) != before {
		t.Error("a stranger left something, or nobody knows that it came")
	}

	phone.Trust = nil
	_, err = phone.Sync(t.Context(), to(laptop), nil)
	denied(t, err, "no line here admits the other side")

	phone.Trust = []notebook.DeviceID{laptop.device()}
	sync(t, phone, laptop)
	laptop.keep(t, record.ShutOut{Device: phone.device(), Why: "left on the bus"})
	phone.notes(t, 1)
	_, err = phone.Sync(t.Context(), to(laptop), nil)
	denied(t, err, "left on the bus")
	if len(phone.saved(t)) >= len(laptop.saved(t))+1000 {
		t.Error("the phone was told something")
	}
}

// A reader is told everything, and what it writes is not taken.
func TestReader(t *testing.T) {
	t.Parallel()
	phone := newMember(t, 2, 0)
	laptop := newCrew(t, phone)
	laptop.keep(t, record.Admitted{Device: phone.device(), Name: "guest", Role: record.Reader})
	phone.notes(t, 2)
	for range 2 {
		s, err := phone.Sync(t.Context(), to(laptop), nil)
		if err != nil || !s.Done || s.Sent != 0 {
			t.Errorf("%s, %v", s.Says(), err)
		}
	}
	phone.Programme.View(func(r *register.Register) {
		if r.Programme().Name == "" {
			t.Error("a reader is told nothing")
		}
	})
	laptop.Programme.View(func(r *register.Register) {
		if len(r.Notes("trap NR/K1")) != 0 {
			t.Error("a reader's lines were taken")
		}
	})
}

// Two versions that have none in common say who must update.
func TestVersions(t *testing.T) {
	t.Parallel()
	phone := newMember(t, 2, 0)
	laptop := newCrew(t, phone)
	later := func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
		return courier.Answer{Status: 426, Body: []byte(`{"denied":"no","sync":3,"oldest":2}`)}, nil
	}
	_, err := phone.Sync(t.Context(), later, nil)
	var older *courier.Older
	if !errors.As(err, &older) || !strings.HasPrefix(err.Error(), "this side must update") || !strings.Contains(err.Error(), "sync export") {
		t.Errorf("%v", err)
	}
	earlier, err := json.Marshal(map[string]any{"sync": 9, "oldest": 9, "programme": id})
	if err != nil {
		t.Fatal(err)
	}
	if a := laptop.house.Answer("", earlier); a.Status != 426 || !strings.Contains(string(a.Body), `"sync":1`) {
		t.Errorf("a later version is answered %d %s", a.Status, a.Body)
	}
	if (&courier.Older{Theirs: 0, TheirOldest: 0}).Error()[:14] != "the other side" {
		t.Error("an earlier version is not told to update")
	}
}

// A credential that was seen on the way is worth nothing for another message,
// for another path, or later; nor is an answer for another question.
func TestSeenOnTheWay(t *testing.T) {
	t.Parallel()
	phone := newMember(t, 2, 0)
	laptop := newCrew(t, phone)
	laptop.notes(t, 2)
	var authorization string
	var body []byte
	var answers []courier.Answer
	_, err := phone.Sync(t.Context(), func(ctx context.Context, path, auth string, b []byte) (courier.Answer, error) {
		a, err := to(laptop)(ctx, path, auth, b)
		if auth != "" && body == nil {
			authorization, body = auth, bytes.Clone(b)
		}
		answers = append(answers, a)
		return a, err
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a := laptop.house.Answer(authorization, append(bytes.Clone(body), 'x')); a.Status == 200 {
		t.Error("the credential is taken for another message")
	}
	if a := laptop.house.Presence(t.Context(), authorization, body); a.Status == 200 {
		t.Error("the credential is taken for another path")
	}
	laptop.ahead = 11 * time.Minute
	if a := laptop.house.Answer(authorization, body); a.Status != 401 {
		t.Errorf("after 11 minutes it is answered %d", a.Status)
	}
	laptop.ahead = 0
	i := 0
	_, err = phone.Sync(t.Context(), func(context.Context, string, string, []byte) (courier.Answer, error) {
		i++
		return answers[min(i-1, len(answers)-1)], nil
	}, nil)
	if err == nil {
		t.Error("old answers are taken for new")
	}
}

// A program started anew, or a challenge grown old, only asks for another opening.
func TestOpenedAgain(t *testing.T) {
	t.Parallel()
	phone := newMember(t, 2, 0)
	laptop := newCrew(t, phone)
	phone.notes(t, 300)
	asks := 0
	s, err := phone.Sync(t.Context(), func(ctx context.Context, path, auth string, b []byte) (courier.Answer, error) {
		if asks++; asks == 3 {
			laptop.house = courier.NewHouse(laptop.Side)
		}
		return to(laptop)(ctx, path, auth, b)
	}, nil)
	if err != nil || !s.Done {
		t.Errorf("%s, %v", s.Says(), err)
	}
	alike(t, phone, laptop)
}

// Who is where in the round is told live, and how old the news is.
func TestPresence(t *testing.T) {
	t.Parallel()
	a, b := newMember(t, 2, 0), newMember(t, 3, 0)
	laptop := newCrew(t, a, b)
	sync(t, a, laptop)
	sync(t, b, laptop)
	lines, _, err := laptop.Programme.Notebook().Heads()
	if err != nil {
		t.Fatal(err)
	}
	mine := courier.Presence{Who: "AB", Seen: []string{"K1", "K2"}, Bags: []courier.Bag{{Trap: "K2", Bag: "7", ForS: 240}}, Handling: "K2"}
	first, err := a.TellPresence(t.Context(), to(laptop), &mine, 0)
	if err != nil || len(first.Of) != 0 {
		t.Fatalf("%+v, %v", first, err)
	}
	laptop.ahead = 6 * time.Minute
	seen, err := b.TellPresence(t.Context(), to(laptop), nil, 0)
	if err != nil || len(seen.Of) != 1 || seen.Of[0].Says() != "phone 1, 6 min ago" || seen.Of[0].Bags[0].ForS != 240 {
		t.Fatalf("%+v, %v", seen, err)
	}
	heard := make(chan courier.Fellows)
	go func() {
		f, err := b.TellPresence(t.Context(), to(laptop), nil, seen.Version)
		if err != nil {
			t.Error(err)
		}
		heard <- f
	}()
	mine.Seen = append(mine.Seen, "K3")
	if _, err := a.TellPresence(t.Context(), to(laptop), &mine, first.Version); err != nil {
		t.Fatal(err)
	}
	if f := <-heard; len(f.Of) != 1 || len(f.Of[0].Seen) != 3 || f.Of[0].Says() != "phone 1, now" {
		t.Errorf("live: %+v", f)
	}
	if f := laptop.house.Fellows(); len(f.Of) != 1 {
		t.Errorf("the laptop itself sees %+v", f)
	}
	if after, _, _ := laptop.Programme.Notebook().Heads(); len(after) != len(lines) || after[laptop.device()] != lines[laptop.device()] {
		t.Error("presence became a line")
	}
	laptop.ahead = 13 * time.Hour
	if f, err := b.TellPresence(t.Context(), to(laptop), nil, 0); err != nil || len(f.Of) != 0 {
		t.Errorf("of yesterday it is still told: %+v, %v", f, err)
	}
}
