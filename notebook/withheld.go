package notebook

import (
	"encoding/base64"
	"encoding/hex"
	"strconv"
)

// WithheldKind is the kind under which a line stands that was withheld from this
// notebook: only its place in the chain is told.
const WithheldKind = "withheld"

// Withheld is what is told of a line to a device that may not read it: its
// number, its clock, the hash of the line before and its own. The chain can be
// verified all the same, since the next line names that hash, and the last one is
// signed; nothing can be put in its place. Stored, it begins with that hash:
//
//	{"withheld":"<hash>","v":1,"programme":"…","id":"…","device":"…","seq":12,"prev":"…","at":"…","tick":0}
func (l *Line) Withheld() Line {
	w := *l
	w.Who, w.Kind, w.Body = "", WithheldKind, nil
	b := append(make([]byte, 0, 400), withheldPrefix...)
	b = hex.AppendEncode(b, l.Hash[:])
	b = append(b, `","v":1,"programme":"`...)
	b = append(b, l.Programme.String()...)
	b = append(b, `","id":"`...)
	b = append(b, l.ID.String()...)
	b = append(b, `","device":"`...)
	b = base64.RawURLEncoding.AppendEncode(b, l.Device[:])
	b = append(b, `","seq":`...)
	b = strconv.AppendUint(b, l.Seq, 10)
	b = append(b, `,"prev":"`...)
	b = hex.AppendEncode(b, l.Prev[:])
	b = append(b, `","at":"`...)
	b = l.Clock.Time().AppendFormat(b, clockLayout)
	b = append(b, `","tick":`...)
	b = strconv.AppendUint(b, uint64(l.Clock.Tick), 10)
	w.Format, w.Stored = Format, append(b, '}')
	return w
}

const withheldPrefix = `{"withheld":"`

// withheld reads the stored form of a withheld line.
func (s *scan) withheld(l *Line) {
	s.word(withheldPrefix)
	s.text(64, "a hash in lower-case hexadecimal", func(b []byte) bool { return unhex(l.Hash[:], b) })
	s.word(`","v":1,"programme":"`)
	s.place(l)
	s.word(`}`)
	if s.err == nil && len(s.rest) > 0 {
		s.fail("nothing more")
	}
	l.Format, l.Kind = Format, WithheldKind
}

// Limit lets this notebook take withheld lines: its device may not read all.
// Any other notebook takes a device's lines only up to the first withheld one,
// so that a line is never replaced by less.
func (n *Notebook) Limit() {
	n.mu.Lock()
	defer n.mu.Unlock()
	n.limited = true
}
