package browser

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"maps"
	"slices"
	"sort"
	"sync"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// Store is a notebook and its drafts in a vault: a notebook.Store and
// notebook.Drafts. It may be used from several goroutines.
type Store struct {
	mu     sync.Mutex // over all below
	lines  *Journal
	index  Index
	last   opened // the frame read last
	drafts *Journal
	steps  map[uuid.UUID][][]byte
}

// Index is where each device's lines lie, so that a store opens without reading
// them. What is saved of it is disposable: [Open] makes it anew from nil.
type Index struct {
	End    int64
	Heads  notebook.Heads
	Signed map[notebook.DeviceID]notebook.SignedHead
	Runs   map[notebook.DeviceID][]Run
}

// Run says that a device's lines from number First on lie in the frame at At,
// up to the next run.
type Run struct {
	First uint64
	At    int64
}

// opened is one frame's lines.
type opened struct {
	at    int64
	lines []notebook.Line
}

// The first byte of a frame says what it holds.
const (
	linesFrame = 'L' // lines, each behind its length
	headsFrame = 'H' // signed heads, JSON
)

// Open opens the store of a vault. known, from an earlier store on this very
// vault, saves reading what it speaks of; nil reads everything. told, if not
// nil, hears how many bytes have been read.
func Open(v *Vault, known *Index, told func(read int64)) (*Store, error) {
	if known == nil {
		known = &Index{}
	}
	s := &Store{index: known.clone(), steps: map[uuid.UUID][][]byte{}}
	var err error
	s.lines, err = v.Journal("lines", known.End, func(f Frame) error {
		if told != nil {
			told(f.At)
		}
		return s.take(f)
	})
	if err != nil {
		return nil, err
	}
	if s.drafts, err = v.Journal("drafts", 0, s.takeStep); err != nil {
		return nil, errors.Join(err, s.lines.Close())
	}
	return s, nil
}

func (x Index) clone() Index {
	y := Index{End: x.End, Heads: notebook.Heads{}, Signed: map[notebook.DeviceID]notebook.SignedHead{}, Runs: map[notebook.DeviceID][]Run{}}
	maps.Copy(y.Heads, x.Heads)
	maps.Copy(y.Signed, x.Signed)
	for device, runs := range x.Runs {
		y.Runs[device] = slices.Clone(runs)
	}
	return y
}

// Index gives where everything lies by now, to be saved and given to [Open].
func (s *Store) Index() Index {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.index.End = s.lines.end
	return s.index.clone()
}

// take enters one frame in the index.
func (s *Store) take(f Frame) error {
	if len(f.Text) > 0 && f.Text[0] == headsFrame {
		var signed []notebook.SignedHead
		if err := json.Unmarshal(f.Text[1:], &signed); err != nil {
			return err
		}
		s.index.sign(signed)
		return nil
	}
	lines, err := unpackLines(f.Text)
	if err != nil {
		return err
	}
	return s.index.enter(lines, f.At)
}

// sign enters signed heads; the latest of a device stays.
func (x *Index) sign(heads []notebook.SignedHead) {
	for _, h := range heads {
		if had, ok := x.Signed[h.Device]; !ok || h.Seq > had.Seq {
			x.Signed[h.Device] = h
		}
	}
}

// enter enters the lines of the frame at one place.
func (x *Index) enter(lines []notebook.Line, at int64) error {
	for i := range lines {
		l := &lines[i]
		if err := x.Heads.Follow(l); err != nil {
			return err
		}
		if runs := x.Runs[l.Device]; len(runs) == 0 || runs[len(runs)-1].At != at {
			x.Runs[l.Device] = append(runs, Run{l.Seq, at})
		}
	}
	return nil
}

// Append keeps the lines and heads: see notebook.Store.
func (s *Store) Append(lines []notebook.Line, heads []notebook.SignedHead) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.follow(lines); err != nil || len(lines)+len(heads) == 0 {
		return err
	}
	pieces := inPieces(lines)
	texts := make([][]byte, len(pieces), len(pieces)+1)
	for i, piece := range pieces {
		texts[i] = packLines(piece)
	}
	signed, err := json.Marshal(heads)
	if err != nil {
		return err
	}
	places, err := s.lines.Add(append(texts, append([]byte{headsFrame}, signed...))...)
	if err != nil {
		return fmt.Errorf("the phone's storage does not take it: %w; make room on the phone", err)
	}
	for i, piece := range pieces {
		if err := s.index.enter(piece, places[i]); err != nil {
			panic(err) // it followed a moment ago
		}
	}
	s.index.sign(heads)
	return nil
}

