package growth

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

// Read reads a relation as it was adopted: one JSON object, as a fit writes it.
// A key that is not known, or a relation that cannot stand, is an error.
func Read(text []byte) (Relation, error) {
	var r Relation
	d := json.NewDecoder(bytes.NewReader(text))
	d.DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return Relation{}, fmt.Errorf("relation: %w; expected the JSON object that a fit writes", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return Relation{}, errors.New("relation: more than one JSON value; expected one object")
	}
	if wrongs := r.Wrongs(); len(wrongs) > 0 {
		return Relation{}, fmt.Errorf("relation: %w", wrongs[0])
	}
	return r, nil
}
