package notebook

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"strconv"
	"unicode/utf8"

	"github.com/google/uuid"
)

// Format is the line format this version writes.
const Format = 1

// MaxSeq is the highest line number of one device.
const MaxSeq = 1<<40 - 1

// Line is one immutable line of a notebook. Lines come from [ParseLine], from
// [Notebook.Write] and from a [Store]; nobody else makes them.
type Line struct {
	Format    int // 1; a later format is kept, verified and relayed, but its body is not read
	Programme uuid.UUID
	ID        uuid.UUID
	Device    DeviceID // who wrote it: a public key
	Seq       uint64   // 1, 2, 3 … without gaps for each device
	Prev      Hash     // of this device's line before; zero for the first
	Clock     Clock    // never runs backwards within a device
	Who, Kind string
	Body      []byte // JSON, part of Stored; nil in a later format
	Stored    []byte // the line as it lies in every store and file, without its line break
	Hash      Hash   // SHA-256 of Stored
}

// Entry is what a caller asks to be written; the notebook makes a [Line] of it.
type Entry struct {
	ID        uuid.UUID // zero: a new UUIDv7
	Who, Kind string
	Body      []byte // one JSON value without raw line breaks
}

// DeviceID is a device's Ed25519 public key: whoever holds the private key is the device.
type DeviceID [32]byte

// Hash is a SHA-256.
type Hash [sha256.Size]byte

// Compare orders lines by clock, then device, then number; two branches of one
// device are told apart by their hashes.
func (l *Line) Compare(m *Line) int {
	return cmp.Or(l.Clock.Compare(m.Clock), l.Device.compare(m.Device),
		cmp.Compare(l.Seq, m.Seq), bytes.Compare(l.Hash[:], m.Hash[:]))
}

func (d DeviceID) compare(e DeviceID) int { return bytes.Compare(d[:], e[:]) }

// String gives the device as it stands in a line: 43 characters of URL-safe base64.
func (d DeviceID) String() string { return base64.RawURLEncoding.EncodeToString(d[:]) }

// MarshalText gives the same text as String.
func (d DeviceID) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what String gives.
func (d *DeviceID) UnmarshalText(text []byte) error {
	if len(text) == 43 {
		if _, err := strictBase64.Decode(d[:], text); err == nil {
			return nil
		}
	}
	return fmt.Errorf("device %q: expected 43 characters of URL-safe base64", text)
}

var strictBase64 = base64.RawURLEncoding.Strict()

// String gives the hash in lower-case hexadecimal.
func (h Hash) String() string { return hex.EncodeToString(h[:]) }

// MarshalText gives the same text as String.
func (h Hash) MarshalText() ([]byte, error) { return []byte(h.String()), nil }

// UnmarshalText reads what String gives.
func (h *Hash) UnmarshalText(text []byte) error {
	if len(text) == 64 && unhex(h[:], text) {
		return nil
	}
	return fmt.Errorf("hash %q: expected 64 lower-case hexadecimal digits", text)
}

// check says why an entry cannot become a line, or nil.
func (e Entry) check() error {
	switch at := bytes.IndexAny(e.Body, "\r\n"); {
	case !plainText(e.Who):
		return fmt.Errorf("who %q: leave out quotes, backslashes and control characters, and keep it under 200 bytes", e.Who)
	case !plainKind(e.Kind):
		return fmt.Errorf("kind %q: expected 1 to 40 lower-case letters, digits, dots or hyphens", e.Kind)
	case at >= 0:
		return fmt.Errorf("%s body: line break at byte %d; a line is one line, write compact JSON", e.Kind, at)
	case !utf8.Valid(e.Body) || !validJSON(e.Body):
		return fmt.Errorf("%s body %.60q: not JSON in UTF-8", e.Kind, e.Body)
	}
	return nil
}

// plainText tells whether s can stand between quotes in JSON just as it is.
func plainText[T string | []byte](s T) bool {
	if len(s) > 200 {
		return false
	}
	ascii := true
	for i := 0; i < len(s); i++ {
		c := s[i]
		if c < ' ' || c == '"' || c == '\\' || c == 0x7f {
			return false
		}
		ascii = ascii && c < utf8.RuneSelf
	}
	return ascii || utf8.ValidString(string(s))
}

func plainKind[T string | []byte](s T) bool {
	for i := 0; i < len(s); i++ {
		c := s[i]
		if (c < 'a' || c > 'z') && (c < '0' || c > '9') && c != '.' && c != '-' {
			return false
		}
	}
	return len(s) > 0 && len(s) <= 40
}

// seal writes the stored form of l and its hash.
func (l *Line) seal() {
	b := make([]byte, 0, 384+len(l.Who)+len(l.Kind)+len(l.Body))
	b = append(b, `{"v":1,"programme":"`...)
	b = append(b, l.Programme.String()...)
	b = append(b, `","id":"`...)
	b = append(b, l.ID.String()...)
	b = append(b, `","device":"`...)
	b = base64.RawURLEncoding.AppendEncode(b, l.Device[:])
	b = append(b, `","seq":`...)
	b = strconv.AppendUint(b, l.Seq, 10)
	b = append(b, `,"prev":"`...)
	b = hex.AppendEncode(b, l.Prev[:])
	b = append(b, `","at":"`...)
	b = l.Clock.Time().AppendFormat(b, clockLayout)
	b = append(b, `","tick":`...)
	b = strconv.AppendUint(b, uint64(l.Clock.Tick), 10)
	b = append(b, `,"who":"`...)
	b = append(b, l.Who...)
	b = append(b, `","kind":"`...)
	b = append(b, l.Kind...)
	b = append(b, `","body":`...)
	start := len(b)
	b = append(b, l.Body...)
	l.Body = b[start:len(b):len(b)]
	l.Stored = append(b, '}')
	l.Hash = sha256.Sum256(l.Stored)
}
