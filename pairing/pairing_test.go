package pairing_test

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"dawnround/courier"
	"dawnround/demo"
	"dawnround/notebook"
	"dawnround/pairing"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// laptop is one that invites, its door, and its clock.
type laptop struct {
	p    *programme.Programme
	door *pairing.Door
	now  time.Time
}

func keyOf(seed byte) ed25519.PrivateKey {
	return ed25519.NewKeyFromSeed(bytes.Repeat([]byte{seed}, ed25519.SeedSize))
}

func newLaptop(t testing.TB) *laptop {
	t.Helper()
	l := &laptop{now: time.Date(2026, 5, 13, 16, 0, 0, 0, time.UTC)}
	now := func() time.Time { return l.now }
	n, err := notebook.Create(&notebook.Memory{}, uuid.UUID{1}, keyOf(1), now)
	if err != nil {
		t.Fatal(err)
	}
	if l.p, err = programme.Open(n); err != nil {
		t.Fatal(err)
	}
	if _, err := l.p.Keep("AB", l.now, record.Programme{Name: "Northern ridge"}, record.Device{Name: "camp laptop"}); err != nil {
		t.Fatal(err)
	}
	l.door = pairing.NewDoor(l.p, now, func() []string { return []string{"https://camp.local:4171"} })
	return l
}

func (l *laptop) invite(t testing.TB, terms pairing.Terms) pairing.Shown {
	t.Helper()
	s, err := l.door.Invite(terms, "https://camp.local:4171")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// carry reaches the laptop; an answer that nobody decides on does not wait.
func (l *laptop) carry(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
	if path != "/pair" || authorization != "" {
		return courier.Answer{}, fmt.Errorf("a pairing asked %s with %q", path, authorization)
	}
	return l.door.Answer(ctx, body), nil
}

// decide says yes or no to the first that waits, once it does.
func (l *laptop) decide(t testing.TB, in bool) pairing.Caller {
	t.Helper()
	for {
		changed := l.door.Changed()
		if callers := l.door.Callers(); len(callers) > 0 {
			if err := l.door.Decide(callers[0].Device, "blue phone", "AB", in); err != nil {
				t.Error(err)
			}
			return callers[0]
		}
		<-changed
	}
}

// By QR code or by short code: both sides show one number, a person says yes, a
// line admits the device, and it knows all it needs.
func TestPairing(t *testing.T) {
	t.Parallel()
	for _, how := range []string{"qr", "code"} {
		l := newLaptop(t)
		shown := l.invite(t, pairing.Terms{Role: record.Scribe, Site: "NR"})
		by, err := pairing.ReadInvitation(shown.Link)
		if how == "code" {
			by, err = pairing.ByCode("camp.local:4171", " "+shown.Code)
		}
		if err != nil || by.Address != "https://camp.local:4171" {
			t.Fatalf("%s: %+v, %v", how, by, err)
		}
		asked := pairing.Ask(by, keyOf(2), "AB's phone")
		told := make(chan pairing.Caller, 1)
		go func() { told <- l.decide(t, true) }()
		joined, err := asked.Join(t.Context(), l.carry)
		if err != nil {
			t.Fatal(err)
		}
		if c := <-told; c.Check != asked.Check || c.Name != "AB's phone" || c.Role != record.Scribe || c.Site != "NR" {
			t.Errorf("%s: the laptop shows %+v, the phone %s", how, c, asked.Check)
		}
		want := pairing.Joined{Programme: uuid.UUID{1}, ProgrammeName: "Northern ridge", Role: record.Scribe, Site: "NR",
			With: l.p.Notebook().Device(), WithName: "camp laptop", Addresses: []string{"https://camp.local:4171"}}
		if fmt.Sprint(joined) != fmt.Sprint(want) {
			t.Errorf("%s: joined %+v\nwant %+v", how, joined, want)
		}
		l.p.View(func(r *register.Register) {
			d := r.Member(notebook.DeviceID(keyOf(2).Public().(ed25519.PublicKey)), l.p.Notebook().Device())
			if d.Name != "blue phone" || d.Role != record.Scribe || d.Site != "NR" || !d.Admitted() {
				t.Errorf("%s: the register says %+v", how, d)
			}
		})
		if again, err := asked.Join(t.Context(), l.carry); err != nil || again.Programme != joined.Programme {
			t.Errorf("%s: an answer that was lost cannot be asked for again: %v", how, err)
		}
		if _, err := pairing.Ask(by, keyOf(3), "another").Join(t.Context(), l.carry); err == nil {
			t.Errorf("%s: one invitation let in two devices", how)
		}
	}
}

// Who is refused, is refused for good, and told nothing of the programme.
func TestRefused(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		do   func(*laptop, pairing.Shown)
		code string
		want string
	}{
		"said no":           {do: func(l *laptop, _ pairing.Shown) { go l.decide(t, false) }, want: "said no"},
		"too old":           {do: func(l *laptop, _ pairing.Shown) { l.now = l.now.Add(11 * time.Minute) }, want: "too old"},
		"code after 2 min":  {do: func(l *laptop, _ pairing.Shown) { l.now = l.now.Add(121 * time.Second) }, code: "right", want: "too old"},
		"wrong code":        {do: func(*laptop, pairing.Shown) {}, code: "wrong", want: "not right"},
		"after five wrong":  {do: fiveWrong, code: "right", want: "too old"},
		"QR is of use then": {do: func(l *laptop, s pairing.Shown) { fiveWrong(l, s); go l.decide(t, true) }, want: ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			l := newLaptop(t)
			shown := l.invite(t, pairing.Terms{Role: record.Scribe})
			by, err := pairing.ReadInvitation(shown.Link)
			if c.code != "" {
				code := shown.Code
				if c.code == "wrong" {
					code = otherThan(code)
				}
				by, err = pairing.ByCode("camp.local:4171", code)
			}
			if err != nil {
				t.Fatal(err)
			}
			c.do(l, shown)
			_, err = pairing.Ask(by, keyOf(2), "AB's phone").Join(t.Context(), l.carry)
			var refused *pairing.Refused
			if c.want == "" && err != nil || c.want != "" && (!errors.As(err, &refused) || !strings.Contains(err.Error(), c.want)) {
				t.Errorf("%v, want %q", err, c.want)
			}
		})
	}
}

