package notebook

import "fmt"

// Vouch signs this device's own chain as it stood at line seq, so that a part of
// it can be sent, and taken, before the rest.
func (n *Notebook) Vouch(seq uint64) (SignedHead, error) {
	key := n.Key()
	l, err := n.line(deviceOf(key), seq)
	if err != nil {
		return SignedHead{}, err
	}
	if l.Seq != seq {
		return SignedHead{}, fmt.Errorf("device %s: it has no line %d of its own to vouch for", deviceOf(key), seq)
	}
	return sign(key, n.programme, Head{Seq: seq, Hash: l.Hash}), nil
}

// OnBranch tells whether a hash is that of a line which an adopted fork carries:
// whoever holds the fork lacks nothing of a chain that ends in that line.
func (n *Notebook) OnBranch(line Hash) bool {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.adopted.has(line)
}

// Holds tells whether a line is here, on a chain or in an adopted fork.
func (n *Notebook) Holds(l *Line) (bool, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.has(l)
}

// OnChain tells whether a head is a line of our chain of its device; false where
// it is on another branch, or ahead of ours.
func (n *Notebook) OnChain(device DeviceID, head Head) (bool, error) {
	ours, _, err := n.store.Heads()
	if err != nil || head.Seq > ours[device].Seq {
		return false, err
	}
	return n.onChain(device, head, ours[device])
}
