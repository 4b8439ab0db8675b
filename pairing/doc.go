// Package pairing brings a new device into a programme: one device invites,
// the new one asks, and a person at the inviting device confirms its name.
//
// An invitation is a secret of 128 bits, shown as a QR code together with the
// address, or, where no camera works, a code of six digits. The new device makes
// a key pair, which is its identity for life, and asks with its public key, its
// name and a proof that it knows the secret; the secret itself never travels.
// Both sides show six digits made of secret and key: the person compares them
// with the name before saying yes. Then a line admits the device with its role,
// and the device is told the programme.
//
// What must hold: nothing of the programme is told before a person has said yes;
// an invitation serves one device; the code dies after five wrong tries or two
// minutes, since a million codes are soon tried.
package pairing

import (
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"strings"

	"dawnround/notebook"
	"dawnround/record"

	"github.com/google/uuid"
)

// Version of the questions and answers of a pairing.
const Version = 1

// Joined is what a device is told once it is admitted: all it needs to begin
// its notebook and exchange lines.
type Joined struct {
	Programme     uuid.UUID         `json:"programme"`
	ProgrammeName string            `json:"programme_name"`
	Role          record.Role       `json:"role"`
	Site          string            `json:"site,omitempty"` // coordinates of this site only; empty: of all
	With          notebook.DeviceID `json:"with"`           // who admitted it
	WithName      string            `json:"with_name"`
	Addresses     []string          `json:"addresses"` // where lines can be exchanged, in the order to try
}

// ask is what a new device sends, again and again until it is answered yes or no.
type ask struct {
	Pair      int               `json:"pair"` // version
	Device    notebook.DeviceID `json:"device"`
	Name      string            `json:"name"`
	Code      bool              `json:"code,omitempty"` // by the typed code, not the QR code
	Proof     []byte            `json:"proof"`          // that it knows the secret
	Signature []byte            `json:"signature"`      // that it holds the key
}

// reply answers an ask.
type reply struct {
	Waiting bool    `json:"waiting,omitempty"` // nobody has confirmed yet
	Joined  *Joined `json:"joined,omitempty"`
	Denied  string  `json:"denied,omitempty"`
	Pair    int     `json:"pair"`  // version
	Proof   []byte  `json:"proof"` // that whoever answers knows the secret too
}

// secret is what both sides of an invitation know.
type secret []byte

// newSecret is 128 bits of chance.
func newSecret() secret {
	s := make(secret, 16)
	rand.Read(s)
	return s
}

// newCode is six digits.
func newCode() string {
	var b [8]byte
	rand.Read(b[:])
	return fmt.Sprintf("%06d", binary.BigEndian.Uint64(b[:])%1_000_000)
}

func (s secret) text() string { return base64.RawURLEncoding.EncodeToString(s) }

// mac binds words to the secret.
func (s secret) mac(words string) []byte {
	m := hmac.New(sha256.New, s)
	m.Write([]byte(words))
	return m.Sum(nil)
}

// check is the number that both sides show: "57 20 91".
func (s secret) check(device notebook.DeviceID) string {
	n := binary.BigEndian.Uint64(s.mac("dawnround check 1\n" + device.String() + "\n"))
	digits := fmt.Sprintf("%06d", n%1_000_000)
	return digits[:2] + " " + digits[2:4] + " " + digits[4:]
}

// words is what an ask's proof and signature cover.
func (a *ask) words() string {
	return fmt.Sprintf("dawnround pair 1\n%s\n%q\n%t\n", a.Device, a.Name, a.Code)
}

// proved reports an ask by one who knows the secret.
func (a *ask) proved(s secret) bool { return hmac.Equal(a.Proof, s.mac(a.words())) }

// signed reports an ask by the holder of its key.
func (a *ask) signed() bool { return ed25519.Verify(a.Device[:], []byte(a.words()), a.Signature) }

// words is what a reply's proof covers: for whom it is, and what it says.
func (r *reply) words(device notebook.DeviceID) string {
	said := "waiting"
	if r.Joined != nil {
		j := r.Joined
		said = fmt.Sprintf("joined %s %q %s %q %s %q %q", j.Programme, j.ProgrammeName, j.Role, j.Site, j.With, j.WithName, j.Addresses)
	}
	return fmt.Sprintf("dawnround paired 1\n%s\n%s\n", device, said)
}

// digits leaves of a typed code what counts: "483 201" is "483201".
func digits(typed string) string {
	return strings.Map(func(r rune) rune {
		if r < '0' || r > '9' {
			return -1
		}
		return r
	}, typed)
}
