package exchange

import (
	"crypto/ed25519"
	"crypto/rand"
)

// newKey is the key of the device that writes a trial import; nobody keeps it.
func newKey() ed25519.PrivateKey {
	_, key, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		panic(err) // the system has no randomness
	}
	return key
}
