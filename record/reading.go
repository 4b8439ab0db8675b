package record

import (
	"fmt"
	"strconv"
	"strings"
)

// State says whether something was looked at. The zero value is Unknown.
type State string

// The four states of a measure or a finding.
const (
	Unknown    State = ""
	Seen       State = "seen"
	NoneSeen   State = "none seen"
	NotChecked State = "not checked" // why is given beside it
)

// Quantity is a number as it was written, and exactly: 61 and 61.0 differ in
// Typed and agree in Milli, which counts thousandths of the trait's unit.
type Quantity struct {
	Typed string `json:"typed"`
	Milli int64  `json:"milli"`
}

// maxMilli bounds a quantity to a million units either way.
const maxMilli = 1_000_000_000

// ParseQuantity reads a decimal number with at most three decimals.
func ParseQuantity(s string) (Quantity, error) {
	typed := strings.TrimSpace(s)
	whole, frac, _ := strings.Cut(typed, ".")
	digits := strings.TrimPrefix(whole, "-")
	milli, err := strconv.ParseInt(digits+(frac + "000")[:3], 10, 64)
	switch {
	case len(frac) > 3:
		return Quantity{}, fmt.Errorf("%q: more than three decimals; no field instrument reads so finely", typed)
	case err != nil || milli > maxMilli || strings.Trim(digits, "0123456789") != "" || digits == "" || strings.HasSuffix(typed, "."):
		return Quantity{}, fmt.Errorf("%q: not a number; write it like 61.8", typed)
	}
	if digits != whole {
		milli = -milli
	}
	return Quantity{Typed: typed, Milli: milli}, nil
}

// MilliQuantity is the quantity of so many thousandths, written without
// needless zeros.
func MilliQuantity(milli int64) Quantity {
	s := strconv.FormatFloat(float64(milli)/1000, 'f', -1, 64)
	return Quantity{Typed: s, Milli: milli}
}

// Value is the number in the trait's unit.
func (q Quantity) Value() float64 { return float64(q.Milli) / 1000 }

// Reading is one trait as it was found. Again holds further readings of the
// same trait at the same handling, in order.
type Reading struct {
	Quantity
	State      State      `json:"state,omitempty"` // only when nothing was read: none seen or not checked
	Why        string     `json:"why,omitempty"`   // why it was not checked
	Convention string     `json:"convention,omitempty"`
	Roughly    bool       `json:"roughly,omitempty"`
	Damaged    bool       `json:"damaged,omitempty"` // tail tip lost, ear torn: not to be read as growth
	Again      []Quantity `json:"again,omitempty"`
}

// Is gives the state of the reading: a reading with a value was seen.
func (r Reading) Is() State {
	if r.State == Unknown && r.Typed != "" {
		return Seen
	}
	return r.State
}

// Sign is one observed state in words: pouch, teats, testes, lactating.
type Sign struct {
	Value string `json:"value,omitempty"` // a word of the protocol's vocabulary
	State State  `json:"state,omitempty"` // only when there is no value
	How   string `json:"how,omitempty"`   // seen, by feel
	Why   string `json:"why,omitempty"`   // why it was not checked
}

// Is gives the state of the sign: a sign with a value was seen.
func (s Sign) Is() State {
	if s.State == Unknown && s.Value != "" {
		return Seen
	}
	return s.State
}
