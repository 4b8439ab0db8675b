package notebook

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"
)

// ParseLine reads a line from its stored form, without its line break, and keeps
// hold of it: stored must not change afterwards.
//
// It is strict: the keys stand in one order, without white space, in one
// spelling, so that a line has one stored form. A later format begins with the
// same keys in the same order up to kind; what follows is JSON that this version
// does not read. A withheld line has a form of its own ([Line.Withheld]).
func ParseLine(stored []byte) (Line, error) {
	l := Line{Stored: stored, Hash: sha256.Sum256(stored)}
	s := scan{rest: stored, whole: stored}
	if bytes.HasPrefix(stored, []byte(withheldPrefix)) {
		s.withheld(&l)
	} else {
		s.line(&l)
	}
	if s.err == nil && (l.Format == 0 || l.Seq == 0) {
		s.err = fmt.Errorf("line: v %d, seq %d: both count from 1", l.Format, l.Seq)
	}
	return l, s.err
}

// line reads a line that is here as its device wrote it.
func (s *scan) line(l *Line) {
	s.word(`{"v":`)
	l.Format = int(s.number(999))
	s.word(`,"programme":"`)
	s.place(l)
	s.word(`,"who":"`)
	l.Who = s.quoted("who", plainText)
	s.word(`","kind":"`)
	l.Kind = s.quoted("kind", plainKind)
	s.word(`"`)
	s.body(l)
	if l.Kind == WithheldKind {
		s.fail("another kind: this one is the notebook's own")
	}
}

// place reads where a line stands, from its programme to its tick.
func (s *scan) place(l *Line) {
	s.uuid(&l.Programme)
	s.word(`","id":"`)
	s.uuid(&l.ID)
	s.word(`","device":"`)
	s.text(43, "a device in URL-safe base64", func(b []byte) bool { return l.Device.UnmarshalText(b) == nil })
	s.word(`","seq":`)
	l.Seq = s.number(MaxSeq)
	s.word(`,"prev":"`)
	s.text(64, "a hash in lower-case hexadecimal", func(b []byte) bool { return unhex(l.Prev[:], b) })
	s.word(`","at":"`)
	s.text(len(clockLayout), "a time such as 2026-05-14T20:12:03.123Z", func(b []byte) bool { return parseWall(&l.Clock.Wall, b) })
	s.word(`","tick":`)
	l.Clock.Tick = uint32(s.number(1<<32 - 1))
}

// scan walks along a line and remembers the first thing that is wrong.
type scan struct {
	rest, whole []byte
	err         error
}

func (s *scan) fail(expected string) {
	if s.err == nil {
		s.err = fmt.Errorf("line: byte %d: %.40q: expected %s", len(s.whole)-len(s.rest), s.rest, expected)
	}
	s.rest = nil
}

func (s *scan) word(w string) {
	if len(s.rest) < len(w) || string(s.rest[:len(w)]) != w {
		s.fail(w)
		return
	}
	s.rest = s.rest[len(w):]
}

// number reads a whole number from 0 to most, without leading zeros.
func (s *scan) number(most uint64) uint64 {
	var n uint64
	i := 0
	for ; i < len(s.rest) && i < 15 && s.rest[i]-'0' <= 9; i++ {
		n = n*10 + uint64(s.rest[i]-'0')
	}
	if i == 0 || n > most || i > 1 && s.rest[0] == '0' {
		s.fail(fmt.Sprintf("a whole number up to %d", most))
		return 0
	}
	s.rest = s.rest[i:]
	return n
}

// text hands the next n bytes to read.
func (s *scan) text(n int, expected string, read func([]byte) bool) {
	if len(s.rest) < n || !read(s.rest[:n]) {
		s.fail(expected)
		return
	}
	s.rest = s.rest[n:]
}

func (s *scan) uuid(id *uuid.UUID) {
	s.text(36, "a UUID in lower case", func(b []byte) bool { return parseUUID(id, b) })
}

// quoted reads up to the next quote.
func (s *scan) quoted(name string, plain func([]byte) bool) string {
	end := bytes.IndexByte(s.rest, '"')
	if end < 0 || !plain(s.rest[:end]) {
		s.fail("a plain " + name)
		return ""
	}
	text := string(s.rest[:end])
	s.rest = s.rest[end:]
	return text
}

// body reads the rest of the line, which must be JSON in UTF-8 on one line.
func (s *scan) body(l *Line) {
	if s.err != nil {
		return
	}
	var value []byte
	if l.Format == Format {
		s.word(`,"body":`)
		value, _ = bytes.CutSuffix(s.rest, []byte("}"))
		l.Body = value[:len(value):len(value)]
	} else {
		value = s.whole
	}
	if s.err == nil && (!bytes.HasSuffix(s.rest, []byte("}")) || !utf8.Valid(value) || !validJSON(value)) {
		s.fail("a body in JSON, on one line, and a closing brace")
	}
}

// unhex reads lower-case hexadecimal digits.
func unhex(dst, src []byte) bool {
	bad := byte(0)
	for i := range dst {
		hi, lo := hexDigit[src[2*i]], hexDigit[src[2*i+1]]
		dst[i] = hi<<4 | lo&0xf
		bad |= hi | lo
	}
	return bad < 0x80
}

// hexDigit gives the value of a lower-case hexadecimal digit, 0xff for any other byte.
var hexDigit = func() (table [256]byte) {
	for i := range table {
		table[i] = 0xff
	}
	for i, c := range []byte("0123456789abcdef") {
		table[c] = byte(i)
	}
	return table
}()

func parseUUID(id *uuid.UUID, b []byte) bool {
	return b[8] == '-' && b[13] == '-' && b[18] == '-' && b[23] == '-' &&
		unhex(id[0:4], b[0:8]) && unhex(id[4:6], b[9:13]) && unhex(id[6:8], b[14:18]) &&
		unhex(id[8:10], b[19:23]) && unhex(id[10:16], b[24:36])
}

// parseWall reads a time in clockLayout as milliseconds since 1970.
func parseWall(wall *int64, b []byte) bool {
	for i, c := range []byte("dddd-dd-ddTdd:dd:dd.dddZ") {
		if c == 'd' && b[i]-'0' > 9 || c != 'd' && b[i] != c {
			return false
		}
	}
	digits := func(from, to int) (n int) {
		for _, c := range b[from:to] {
			n = n*10 + int(c-'0')
		}
		return n
	}
	year, month, day := digits(0, 4), time.Month(digits(5, 7)), digits(8, 10)
	hour, minute, second := digits(11, 13), digits(14, 16), digits(17, 19)
	t := time.Date(year, month, day, hour, minute, second, 0, time.UTC)
	*wall = t.UnixMilli() + int64(digits(20, 23))
	return hour < 24 && minute < 60 && second < 60 && t.Month() == month && t.Day() == day
}
