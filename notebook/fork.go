package notebook

import (
	"bytes"
	"crypto/ed25519"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/google/uuid"
)

// ForkKind is the one kind of line that is the notebook's own: it carries the
// branches of a forked device, so that none of their lines is lost.
const ForkKind = "fork"

// Fork reports that one device has written two different lines of one number: its
// notebook was copied together with its key and both copies were written in.
// Nobody need be at fault, and nothing is lost: adopt it.
type Fork struct {
	Device             DeviceID
	Seq                uint64     // the first number known to have two lines
	Ours, Theirs       []Line     // from that number on
	OurHead, TheirHead SignedHead // each signed by the same device
}

// Complete tells whether their branch reaches back to where it leaves ours, so
// that the fork can be adopted. If not, ask the other notebook again, with the
// device left out of the heads.
func (f *Fork) Complete() bool {
	return len(f.Ours) > 0 && len(f.Theirs) > 0 && f.Ours[0].Prev == f.Theirs[0].Prev && f.Ours[0].Hash != f.Theirs[0].Hash
}

// Error prints both versions.
func (f *Fork) Error() string {
	var s strings.Builder
	fmt.Fprintf(&s, "device %s has two different lines %d: a copy of its notebook was written in elsewhere", f.Device, f.Seq)
	version(&s, "ours", f.Ours, f.OurHead)
	version(&s, "theirs", f.Theirs, f.TheirHead)
	if f.Complete() {
		s.WriteString("\n  nothing is lost: adopt the fork to keep both branches")
	} else {
		s.WriteString("\n  exchange again, asking for all lines of this device, then adopt the fork to keep both branches")
	}
	return s.String()
}

func version(s *strings.Builder, whose string, lines []Line, head SignedHead) {
	fmt.Fprintf(s, "\n  %s, signed up to line %d, hash %s:", whose, head.Seq, head.Hash)
	for i, l := range lines {
		if i == 3 {
			fmt.Fprintf(s, "\n    … and %d more", len(lines)-i)
			break
		}
		fmt.Fprintf(s, "\n    %s", l.Stored)
	}
}

// fork makes the report on a stray run.
func (n *Notebook) fork(s stray) (*Fork, error) {
	f := &Fork{Device: s.device, Seq: s.head.Seq, Theirs: s.run[:s.vouched], TheirHead: s.head}
	if len(f.Theirs) > 0 {
		f.Seq = f.Theirs[0].Seq
	}
	return f, n.fill(f)
}

// fill sets our side of a fork as it stands now.
func (n *Notebook) fill(f *Fork) error {
	f.Ours = nil
	for l, err := range n.chain(f.Device, f.Seq) {
		if err != nil {
			return err
		}
		f.Ours = append(f.Ours, l)
	}
	_, signed, err := n.store.Heads()
	if i := slices.IndexFunc(signed, func(s SignedHead) bool { return s.Device == f.Device }); i >= 0 {
		f.OurHead = signed[i]
	}
	return err
}

// AdoptFork keeps both branches by one recorded act: it writes one line that
// carries both, as they are stored, each with its device's signature. Whoever
// merges that line has them too, so the act need not be repeated elsewhere. If
// the forked device is this notebook's own, it first goes on as a new device,
// since two notebooks hold the old key. who is the person who decided.
//
// It returns the lines that were not here before; none if the fork has been
// adopted already.
func (n *Notebook) AdoptFork(who string, f *Fork) ([]Line, error) {
	if err := (Entry{Who: who, Kind: ForkKind, Body: []byte("{}")}).check(); err != nil {
		return nil, err
	}
	n.mu.Lock()
	defer n.mu.Unlock()
	if n.adopted.hasAll(f.Theirs) && len(f.Theirs) > 0 {
		return nil, nil
	}
	now := *f
	if err := n.fill(&now); err != nil {
		return nil, err
	}
	if !now.Complete() {
		return nil, fmt.Errorf("fork of device %s: the other branch does not reach back to where it leaves ours; exchange again, asking for all its lines", f.Device)
	}
	body := packed(&now)
	if _, err := unpackBody(n.programme, body); err != nil {
		return nil, err
	}
	if f.Device == deviceOf(n.key) {
		if err := n.renew(); err != nil {
			return nil, err
		}
	}
	written, err := n.write([]Entry{{Who: who, Kind: ForkKind, Body: body}})
	if err != nil {
		return nil, err
	}
	fresh, _, err := n.learn(written)
	n.recall()
	return fresh, err
}

