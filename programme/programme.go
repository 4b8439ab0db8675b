// Package programme is the one door: it opens a notebook, folds it, and keeps
// lines. A line is on disk and synced, then folded, then answered with what
// the checks say. There is no if about animals in it.
package programme

import (
	"sync"
	"time"

	"dawnround/check"
	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Programme is one open notebook and its register. It may be used by several
// goroutines.
type Programme struct {
	// Blobs is where the bytes of attachments lie. It is set before the programme is
	// used; nil where this device keeps none.
	Blobs notebook.Blobs

	mu       sync.RWMutex
	notebook *notebook.Notebook
	register *register.Register
}

// Open folds a notebook that is open already.
func Open(n *notebook.Notebook) (*Programme, error) {
	o := Begin()
	var failed error
	for line, err := range n.Lines() {
		if err != nil {
			failed = err
			break
		}
		o.Line(line)
	}
	p := o.Done(n)
	if failed != nil {
		return nil, failed
	}
	return p, nil
}

// Kept is what keeping lines came to.
type Kept struct {
	Lines []uuid.UUID
	Flags []record.Flag // about the captures that the lines concern
}

// Keep writes bodies as lines by who, all or none, folds them and answers
// with what the checks say of the captures concerned. A well-formed line is
// never refused.
func (p *Programme) Keep(who string, now time.Time, bodies ...record.Body) (Kept, error) {
	entries := make([]notebook.Entry, len(bodies))
	for i, b := range bodies {
		e, err := record.Entry(who, b)
		if err != nil {
			return Kept{}, err
		}
		entries[i] = e
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	read, err := p.write(entries)
	if err != nil {
		return Kept{}, err
	}
	var kept Kept
	for _, e := range read {
		kept.Lines = append(kept.Lines, e.ID)
	}
	for _, id := range concerned(read) {
		kept.Flags = append(kept.Flags, check.Kept(p.register, id, now)...)
	}
	return kept, nil
}

// KeepBatch writes entries that bear ids of their own, as those of an
// imported table do, all or none. The checks are left to the caller, who asks
// them once for the whole table.
func (p *Programme) KeepBatch(entries []notebook.Entry) error {
	p.mu.Lock()
	defer p.mu.Unlock()
	_, err := p.write(entries)
	return err
}

// write puts entries on disk, then into the register.
func (p *Programme) write(entries []notebook.Entry) ([]*register.Entry, error) {
	lines, err := p.notebook.Write(entries...)
	if err != nil {
		return nil, err
	}
	return p.fold(lines), nil
}

func (p *Programme) fold(lines []notebook.Line) []*register.Entry {
	read := make([]*register.Entry, len(lines))
	for i, l := range lines {
		read[i] = register.ReadLine(l)
	}
	p.register.Apply(read...)
	return read
}

// concerned are the captures that lines are about, each once.
func concerned(entries []*register.Entry) []uuid.UUID {
	var ids []uuid.UUID
	seen := map[uuid.UUID]bool{}
	for _, e := range entries {
		if c, ok := e.Body.(record.Capture); ok && !seen[c.Capture] {
			seen[c.Capture] = true
			ids = append(ids, c.Capture)
		}
	}
	return ids
}

// Merge takes in lines of other devices and folds those accepted. What it did
// is true also beside an error.
func (p *Programme) Merge(lines []notebook.Line, heads []notebook.SignedHead) (notebook.Merged, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	merged, err := p.notebook.Merge(lines, heads)
	p.fold(merged.New)
	return merged, err
}

// View reads the register; it must not be kept nor changed after the call.
func (p *Programme) View(read func(*register.Register)) {
	p.mu.RLock()
	defer p.mu.RUnlock()
	read(p.register)
}

// Notebook is the notebook behind the door, for exchange with other devices
// and for backup.
func (p *Programme) Notebook() *notebook.Notebook { return p.notebook }
