package courier

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// A Carry posts a body to a path of the other side ("/sync"), with this
// Authorization header or none, without cookies, and gives the answer. After an
// error nobody knows whether it arrived; asking again is harmless.
type Carry func(ctx context.Context, path, authorization string, body []byte) (Answer, error)

// Answer is a status as HTTP has it, and the bytes that came.
type Answer struct {
	Status int
	Body   []byte
}

// Scheme is the word before a device's credential in the Authorization header.
const Scheme = "Dawnround"

// opening is what the asking side says first, without a credential.
type opening struct {
	Sync      int               `json:"sync"` // the latest version it speaks
	Oldest    int               `json:"oldest"`
	Programme uuid.UUID         `json:"programme"`
	Device    notebook.DeviceID `json:"device"`
	Nonce     string            `json:"nonce"` // chance, so that an old welcome says nothing
}

// welcome answers an opening, signed.
type welcome struct {
	Sync      int               `json:"sync"`
	Oldest    int               `json:"oldest"`
	Programme uuid.UUID         `json:"programme"`
	Device    notebook.DeviceID `json:"device"`
	Challenge string            `json:"challenge"` // to be signed in every credential
	Now       time.Time         `json:"now"`
	AheadS    int               `json:"ahead_s,omitempty"` // by which it knows its own clock to be fast, seconds
}

// denial is the body of an answer that refuses.
type denial struct {
	Denied string `json:"denied"`
	Sync   int    `json:"sync,omitempty"` // where versions are at fault
	Oldest int    `json:"oldest,omitempty"`
}

// Denied says why the other side does not exchange with this device.
type Denied struct{ Why string }

func (d *Denied) Error() string { return "the other side refused: " + d.Why }

// credential proves that the holder of key asks this, now.
func credential(key ed25519.PrivateKey, programme uuid.UUID, challenge, path string, body []byte) string {
	device := deviceOf(key)
	signature := ed25519.Sign(key, askedBytes(programme, device, challenge, path, body))
	return fmt.Sprintf("%s %s.%s.%s", Scheme, device, challenge, base64.RawURLEncoding.EncodeToString(signature))
}

// readCredential gives the device whose key signed this question, and the challenge.
func readCredential(authorization string, programme uuid.UUID, path string, body []byte) (device notebook.DeviceID, challenge string, err error) {
	text, ok := strings.CutPrefix(authorization, Scheme+" ")
	parts := strings.Split(text, ".")
	if !ok || len(parts) != 3 {
		return device, "", fmt.Errorf("credential: expected %q, a device, a challenge and a signature", Scheme)
	}
	if err := device.UnmarshalText([]byte(parts[0])); err != nil {
		return device, "", err
	}
	signature, err := base64.RawURLEncoding.Strict().DecodeString(parts[2])
	if err != nil || !ed25519.Verify(device[:], askedBytes(programme, device, parts[1], path, body), signature) {
		return device, "", fmt.Errorf("credential: not signed by device %s over this message; ask again", device)
	}
	return device, parts[1], nil
}

// askedBytes is what a credential's signature covers.
func askedBytes(programme uuid.UUID, device notebook.DeviceID, challenge, path string, body []byte) []byte {
	return fmt.Appendf(nil, "dawnround ask 1\n%s\n%s\n%s\n%s\n%x\n", programme, device, challenge, path, sha256.Sum256(body))
}

// answeredBytes is what an answer's signature covers: the question too.
func answeredBytes(programme uuid.UUID, question, answer []byte) []byte {
	return fmt.Appendf(nil, "dawnround answer 1\n%s\n%x\n%x\n", programme, sha256.Sum256(question), sha256.Sum256(answer))
}

// signed puts the answering device's signature behind an answer.
func signed(key ed25519.PrivateKey, programme uuid.UUID, question, answer []byte) []byte {
	return append(answer[:len(answer):len(answer)], ed25519.Sign(key, answeredBytes(programme, question, answer))...)
}

