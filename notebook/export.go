package notebook

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// exportHead is the form of a signed head in an export.
type exportHead struct {
	Head SignedHead `json:"head"`
}

// Export writes everything a store holds as plain text: every stored line as it
// is, by clock, device and number, and after them each device's signed head. No
// private key is in it.
func Export(w io.Writer, store Store) error {
	_, signed, err := store.Heads()
	if err != nil {
		return err
	}
	out := bufio.NewWriter(w)
	for l, err := range store.Since(nil) {
		if err != nil {
			return err
		}
		out.Write(l.Stored)
		out.WriteByte('\n')
	}
	for _, s := range signed {
		text, err := json.Marshal(exportHead{s})
		if err != nil {
			return err
		}
		out.Write(text)
		out.WriteByte('\n')
	}
	return out.Flush()
}

// Restore reads an export into an empty store, verifying all of it first, and
// writes nothing of its own: exporting again gives the same bytes. Opened, the
// notebook goes on as a new device.
func Restore(r io.Reader, store Store) error {
	heads, held, err := store.Heads()
	if err != nil {
		return err
	}
	if len(heads) > 0 || len(held) > 0 {
		return errors.New("there is a notebook here already: restore into an empty folder")
	}
	lines, signed, err := ReadExport(r)
	if err != nil {
		return err
	}
	if len(lines) > 0 && len(signed) == 0 {
		return errors.New("export: the file ends before its devices' signed heads: it was cut off; copy it again")
	}
	if err := whole(lines, signed); err != nil {
		return fmt.Errorf("export: %w", err)
	}
	return store.Append(lines, signed)
}

// whole verifies lines that come in order for each device, and their heads.
func whole(lines []Line, signed []SignedHead) error {
	programme, err := programmeOf(signed)
	if err != nil {
		return err
	}
	c := chains{programme: programme, last: map[DeviceID]*Line{}}
	for i := range lines {
		if err := c.follow(&lines[i]); err != nil {
			return err
		}
	}
	return c.end(signed)
}

// ReadExport parses an export. Its lines and heads can be merged; only that
// verifies them.
func ReadExport(r io.Reader) ([]Line, []SignedHead, error) {
	in := bufio.NewReader(r)
	var lines []Line
	var signed []SignedHead
	for number := 1; ; number++ {
		text, err := in.ReadBytes('\n')
		if err == io.EOF && len(text) == 0 {
			return lines, signed, nil
		}
		if err == io.EOF {
			return nil, nil, fmt.Errorf("export line %d: %.60q: the file ends without a line break: it was cut off; copy it again", number, text)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("export line %d: %w", number, err)
		}
		text = text[:len(text)-1]
		if bytes.HasPrefix(text, []byte(`{"head":`)) {
			var h exportHead
			if err := json.Unmarshal(text, &h); err != nil {
				return nil, nil, fmt.Errorf("export line %d: %w", number, err)
			}
			signed = append(signed, h.Head)
			continue
		}
		l, err := ParseLine(text)
		if err != nil {
			return nil, nil, fmt.Errorf("export line %d: %w", number, err)
		}
		lines = append(lines, l)
	}
}
