package survival

import "math"

// Saturated is −2 ln L of the m-array with a chance of its own for every cell:
// no model of the m-array can have less.
func (m MArray) Saturated() float64 {
	total := 0.0
	for i, row := range m.Seen {
		left := m.Released[i]
		for _, n := range row {
			total += logShare(n, m.Released[i])
			left -= n
		}
		total += logShare(left, m.Released[i])
	}
	return -2 * total
}

// logShare is n ln(n/of), 0 where n is 0.
func logShare(n, of int) float64 {
	if n <= 0 {
		return 0
	}
	return float64(n) * math.Log(float64(n)/float64(of))
}
