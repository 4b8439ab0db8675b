package notebook

import (
	"bytes"
	"iter"
	"maps"
	"slices"
	"sync"

	"github.com/google/uuid"
)

// Memory is a [Store], [Drafts] and [Blobs] that lasts as long as the process.
// Its zero value is empty and ready.
type Memory struct {
	mu     sync.RWMutex
	chains map[DeviceID][]Line
	signed map[DeviceID]SignedHead
	drafts map[uuid.UUID][][]byte
	blobs  map[Hash][]byte
	parts  map[Hash][]byte
}

// Append keeps the lines and heads.
func (m *Memory) Append(lines []Line, heads []SignedHead) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	at := m.heads()
	for i := range lines {
		if err := at.Follow(&lines[i]); err != nil {
			return err
		}
	}
	if m.chains == nil {
		m.chains, m.signed = map[DeviceID][]Line{}, map[DeviceID]SignedHead{}
	}
	for _, l := range lines {
		m.chains[l.Device] = append(m.chains[l.Device], l)
	}
	for _, s := range heads {
		if held, ok := m.signed[s.Device]; !ok || s.Seq > held.Seq {
			m.signed[s.Device] = s
		}
	}
	return nil
}

// Since gives the lines the holder lacks.
func (m *Memory) Since(holder Heads) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		m.mu.RLock()
		var lacking []iter.Seq2[Line, error]
		for device, chain := range m.chains {
			if from := holder[device].Seq; from < uint64(len(chain)) {
				lacking = append(lacking, each(chain[from:]))
			}
		}
		m.mu.RUnlock()
		InOrder(lacking...)(yield)
	}
}

// each gives the lines of a slice as a chain.
func each(lines []Line) iter.Seq2[Line, error] {
	return func(yield func(Line, error) bool) {
		for _, l := range lines {
			if !yield(l, nil) {
				return
			}
		}
	}
}

// Heads gives where each chain ends, and the signed heads.
func (m *Memory) Heads() (Heads, []SignedHead, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	signed := slices.SortedFunc(maps.Values(m.signed), func(a, b SignedHead) int { return a.Device.compare(b.Device) })
	return m.heads(), signed, nil
}

func (m *Memory) heads() Heads {
	heads := Heads{}
	for device, chain := range m.chains {
		last := &chain[len(chain)-1]
		heads[device] = Head{Seq: last.Seq, Hash: last.Hash}
	}
	return heads
}

// Add keeps one more step of a draft.
func (m *Memory) Add(draft uuid.UUID, step []byte) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.drafts == nil {
		m.drafts = map[uuid.UUID][][]byte{}
	}
	m.drafts[draft] = append(m.drafts[draft], bytes.Clone(step))
	return nil
}

// All gives the steps of every open draft.
func (m *Memory) All() (map[uuid.UUID][][]byte, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	drafts := map[uuid.UUID][][]byte{}
	for draft, steps := range m.drafts {
		drafts[draft] = slices.Clone(steps)
	}
	return drafts, nil
}

// Drop forgets a draft.
func (m *Memory) Drop(draft uuid.UUID) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	delete(m.drafts, draft)
	return nil
}

// Put keeps the bytes of an attachment.
func (m *Memory) Put(hash Hash, b []byte) error {
	if err := hash.Check(b); err != nil {
		return err
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.blobs == nil {
		m.blobs = map[Hash][]byte{}
	}
	m.blobs[hash] = bytes.Clone(b)
	delete(m.parts, hash)
	return nil
}

// Get gives the bytes of an attachment.
func (m *Memory) Get(hash Hash) ([]byte, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	b, ok := m.blobs[hash]
	if !ok {
		return nil, ErrNotHere
	}
	return bytes.Clone(b), hash.Check(b)
}

// Has tells whether an attachment's bytes are here.
func (m *Memory) Has(hash Hash) (bool, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	_, ok := m.blobs[hash]
	return ok, nil
}

// Part gives what has come of an attachment.
func (m *Memory) Part(hash Hash) ([]byte, error) {
	m.mu.RLock()
	defer m.mu.RUnlock()
	return bytes.Clone(m.parts[hash]), nil
}

// AddPart keeps more of an attachment on its way.
func (m *Memory) AddPart(hash Hash, offset int64, b []byte) (int64, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.parts == nil {
		m.parts = map[Hash][]byte{}
	}
	switch offset {
	case 0:
		m.parts[hash] = bytes.Clone(b)
	case int64(len(m.parts[hash])):
		m.parts[hash] = append(m.parts[hash], b...)
	}
	return int64(len(m.parts[hash])), nil
}

// Close does nothing; it is there so that a Memory can stand in for a store on disk.
func (m *Memory) Close() error { return nil }