// follow refuses lines that would break a chain.
func (s *Store) follow(lines []notebook.Line) error {
	heads := notebook.Heads{}
	for i := range lines {
		device := lines[i].Device
		if _, ok := heads[device]; !ok {
			heads[device] = s.index.Heads[device]
		}
		if err := heads.Follow(&lines[i]); err != nil {
			return err
		}
	}
	return nil
}

// inPieces divides lines over frames.
func inPieces(lines []notebook.Line) [][]notebook.Line {
	var pieces [][]notebook.Line
	for from, size, i := 0, 0, 0; i < len(lines); i++ {
		size += len(lines[i].Stored)
		if i == len(lines)-1 || size > pieceMost {
			pieces = append(pieces, lines[from:i+1])
			from, size = i+1, 0
		}
	}
	return pieces
}

func packLines(lines []notebook.Line) []byte {
	text := []byte{linesFrame}
	for _, l := range lines {
		text = binary.AppendUvarint(text, uint64(len(l.Stored)))
		text = append(text, l.Stored...)
	}
	return text
}

func unpackLines(text []byte) ([]notebook.Line, error) {
	if len(text) == 0 || text[0] != linesFrame {
		return nil, fmt.Errorf("a frame of kind %.1q: a later version wrote it; use that version or a later one", text)
	}
	var lines []notebook.Line
	for rest := text[1:]; len(rest) > 0; {
		length, n := binary.Uvarint(rest)
		if n <= 0 || length > uint64(len(rest)-n) {
			return nil, errors.New("a line is cut short within its frame")
		}
		stored := rest[n : n+int(length) : n+int(length)]
		l, err := notebook.ParseLine(stored)
		if err != nil {
			return nil, err
		}
		lines, rest = append(lines, l), rest[n+int(length):]
	}
	return lines, nil
}

// Heads gives where each chain ends, and the signed heads: see notebook.Store.
func (s *Store) Heads() (notebook.Heads, []notebook.SignedHead, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	signed := slices.SortedFunc(maps.Values(s.index.Signed), func(a, b notebook.SignedHead) int { return slices.Compare(a.Device[:], b.Device[:]) })
	return maps.Clone(s.index.Heads), signed, nil
}

// Since gives the lines the holder lacks: see notebook.Store.
func (s *Store) Since(holder notebook.Heads) iter.Seq2[notebook.Line, error] {
	return func(yield func(notebook.Line, error) bool) {
		s.mu.Lock()
		var lacking []iter.Seq2[notebook.Line, error]
		for device, head := range s.index.Heads {
			if from := holder[device].Seq; from < head.Seq {
				lacking = append(lacking, s.chain(device, from, head.Seq))
			}
		}
		s.mu.Unlock()
		notebook.InOrder(lacking...)(yield)
	}
}

// chain gives a device's lines after one number and up to another.
func (s *Store) chain(device notebook.DeviceID, after, last uint64) iter.Seq2[notebook.Line, error] {
	return func(yield func(notebook.Line, error) bool) {
		for after < last {
			lines, err := s.frameWith(device, after+1)
			if err != nil {
				yield(notebook.Line{}, err)
				return
			}
			for _, l := range lines {
				if l.Device != device || l.Seq <= after || l.Seq > last {
					continue
				}
				if !yield(l, nil) {
					return
				}
				after = l.Seq
			}
		}
	}
}

// frameWith gives the lines of the frame in which one line of a device lies.
func (s *Store) frameWith(device notebook.DeviceID, seq uint64) ([]notebook.Line, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	runs := s.index.Runs[device]
	i := sort.Search(len(runs), func(i int) bool { return runs[i].First > seq }) - 1
	at := runs[i].At
	if s.last.at == at {
		return s.last.lines, nil
	}
	text, err := s.lines.Read(at)
	if err != nil {
		return nil, err
	}
	lines, err := unpackLines(text)
	if err == nil && !slices.ContainsFunc(lines, func(l notebook.Line) bool { return l.Device == device && l.Seq == seq }) {
		err = fmt.Errorf("line %d of device %s is not in its frame", seq, device)
	}
	if err != nil {
		return nil, s.lines.damaged(at, err)
	}
	s.last = opened{at, lines}
	return lines, nil
}

// Size gives how many bytes the lines take.
func (s *Store) Size() int64 {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.lines.end
}

// Close gives the files back.
func (s *Store) Close() error { return errors.Join(s.lines.Close(), s.drafts.Close()) }
