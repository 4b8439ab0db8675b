package chart

import "math"

// A Scale lays a range of values over a stretch of the drawing. End may lie
// before At, as where values grow upwards.
type Scale struct {
	From, To float64 // values
	At, End  float64 // where they lie
}

// On is where a value lies. Where the range is one value, it lies in the middle.
func (s Scale) On(v float64) float64 {
	if s.To == s.From {
		return (s.At + s.End) / 2
	}
	return s.At + float64((s.End-s.At)*((v-s.From)/(s.To-s.From)))
}

// Ticks are the round values (1, 2 or 5 times a power of ten) within the
// range, at most so many; none for a range too narrow to be told from a point.
func (s Scale) Ticks(most int) []float64 {
	span := s.To - s.From
	if most < 1 || !(span > 1e-9*math.Max(math.Abs(s.From), math.Abs(s.To))) || math.IsInf(span, 0) {
		return nil
	}
	step := math.Pow(10, math.Floor(math.Log10(span/float64(most))))
	for _, times := range []float64{1, 2, 5, 10, 20} {
		first := math.Ceil(s.From / (step * times))
		last := math.Floor(s.To / (step * times))
		if last-first+1 > float64(most) {
			continue
		}
		var out []float64
		for i := range int(last-first) + 1 {
			out = append(out, (first+float64(i))*step*times)
		}
		return out
	}
	return nil
}

// Room widens the range of some values to round bounds, so that the points
// do not lie on the frame. No values give 0 to 1.
func Room(values ...float64) (from, to float64) {
	if len(values) == 0 {
		return 0, 1
	}
	from, to = values[0], values[0]
	for _, v := range values {
		from, to = min(from, v), max(to, v)
	}
	room := (to - from) / 8
	if room == 0 {
		room = max(math.Abs(to)/8, 1)
	}
	return from - room, to + room
}
