package record

import (
	"fmt"
	"slices"
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
	Side       string     `json:"side,omitempty"` // which was measured, of a trait that is not kept by side
	Roughly    bool       `json:"roughly,omitempty"`
	Damaged    bool       `json:"damaged,omitempty"` // tail tip lost, ear torn: not to be read as growth
	Again      []Quantity `json:"again,omitempty"`
	Blind      bool       `json:"blind,omitempty"` // read while what was read before was hidden: each of Again, and a first reading beside the last visit
}

// Is gives the state of the reading: a reading with a value was seen.
func (r Reading) Is() State {
	if r.State == Unknown && r.Typed != "" {
		return Seen
	}
	return r.State
}

// Counts is the quantity that counts: the last of those read at one handling,
// since measuring again is how a doubt is answered.
func (r Reading) Counts() Quantity {
	if n := len(r.Again); n > 0 {
		return r.Again[n-1]
	}
	return r.Quantity
}

// String writes a reading as [ParseReading] reads it. Convention and side are
// not part of it.
func (r Reading) String() string {
	if r.Is() != Seen {
		if r.Why == "" {
			return string(r.State)
		}
		return string(r.State) + ": " + r.Why
	}
	out := r.Typed
	if r.Roughly {
		out = "~" + out
	}
	for _, q := range r.Again {
		out += " " + q.Typed
	}
	if r.Damaged {
		out += " damaged"
	}
	return out
}

// ParseReading reads a measure as it is typed: "61.8", "61.8 61.6" (measured
// again), "~61" (roughly), "61.8 damaged", "none seen", "not checked: too
// cold", "nc too cold".
func ParseReading(typed string) (Reading, error) {
	typed = strings.Join(strings.Fields(typed), " ")
	if state, why, ok := ParseState(typed); ok {
		return Reading{State: state, Why: why}, nil
	}
	var r Reading
	for i, word := range r.numbers(typed) {
		q, err := ParseQuantity(word)
		if err != nil {
			return Reading{}, err
		}
		if i == 0 {
			r.Quantity = q
		} else {
			r.Again = append(r.Again, q)
		}
	}
	if r.Typed == "" {
		return Reading{}, fmt.Errorf("%q: not a number; write it like 61.8, or nc and why it was not checked", typed)
	}
	return r, nil
}

// numbers are the numbers of a reading; what is said about them is set.
func (r *Reading) numbers(typed string) []string {
	var numbers []string
	for _, word := range strings.Fields(typed) {
		switch bare := strings.TrimRight(strings.TrimLeft(word, "~"), "?"); {
		case strings.EqualFold(word, "damaged"):
			r.Damaged = true
		case strings.EqualFold(word, "mm") || strings.EqualFold(word, "g"):
		case bare != word:
			r.Roughly = true
			if bare != "" {
				numbers = append(numbers, bare)
			}
		default:
			numbers = append(numbers, word)
		}
	}
	return numbers
}

// ParseState reads the states that are no value: "none seen" and "nc", not
// checked, with a reason after it.
func ParseState(typed string) (state State, why string, ok bool) {
	typed = strings.Join(strings.Fields(typed), " ")
	if slices.Contains([]string{"none", "no"}, strings.ToLower(typed)) {
		return NoneSeen, "", true
	}
	for _, s := range []struct {
		word  string
		state State
	}{{"none seen", NoneSeen}, {"not checked", NotChecked}, {"n/c", NotChecked}, {"nc", NotChecked}} {
		if len(typed) < len(s.word) || !strings.EqualFold(typed[:len(s.word)], s.word) {
			continue
		}
		if rest := typed[len(s.word):]; rest == "" || strings.ContainsAny(rest[:1], " :,;") {
			return s.state, strings.Trim(rest, " :,;"), true
		}
	}
	return "", "", false
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