func otherThan(code string) string {
	if strings.HasPrefix(code, "0") {
		return "1" + code[1:]
	}
	return "0" + code[1:]
}

func fiveWrong(l *laptop, s pairing.Shown) {
	by, err := pairing.ByCode("camp.local:4171", otherThan(s.Code))
	if err != nil {
		panic(err)
	}
	for i := range 5 {
		pairing.Ask(by, keyOf(byte(10+i)), "thief").Join(context.Background(), l.carry)
	}
}

// Somebody who answers in the laptop's place does not know the secret, and is
// not believed; nor is a question whose key is another's.
func TestFalseLaptopAndFalsePhone(t *testing.T) {
	t.Parallel()
	l := newLaptop(t)
	by, err := pairing.ReadInvitation(l.invite(t, pairing.Terms{Role: record.Scribe}).Link)
	if err != nil {
		t.Fatal(err)
	}
	asked := pairing.Ask(by, keyOf(2), "AB's phone")
	false1 := func(context.Context, string, string, []byte) (courier.Answer, error) {
		return courier.Answer{Status: 200, Body: []byte(`{"pair":1,"joined":{"programme_name":"trap"}}`)}, nil
	}
	if _, err := asked.Join(t.Context(), false1); err == nil || !strings.Contains(err.Error(), "does not know the invitation") {
		t.Errorf("a false laptop is believed: %v", err)
	}
	stolen := func(ctx context.Context, path, authorization string, body []byte) (courier.Answer, error) {
		var ask map[string]any
		if err := json.Unmarshal(body, &ask); err != nil {
			return courier.Answer{}, err
		}
		ask["device"] = notebook.DeviceID(keyOf(9).Public().(ed25519.PublicKey))
		body, err := json.Marshal(ask)
		if err != nil {
			return courier.Answer{}, err
		}
		return l.carry(ctx, path, authorization, body)
	}
	if _, err := asked.Join(t.Context(), stolen); err == nil || len(l.door.Callers()) != 0 {
		t.Errorf("a question with another's key is heard: %v", err)
	}
}

func FuzzReadInvitation(f *testing.F) {
	f.Add("https://camp.local:4171/join#AAAAAAAAAAAAAAAAAAAAAA")
	f.Add("http://[::1]/join#")
	f.Fuzz(func(t *testing.T, text string) {
		by, err := pairing.ReadInvitation(text)
		if err == nil && (by.Address == "" || pairing.Ask(by, keyOf(2), "x").Check == "") {
			t.Errorf("%q is read as %+v", text, by)
		}
	})
}

func FuzzDoor(f *testing.F) {
	l := newLaptop(f)
	l.invite(f, pairing.Terms{Role: record.Scribe})
	f.Add([]byte(`{"pair":1,"device":"","name":"x","proof":"","signature":""}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if a := l.door.Answer(ctx, body); a.Status == 200 {
			t.Errorf("%q is let in", body)
		}
	})
}

// Nobody is invited on terms that cannot be kept.
func TestTerms(t *testing.T) {
	t.Parallel()
	l := newLaptop(t)
	own, err := demo.Protocol()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.p.Keep("AB", l.now, record.Protocol{Version: own.Version, Text: own.Text}); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		terms pairing.Terms
		want  string
	}{
		{pairing.Terms{Role: "boss"}, `role "boss"`},
		{pairing.Terms{Role: record.Scribe, Site: "K"}, "adopt it once more without them"},
		{pairing.Terms{Role: record.Scribe}, ""},
	} {
		if _, err := l.door.Invite(c.terms, "https://camp.local"); c.want == "" && err != nil || c.want != "" && (err == nil || !strings.Contains(err.Error(), c.want)) {
			t.Errorf("%+v: %v, want %q", c.terms, err, c.want)
		}
	}
}