// opened takes the signature off an answer, once it is found good.
func opened(device notebook.DeviceID, programme uuid.UUID, question, body []byte) ([]byte, error) {
	at := len(body) - ed25519.SignatureSize
	if at < 0 || !ed25519.Verify(device[:], answeredBytes(programme, question, body[:at]), body[at:]) {
		return nil, fmt.Errorf("the answer is not signed by device %s over this question: it was cut off, or somebody stands between; try again", device)
	}
	return body[:at], nil
}

func deviceOf(key ed25519.PrivateKey) notebook.DeviceID {
	return notebook.DeviceID(key.Public().(ed25519.PublicKey))
}

// talk is a conversation with an answering side that has proved who it is.
type talk struct {
	carry     Carry
	programme uuid.UUID
	key       ed25519.PrivateKey
	with      welcome
	ahead     time.Duration // by which the clock here is ahead of theirs
}

// open begins a conversation. now is asked before and after, so that half the
// way there and back is not taken for a wrong clock.
func open(ctx context.Context, carry Carry, programme uuid.UUID, key ed25519.PrivateKey, now func() time.Time) (*talk, error) {
	asked := opening{Sync: Version, Oldest: Oldest, Programme: programme, Device: deviceOf(key), Nonce: rand.Text()}
	question, err := json.Marshal(asked)
	if err != nil {
		return nil, err
	}
	before := now()
	answer, err := carry(ctx, "/sync", "", question)
	if err != nil {
		return nil, err
	}
	after := now()
	if err := answer.refusal(); err != nil {
		return nil, err
	}
	var w welcome
	at := max(len(answer.Body)-ed25519.SignatureSize, 0)
	if err := json.Unmarshal(answer.Body[:at], &w); err != nil {
		return nil, fmt.Errorf("the other side's welcome %.60q: %w; is it a dawnround of this programme?", answer.Body, err)
	}
	if _, err := opened(w.Device, programme, question, answer.Body); err != nil {
		return nil, err
	}
	if err := common(w.Sync, w.Oldest); err != nil {
		return nil, err
	}
	t := &talk{carry: carry, programme: programme, key: key, with: w}
	t.ahead = before.Add(after.Sub(before) / 2).Sub(w.Now.Add(-time.Duration(w.AheadS) * time.Second))
	return t, nil
}

// ask asks once more on the same terms, and gives the answer without its signature.
func (t *talk) ask(ctx context.Context, path string, body []byte) ([]byte, error) {
	answer, err := t.carry(ctx, path, credential(t.key, t.programme, t.with.Challenge, path, body), body)
	if err != nil {
		return nil, err
	}
	if err := answer.refusal(); err != nil {
		return nil, err
	}
	return opened(t.with.Device, t.programme, body, answer.Body)
}

// refusal is what an answer says against the question, nil where it says nothing.
func (a Answer) refusal() error {
	if a.Status == statusOK {
		return nil
	}
	var d denial
	if err := json.Unmarshal(a.Body, &d); err != nil || d.Denied == "" {
		return fmt.Errorf("the other side answered %d %.80q; is it a dawnround of this programme?", a.Status, a.Body)
	}
	if d.Sync > 0 {
		return &Older{Theirs: d.Sync, TheirOldest: d.Oldest}
	}
	switch a.Status {
	case statusAgain:
		return errAgain
	case statusDenied:
		return &Denied{d.Denied}
	}
	return fmt.Errorf("the other side could not take this: %s", d.Denied)
}

// errAgain asks for a new opening: the challenge is too old, or the answering
// side has started anew.
var errAgain = fmt.Errorf("the conversation has ended; open it again")

// The statuses of an answer, as HTTP numbers them.
const (
	statusOK     = 200
	statusBad    = 400
	statusAgain  = 401
	statusDenied = 403
	statusOld    = 426
	statusFault  = 500
)
