package exchange_test

import (
	"testing"

	"dawnround/register"

	"dawnround/answer"
)

// BenchmarkImport reads the published captures into an empty programme, checks
// included.
func BenchmarkImport(b *testing.B) {
	file, m := tableFile(b, "captures.csv"), mapping(b, "captures.yaml")
	b.Run("64907_rows", func(b *testing.B) {
		for b.Loop() {
			take(b, portal(b, 1), m, file)
		}
	})
	p := portal(b, 1)
	take(b, p, m, file)
	b.Run("64907_rows_again", func(b *testing.B) {
		for b.Loop() {
			take(b, p, m, file)
		}
	})
	b.Run("known_alive", func(b *testing.B) {
		for b.Loop() {
			p.View(func(r *register.Register) { answer.KnownAlive(r, "2", "DM") })
		}
	})
}
