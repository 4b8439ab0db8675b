package notebook

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"
)

const example = `{"v":1,"programme":"6f2c1b1e-0d5a-4c57-9a3e-5b1f0c9d7e21","id":"019e2829-8a2b-7c3d-8e4f-5a6b7c8d9e0f",` +
	`"device":"AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8","seq":12,` +
	`"prev":"0f1e2d3c4b5a69788796a5b4c3d2e1f00f1e2d3c4b5a69788796a5b4c3d2e1f0",` +
	`"at":"2026-05-14T20:12:03.123Z","tick":4,"who":"Åsa","kind":"capture","body":{"head": 61.8}}`

// plain is a line as encoding/json sees it.
type plain struct {
	V         int             `json:"v"`
	Programme uuid.UUID       `json:"programme"`
	ID        uuid.UUID       `json:"id"`
	Device    DeviceID        `json:"device"`
	Seq       uint64          `json:"seq"`
	Prev      Hash            `json:"prev"`
	At        time.Time       `json:"at"`
	Tick      uint32          `json:"tick"`
	Who       string          `json:"who"`
	Kind      string          `json:"kind"`
	Body      json.RawMessage `json:"body"`
}

// agrees fails the test unless encoding/json reads the same from a parsed line.
func agrees(t *testing.T, l Line) {
	t.Helper()
	if l.Kind == WithheldKind {
		if again := l.Withheld(); !bytes.Equal(again.Stored, l.Stored) {
			t.Fatalf("a withheld line has two stored forms:\n%s\n%s", l.Stored, again.Stored)
		}
		return
	}
	var p plain
	if err := json.Unmarshal(l.Stored, &p); err != nil {
		t.Fatalf("taken for a line, but not JSON: %v\n%s", err, l.Stored)
	}
	if p.V != l.Format || p.Programme != l.Programme || p.ID != l.ID || p.Device != l.Device || p.Seq != l.Seq ||
		p.Prev != l.Prev || p.At.UnixMilli() != l.Clock.Wall || p.Tick != l.Clock.Tick || p.Who != l.Who || p.Kind != l.Kind {
		t.Fatalf("parsed %+v\nencoding/json %+v\n%s", l, p, l.Stored)
	}
	if l.Format == Format && !bytes.Equal(bytes.TrimSpace(l.Body), p.Body) {
		t.Fatalf("body %s\nencoding/json %s", l.Body, p.Body)
	}
	if l.Format == Format {
		again := l
		again.seal()
		if !bytes.Equal(again.Stored, l.Stored) {
			t.Fatalf("a line has two stored forms:\n%s\n%s", l.Stored, again.Stored)
		}
	}
}

func TestParseLine(t *testing.T) {
	t.Parallel()
	l, err := ParseLine([]byte(example))
	if err != nil {
		t.Fatal(err)
	}
	agrees(t, l)
	if got := l.Clock.String(); got != "2026-05-14T20:12:03.123Z tick 4" {
		t.Errorf("clock %s", got)
	}
}

// A line that is not exactly in the one form is refused, and the message says where.
func TestParseLineRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ old, new, want string }{
		{`"v":1`, `"v":0`, "count from 1"},
		{`"v":1`, `"v":01`, "byte 5"},
		{`"v":1`, `"v": 1`, "whole number"},
		{`{"v"`, ` {"v"`, "byte 0"},
		{`6f2c1b1e`, `6F2C1B1E`, "UUID"},
		{`0c9d7e21`, `0c9d7e2g`, "UUID"},
		{`HB0eHx8`, `HB0eHx8=`, ""},
		{`dHh8"`, `dHh9"`, "device"}, // the spare bits of base64 must be zero
		{`"seq":12`, `"seq":0`, "count from 1"},
		{`"seq":12`, `"seq":1099511627776`, "whole number"},
		{`"seq":12`, `"seq":-1`, "whole number"},
		{`0f1e2d3c`, `0F1e2d3c`, "hash"},
		{`2026-05-14`, `2026-02-30`, "time"},
		{`20:12:03`, `24:12:03`, "time"},
		{`.123Z`, `.123z`, "time"},
		{`"tick":4`, `"tick":4294967296`, "whole number"},
		{`Åsa`, `A\u0073a`, "plain who"},
		{`Åsa`, "\xc5sa", "plain who"},
		{`"capture"`, `"Capture"`, "plain kind"},
		{`"capture"`, `""`, "plain kind"},
		{`"who"`, `"why"`, `,"who":"`},
		{`{"head": 61.8}}`, `{"head": 61.8}`, "body"},
		{`{"head": 61.8}}`, `{"head": 61.8}} `, "body"},
		{`{"head": 61.8}}`, `}`, "body"},
		{`61.8`, `06.8`, "body"},
		{`61.8`, "\n61.8", "body"},
		{`"head"`, "\"he\xffad\"", "body"},
	} {
		text := strings.Replace(example, c.old, c.new, 1)
		if text == example {
			if c.want != "" {
				t.Errorf("%s: not in the example", c.old)
			}
			continue
		}
		if _, err := ParseLine([]byte(text)); err == nil {
			t.Errorf("%s for %s: taken", c.new, c.old)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s for %s: message %q does not say %q", c.new, c.old, err, c.want)
		}
	}
}

