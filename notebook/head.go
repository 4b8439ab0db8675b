package notebook

import (
	"crypto/ed25519"
	"fmt"

	"github.com/google/uuid"
)

// Head is where a device's chain ends: the number and hash of its last line.
type Head struct {
	Seq  uint64 `json:"seq"`
	Hash Hash   `json:"hash"`
}

// Heads says, for each device, where its chain ends: all that two notebooks need
// to tell each other to find out what the other lacks. It reads and writes as a
// JSON object.
type Heads map[DeviceID]Head

// Follow moves the head of l's device on to l, or says why l cannot come next.
// Stores use it to refuse what would break a chain.
func (h Heads) Follow(l *Line) error {
	head := h[l.Device]
	if l.Seq != head.Seq+1 || l.Prev != head.Hash {
		return fmt.Errorf("line %d of device %s after hash %s: the next must be %d after %s",
			l.Seq, l.Device, l.Prev, head.Seq+1, head.Hash)
	}
	h[l.Device] = Head{Seq: l.Seq, Hash: l.Hash}
	return nil
}

// SignedHead is a device's own word on where its chain ends. It makes every line
// up to there trustworthy whoever carries it, since each names the hash of the
// one before. Number 0 says only: this device takes part in this programme.
type SignedHead struct {
	Programme uuid.UUID `json:"programme"`
	Device    DeviceID  `json:"device"`
	Head
	Signature []byte `json:"signature"` // Ed25519, over signedBytes
}

// sign makes the head that key's device vouches for.
func sign(key ed25519.PrivateKey, programme uuid.UUID, head Head) SignedHead {
	s := SignedHead{Programme: programme, Device: deviceOf(key), Head: head}
	s.Signature = ed25519.Sign(key, s.signedBytes())
	return s
}

// Check says why the head is not its device's word, or nil.
func (s *SignedHead) Check() error {
	if !ed25519.Verify(s.Device[:], s.signedBytes(), s.Signature) {
		return fmt.Errorf("head of device %s at line %d: not signed by that device; leave it out and exchange again", s.Device, s.Seq)
	}
	return nil
}

// signedBytes is what the signature covers.
func (s *SignedHead) signedBytes() []byte {
	return fmt.Appendf(nil, "dawnround head 1\n%s\n%s\n%d\n%s\n", s.Programme, s.Device, s.Seq, s.Hash)
}

func deviceOf(key ed25519.PrivateKey) DeviceID {
	return DeviceID(key.Public().(ed25519.PublicKey))
}
