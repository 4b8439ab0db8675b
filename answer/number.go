package answer

import (
	"encoding/json"
	"math"
)

// Number is a figure that JSON says null for where it is not known.
type Number float64

// MarshalJSON writes null for what is no number, or without end.
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}
