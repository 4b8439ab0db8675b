package courier

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// maxParcel is the most a parcel may hold, unpacked. A run of another device's
// lines is cut long before; a single fork line may be large.
const maxParcel = 64 << 20

// Parcel is what one side hands the other in one step: what it holds, and
// lines that the other lacks. Packed it is gzip over lines of text: a JSON
// object, the lines as they are stored, {"head":{…}} for each signed head, and
// {"end":"<SHA-256 of all before>"}. A later version may put more on the note,
// and never moves the rest, so a parcel in a file is read by every version.
type Parcel struct {
	Note
	Lines []notebook.Line
	Heads []notebook.SignedHead
}

// Note is what stands on a parcel.
type Note struct {
	Parcel    int                `json:"parcel"` // version of these rules
	Programme uuid.UUID          `json:"programme"`
	Device    notebook.DeviceID  `json:"device"`             // who packed it
	Now       time.Time          `json:"now"`                // what its clock showed
	Holds     notebook.Heads     `json:"holds"`              // what it has on disk
	Aside     notebook.Heads     `json:"aside,omitempty"`    // laid aside beyond that
	Branches  []notebook.Hash    `json:"branches,omitempty"` // heads of the other side that it has on a branch
	Lines     int                `json:"lines"`
	More      int                `json:"more,omitempty"`    // lines still to come
	Waiting   []notebook.Waiting `json:"waiting,omitempty"` // lines it was sent and could not take
}

// pack writes a parcel.
func (p *Parcel) pack() ([]byte, error) {
	var text bytes.Buffer
	p.Note.Lines = len(p.Lines)
	if err := jsonLine(&text, p.Note); err != nil {
		return nil, err
	}
	for i := range p.Lines {
		text.Write(p.Lines[i].Stored)
		text.WriteByte('\n')
	}
	for _, h := range p.Heads {
		if err := jsonLine(&text, headLine{h}); err != nil {
			return nil, err
		}
	}
	var packed bytes.Buffer
	z := zippers.Get().(*gzip.Writer)
	defer zippers.Put(z)
	z.Reset(&packed)
	_, err := z.Write(ended(text.Bytes()))
	err = errors.Join(err, z.Close())
	return packed.Bytes(), err
}

// zippers are used again: one takes most of a megabyte.
var zippers = sync.Pool{New: func() any { return gzip.NewWriter(io.Discard) }}

// ended puts the last line behind a parcel's text.
func ended(text []byte) []byte {
	return fmt.Appendf(text, `{"end":"%x"}`+"\n", sha256.Sum256(text))
}

type headLine struct {
	Head notebook.SignedHead `json:"head"`
}

func jsonLine(w *bytes.Buffer, v any) error {
	text, err := json.Marshal(v)
	w.Write(text)
	w.WriteByte('\n')
	return err
}

// unpack reads one parcel, whole or not at all, and leaves what follows it.
func unpack(in *bufio.Reader) (Parcel, error) {
	z, err := gzip.NewReader(in)
	if err != nil {
		return Parcel{}, cut(err)
	}
	z.Multistream(false)
	text, err := io.ReadAll(io.LimitReader(z, maxParcel+1))
	if err != nil {
		return Parcel{}, cut(err)
	}
	if len(text) > maxParcel {
		return Parcel{}, fmt.Errorf("parcel: more than %d bytes; no version packs so much at once", maxParcel)
	}
	return readParcel(text)
}

// errCut is what a parcel that is not whole is answered with.
var errCut = errors.New("parcel: it was cut off or damaged on the way; send it again")

func cut(err error) error {
	if err == io.EOF {
		return err // nothing more
	}
	return fmt.Errorf("%w (%w)", errCut, err)
}

// unpackBytes reads a parcel that stands alone.
func unpackBytes(packed []byte) (Parcel, error) {
	in := bufio.NewReader(bytes.NewReader(packed))
	p, err := unpack(in)
	if err == io.EOF {
		return p, errCut
	}
	if err != nil {
		return p, err
	}
	if _, err := in.Peek(1); err != io.EOF {
		return Parcel{}, errors.New("parcel: something follows it; one message is one parcel")
	}
	return p, nil
}

// readParcel reads the text of a parcel.
func readParcel(text []byte) (Parcel, error) {
	var p Parcel
	body, _, ok := lastLine(text)
	if !ok || !bytes.Equal(ended(body[:len(body):len(body)]), text) {
		return p, errCut
	}
	first, rest, _ := bytes.Cut(body, newline)
	if err := json.Unmarshal(first, &p.Note); err != nil {
		return p, fmt.Errorf("parcel: its note %.60q: %w", first, err)
	}
	for len(rest) > 0 {
		var line []byte
		line, rest, _ = bytes.Cut(rest, newline)
		if err := p.read(line); err != nil {
			return p, err
		}
	}
	if len(p.Lines) != p.Note.Lines {
		return p, fmt.Errorf("parcel: %d lines, but its note says %d", len(p.Lines), p.Note.Lines)
	}
	return p, nil
}

var newline = []byte("\n")

// lastLine parts the last line from all before it.
func lastLine(text []byte) (before, last []byte, ok bool) {
	text, ok = bytes.CutSuffix(text, newline)
	at := bytes.LastIndexByte(text, '\n') + 1
	return text[:at], text[at:], ok
}

// read takes one line of text below the note.
func (p *Parcel) read(line []byte) error {
	if !bytes.HasPrefix(line, []byte(`{"head":`)) {
		l, err := notebook.ParseLine(line)
		p.Lines = append(p.Lines, l)
		return err
	}
	var h headLine
	if err := json.Unmarshal(line, &h); err != nil {
		return fmt.Errorf("parcel: a signed head %.60q: %w", line, err)
	}
	p.Heads = append(p.Heads, h.Head)
	return nil
}
