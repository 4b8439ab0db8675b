package pairing

import (
	"context"
	"crypto/ed25519"
	"crypto/hmac"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"net/url"
	"strings"

	"dawnround/courier"
	"dawnround/notebook"
)

// Invitation is what a new device has been shown.
type Invitation struct {
	Address string // where to ask: https://camp.local:4171
	code    bool
	secret  secret
}

// JoinPath is the page that a QR code opens; the secret stands behind a #,
// which no browser sends anywhere.
const JoinPath = "/join"

// ReadInvitation reads the text of a QR code: https://ADDRESS/join#SECRET.
func ReadInvitation(text string) (Invitation, error) {
	u, err := url.Parse(strings.TrimSpace(text))
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" || u.Path != JoinPath {
		return Invitation{}, fmt.Errorf("invitation %.60q: expected an address that ends in %s#…, as the QR code shows", text, JoinPath)
	}
	s, err := base64.RawURLEncoding.Strict().DecodeString(u.Fragment)
	if err != nil || len(s) != 16 {
		return Invitation{}, fmt.Errorf("invitation: the secret behind the # is not whole; scan the code again")
	}
	return Invitation{Address: u.Scheme + "://" + u.Host, secret: s}, nil
}

// ByCode is an invitation typed by hand: the laptop's address and the code of
// six digits that it shows.
func ByCode(address, code string) (Invitation, error) {
	if !strings.Contains(address, "://") {
		address = "https://" + address
	}
	u, err := url.Parse(strings.TrimSpace(address))
	if err != nil || u.Host == "" {
		return Invitation{}, fmt.Errorf("address %q: write it as the laptop shows it, like camp.local:4171", address)
	}
	typed := digits(code)
	if len(typed) != 6 {
		return Invitation{}, fmt.Errorf("code %q: expected six digits, as the laptop shows them", code)
	}
	return Invitation{Address: u.Scheme + "://" + u.Host, code: true, secret: secret(typed)}, nil
}

// Asking is a device that asks to be let in.
type Asking struct {
	Invitation
	Check string // the number to compare with the laptop's: "57 20 91"
	ask   ask
}

// Ask makes the question of the device that holds key, called so: "AB's phone".
func Ask(by Invitation, key ed25519.PrivateKey, name string) Asking {
	a := ask{Pair: Version, Device: notebook.DeviceID(key.Public().(ed25519.PublicKey)), Name: strings.TrimSpace(name), Code: by.code}
	a.Proof = by.secret.mac(a.words())
	a.Signature = ed25519.Sign(key, []byte(a.words()))
	return Asking{Invitation: by, Check: by.secret.check(a.Device), ask: a}
}

// Refused says why a device was not let in, for good: another invitation is needed.
type Refused struct{ Why string }

func (r *Refused) Error() string { return "not paired: " + r.Why }

// Join asks until the person at the other side has confirmed. An error of the
// way may be tried again with the same question; [*Refused] is final.
func (a Asking) Join(ctx context.Context, carry courier.Carry) (Joined, error) {
	question, err := json.Marshal(a.ask)
	if err != nil {
		return Joined{}, err
	}
	for {
		answer, err := carry(ctx, "/pair", "", question)
		if err != nil {
			return Joined{}, err
		}
		r, err := a.read(answer)
		if err != nil {
			return Joined{}, err
		}
		if r.Joined != nil {
			return *r.Joined, nil
		}
		if err := ctx.Err(); err != nil {
			return Joined{}, err
		}
	}
}

// read takes an answer, if it comes from one who knows the secret.
func (a Asking) read(answer courier.Answer) (reply, error) {
	var r reply
	if err := json.Unmarshal(answer.Body, &r); err != nil {
		return r, fmt.Errorf("%s answered %d %.60q; is dawnround served there?", a.Address, answer.Status, answer.Body)
	}
	switch {
	case r.Denied != "":
		return r, &Refused{r.Denied}
	case !hmac.Equal(r.Proof, a.secret.mac(r.words(a.ask.Device))):
		return r, &Refused{"whoever answers at " + a.Address + " does not know the invitation; do not go on, ask for another"}
	}
	return r, nil
}