// A later format is read up to kind, whatever follows.
func TestParseLaterFormat(t *testing.T) {
	t.Parallel()
	text := strings.Replace(strings.Replace(example, `"v":1`, `"v":2`, 1), `"body":`, `"sealed":true,"body":`, 1)
	l, err := ParseLine([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	agrees(t, l)
	if l.Format != 2 || l.Body != nil || l.Kind != "capture" || l.Seq != 12 {
		t.Errorf("parsed %+v", l)
	}
}

func FuzzParseLine(f *testing.F) {
	f.Add([]byte(example))
	f.Add([]byte(strings.Replace(example, `"v":1`, `"v":2`, 1)))
	f.Add([]byte(`{"v":1,"programme":"`))
	if l, err := ParseLine([]byte(example)); err == nil {
		w := l.Withheld()
		f.Add(w.Stored)
	}
	f.Fuzz(func(t *testing.T, stored []byte) {
		if l, err := ParseLine(stored); err == nil {
			agrees(t, l)
		}
	})
}

func FuzzFork(f *testing.F) {
	f.Add([]byte(`{"branches":[{"lines":["{}"],"head":{"seq":1,"hash":"00"}}]}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		branches, err := unpackBody(uuid.UUID{1}, body)
		if err == nil && len(branches) > 0 {
			t.Fatalf("a branch that nobody signed was taken: %s", body)
		}
	})
}

// RFC 9562, appendix A.6 gives 017F22E2-79B0-7CC3-98C4-DC0C0C07398F for 2022-02-22
// 14:22:22 GMT-5 (example from memory; the time in hexadecimal by hand).
func TestNewID(t *testing.T) {
	t.Parallel()
	at := time.Date(2022, 2, 22, 14, 22, 22, 0, time.FixedZone("", -5*3600))
	id := newID(Clock{Wall: at.UnixMilli()})
	if got := id.String(); got[:15] != "017f22e2-79b0-7" || id.Variant() != uuid.RFC4122 {
		t.Errorf("%s", got)
	}
	if a, b := newID(Clock{}), newID(Clock{}); a == b {
		t.Error("two ids of one time are the same")
	}
}

func FuzzValidJSON(f *testing.F) {
	for _, s := range []string{`{"a":[1,-0.5e+3,true,null,"\u00e9\n"]}`, `[]`, `{}`, ` "x" `, `01`, `1.`, `-`, `{"a" : 1 , "b":[ ]}`, `"\u12G4"`, `1e`, `tru`, "\"\\u00\x160\""} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		if bytes.ContainsAny(b, "\r\n") {
			return
		}
		if got, want := validJSON(b), json.Valid(b); got != want {
			t.Fatalf("%q: validJSON %v, json.Valid %v (UTF-8 %v)", b, got, want, utf8.Valid(b))
		}
	})
}

func BenchmarkParseLine(b *testing.B) {
	stored := []byte(example)
	b.SetBytes(int64(len(stored)))
	for b.Loop() {
		if _, err := ParseLine(stored); err != nil {
			b.Fatal(err)
		}
	}
}
