package courier

import (
	"bytes"
	"maps"
	"slices"

	"dawnround/notebook"
)

// stepBytes is how many bytes of lines one parcel carries, unpacked: a second
// or two on a poor hotspot.
const stepBytes = 64 << 10

// holding is what the other side has said that it holds.
type holding struct {
	heads    notebook.Heads
	aside    notebook.Heads
	branches map[notebook.Hash]bool
}

func (n *Note) holding() holding {
	h := holding{heads: n.Holds, aside: n.Aside, branches: map[notebook.Hash]bool{}}
	for _, hash := range n.Branches {
		h.branches[hash] = true
	}
	return h
}

// from gives where to go on with each device's lines for a holder, and how many
// lines that holder lacks. Nobody but own writes as own: a holder that is ahead
// there has a copy's branch, and gets this one whole.
func (h holding) from(ours notebook.Heads, own notebook.DeviceID) (from notebook.Heads, lacking int) {
	from = notebook.Heads{}
	for device, head := range ours {
		theirs := h.heads[device]
		if laid, ok := h.aside[device]; ok {
			theirs = laid
		}
		if theirs == head || h.branches[head.Hash] {
			from[device] = head // nothing to send
			continue
		}
		if device == own && theirs.Seq > head.Seq {
			theirs = notebook.Head{}
		}
		from[device] = theirs
		if theirs.Seq < head.Seq {
			lacking += int(head.Seq - theirs.Seq)
		}
	}
	return from, lacking
}

// load puts lines that the holder lacks into a parcel, up to stepBytes: one
// device after another, this one first, so that each is complete as soon as can
// be; or only this one's.
func (p *Parcel) load(n *notebook.Notebook, h holding, onlyOwn bool) error {
	ours, words, err := n.Heads()
	if err != nil {
		return err
	}
	send := order(ours, n.Device())
	if onlyOwn {
		send = send[:min(1, len(send))]
	}
	from, lacking := h.from(ours, n.Device())
	room := stepBytes
	for _, device := range send {
		if from[device] == ours[device] || room <= 0 {
			continue
		}
		only := maps.Clone(ours)
		only[device] = from[device]
		if only[device].Seq == 0 {
			delete(only, device)
		}
		last, err := p.fill(n, device, only, &room)
		if err != nil {
			return err
		}
		if err := p.vouch(n, words, h.heads[device], last); err != nil {
			return err
		}
	}
	if p.More = max(lacking-len(p.Lines), 0); onlyOwn {
		p.More = 0
	}
	return nil
}

// fill adds a device's lines that a holder of these heads lacks, while there is room.
func (p *Parcel) fill(n *notebook.Notebook, device notebook.DeviceID, holder notebook.Heads, room *int) (last notebook.Line, err error) {
	for l, err := range n.Since(holder) {
		if err != nil {
			return last, err
		}
		if *room <= 0 {
			break
		}
		if l.Device != device {
			continue // written by another this very moment
		}
		p.Lines = append(p.Lines, l)
		*room -= len(l.Stored)
		last = l
	}
	return last, nil
}

// vouch adds the signed head that covers the lines up to last. This device
// vouches for a part of its own chain, unless the holder has another branch of
// it: then the rest would not follow on, and the branch is to come whole.
func (p *Parcel) vouch(n *notebook.Notebook, words []notebook.SignedHead, holder notebook.Head, last notebook.Line) error {
	if last.Seq == 0 {
		return nil
	}
	for _, w := range words {
		if w.Device == last.Device && w.Hash == last.Hash {
			p.Heads = append(p.Heads, w)
			return nil
		}
	}
	if last.Device != n.Device() {
		return nil // the other side lays it aside
	}
	if on, err := n.OnChain(last.Device, holder); err != nil || !on {
		return err
	}
	w, err := n.Vouch(last.Seq)
	p.Heads = append(p.Heads, w)
	return err
}

// order gives the devices, own first.
func order(heads notebook.Heads, own notebook.DeviceID) []notebook.DeviceID {
	return slices.SortedFunc(maps.Keys(heads), func(a, b notebook.DeviceID) int {
		switch {
		case a == b:
			return 0
		case a == own:
			return -1
		case b == own:
			return 1
		}
		return bytes.Compare(a[:], b[:])
	})
}
