package notebook

import (
	"errors"
	"fmt"
	"iter"
	"slices"

	"github.com/google/uuid"
)

// Report says what a store holds, every line of it verified.
type Report struct {
	Programme uuid.UUID
	Heads     Heads // its length is the number of devices that have written
	Lines     int   // on the chains
	Carried   int   // inside fork lines
	Later     int   // in a format this version does not read
	Forks     int   // fork lines
	BadForks  []*BadLine
	Named     []Blob     // by lines, each once, in the order of the lines
	Blobs     BlobReport // of those named
}

// Verify reads every line of a store and checks numbers, hashes, clocks and
// signatures. Its error names the first bad line with every version of it that
// is known. other, if not nil, is a second source, such as a backup or an export
// restored into a [Memory], whose version of the bad line is shown as well.
//
// The attachments that lines name are read too where the store holds [Blobs];
// one that is damaged or not here is in the report and no error.
func Verify(store, other Store) (Report, error) {
	report, err := new(reading).all(store)
	var found *BadLine
	if other != nil && errors.As(err, &found) {
		found.lookUp(other)
	}
	if err != nil {
		return report, err
	}
	blobs, ok := store.(Blobs)
	if !ok {
		blobs = new(Memory)
	}
	report.Blobs, err = VerifyBlobs(blobs, report.Named)
	return report, err
}

// lookUp finds the line in a second source.
func (b *BadLine) lookUp(other Store) {
	heads, _, err := other.Heads()
	if err != nil {
		return
	}
	heads[b.Device] = Head{Seq: b.Seq - 1}
	for l, err := range other.Since(heads) {
		if err == nil && l.Device == b.Device && l.Seq == b.Seq {
			b.Other, b.OtherBy = l.Stored, fmt.Sprintf("the second source, hash %s", l.Hash)
		}
		if err != nil || l.Device == b.Device {
			return
		}
	}
}

// reading goes through a whole store once. An opening notebook learns its clock
// and its branches on the way.
type reading struct {
	own     DeviceID
	clock   *hybrid
	adopted *branches
	readers []func(Line)
	named   named
}

func (r *reading) give(l Line) {
	r.named.note(&l)
	for _, read := range r.readers {
		read(l)
	}
}

func (r *reading) all(store Store) (Report, error) {
	_, signed, err := store.Heads()
	if err != nil {
		return Report{}, err
	}
	programme, err := programmeOf(signed)
	if err != nil {
		return Report{}, err
	}
	report := Report{Programme: programme, Heads: Heads{}}
	c := chains{programme: programme, last: map[DeviceID]*Line{}}
	err = r.lines(store.Since(nil), &c, &report)
	report.Lines, report.Named = c.lines, r.named.blobs
	for device, last := range c.last {
		report.Heads[device] = Head{Seq: last.Seq, Hash: last.Hash}
	}
	if err == nil {
		err = c.end(signed)
	}
	return report, err
}

func (r *reading) lines(lines iter.Seq2[Line, error], c *chains, report *Report) error {
	for l, err := range lines {
		if err != nil {
			return err
		}
		if err := c.follow(&l); err != nil {
			return err
		}
		if l.Format > Format {
			report.Later++
		}
		if r.clock != nil {
			r.clock.meet(&l, r.own)
		}
		r.give(l)
		if l.isFork() {
			r.fork(&l, report)
		}
	}
	return nil
}

func (r *reading) fork(l *Line, report *Report) {
	report.Forks++
	branches, err := unpack(l)
	if err != nil {
		report.BadForks = append(report.BadForks, bad(l, "%v", err))
		return
	}
	for _, carried := range slices.Concat(branches...) {
		report.Carried++
		if r.adopted != nil {
			r.adopted.add(carried)
		}
		r.give(carried)
	}
}

// programmeOf takes the programme from the signed heads, which must all agree
// and be what their devices signed.
func programmeOf(signed []SignedHead) (uuid.UUID, error) {
	if len(signed) == 0 {
		return uuid.Nil, errors.New("no notebook here yet: create one, or restore it from a backup or an export")
	}
	programme := signed[0].Programme
	for _, s := range signed {
		if err := s.Check(); err != nil {
			return uuid.Nil, err
		}
		if s.Programme != programme {
			return uuid.Nil, fmt.Errorf("head of device %s belongs to programme %s, that of device %s to %s: two notebooks were mixed",
				s.Device, s.Programme, signed[0].Device, programme)
		}
	}
	return programme, nil
}