// retire takes a new key if this device's chain has two branches.
func (n *Notebook) retire() error {
	if n.adopted.parts[deviceOf(n.key)] == 0 {
		return nil
	}
	return n.renew()
}

// renew goes on as a new device.
func (n *Notebook) renew() error {
	_, key, err := ed25519.GenerateKey(nil)
	if err == nil {
		n.key = key
	}
	return err
}

// forkBody is the body of a fork line.
type forkBody struct {
	Branches []branch `json:"branches"`
}

// branch is one branch of a device's chain, from where the branches part to a
// head the device has signed.
type branch struct {
	Lines []string   `json:"lines"` // as stored
	Head  SignedHead `json:"head"`
}

func packed(f *Fork) []byte {
	body := forkBody{[]branch{{stored(f.Ours), f.OurHead}, {stored(f.Theirs), f.TheirHead}}}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(body); err != nil {
		panic(err) // strings, numbers and hashes can always be written
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n"))
}

func stored(lines []Line) []string {
	texts := make([]string, len(lines))
	for i := range lines {
		texts[i] = string(lines[i].Stored)
	}
	return texts
}

func (l *Line) isFork() bool { return l.Kind == ForkKind && l.Format == Format }

// unpack gives the verified branches that a fork line carries, and those that
// fork lines inside them carry.
func unpack(l *Line) ([][]Line, error) { return unpackBody(l.Programme, l.Body) }

func unpackBody(programme uuid.UUID, packed []byte) ([][]Line, error) {
	var body forkBody
	if err := json.Unmarshal(packed, &body); err != nil {
		return nil, fmt.Errorf("fork line: %w", err)
	}
	var branches [][]Line
	for i, b := range body.Branches {
		lines, err := b.verified(programme)
		if err != nil {
			return nil, fmt.Errorf("fork line, branch %d: %w", i+1, err)
		}
		branches = append(branches, lines)
		for j := range lines {
			if !lines[j].isFork() {
				continue
			}
			inner, err := unpack(&lines[j])
			if err != nil {
				return nil, err
			}
			branches = append(branches, inner...)
		}
	}
	return branches, nil
}

// verified parses a branch and checks that it is one chain up to its signed head.
func (b *branch) verified(programme uuid.UUID) ([]Line, error) {
	if len(b.Lines) == 0 {
		return nil, errors.New("it has no lines")
	}
	if err := b.Head.Check(); err != nil {
		return nil, err
	}
	lines := make([]Line, len(b.Lines))
	var last Line
	for i, text := range b.Lines {
		l, err := ParseLine([]byte(text))
		if err != nil {
			return nil, err
		}
		if i == 0 {
			last = Line{Seq: l.Seq - 1, Hash: l.Prev}
		}
		if err := follows(programme, &last, &l); err != nil {
			return nil, err
		}
		if l.Device != b.Head.Device {
			return nil, bad(&l, "on a branch of device %s", b.Head.Device)
		}
		lines[i], last = l, l
	}
	if last.Seq != b.Head.Seq || last.Hash != b.Head.Hash {
		return nil, bad(&last, "not the line its device signed")
	}
	return lines, nil
}

// branches are the lines that adopted forks carry.
type branches struct {
	lines map[Hash]Line
	parts map[DeviceID]uint64 // the first number at which a device's branches differ
}

func (b *branches) has(h Hash) bool { _, ok := b.lines[h]; return ok }

func (b *branches) hasAll(lines []Line) bool {
	return !slices.ContainsFunc(lines, func(l Line) bool { return !b.has(l.Hash) })
}

func (b *branches) add(l Line) {
	if b.lines == nil {
		b.lines, b.parts = map[Hash]Line{}, map[DeviceID]uint64{}
	}
	b.lines[l.Hash] = l
	if at, ok := b.parts[l.Device]; !ok || l.Seq < at {
		b.parts[l.Device] = l.Seq
	}
}

func (b *branches) sorted() []Line {
	return slices.SortedFunc(maps.Values(b.lines), func(l, m Line) int { return l.Compare(&m) })
}

// has tells whether a line is on our chain or on an adopted branch.
func (n *Notebook) has(l *Line) (bool, error) {
	if n.adopted.has(l.Hash) {
		return true, nil
	}
	if l.Seq > n.heads[l.Device].Seq {
		return false, nil
	}
	ours, err := n.line(l.Device, l.Seq)
	return ours.Hash == l.Hash, err
}
