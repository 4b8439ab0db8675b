package fit_test

import "testing"

// BenchmarkMaximise fits survival and detection that differ in every interval
// to the 294 dippers of 7 years (Lebreton et al. 1992), and walks the profile of
// every parameter.
func BenchmarkMaximise(b *testing.B) {
	l := newCormack(b, dippers(b), []string{"occasion"}, []string{"occasion"}).likelihood()
	b.Run("survival/294_histories_7_occasions_12_parameters", func(b *testing.B) {
		for b.Loop() {
			l.Maximise()
		}
	})
	b.Run("survival/294_histories_7_occasions_12_profiles", func(b *testing.B) {
		for b.Loop() {
			f := l.Maximise()
			for i := range f.X {
				l.Profile(f, i)
			}
		}
	})
}
