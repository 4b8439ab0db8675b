package answer

import (
	"dawnround/register"

	"github.com/google/uuid"
)

// Behind gives the captures that bear on a question, by night, and those left
// out with the reason.
func Behind(r *register.Register, q Which) (captures []uuid.UUID, left []LeftOut) {
	a := ask(r, q)
	for _, c := range a.captures {
		captures = append(captures, c.ID())
	}
	return captures, a.left
}
