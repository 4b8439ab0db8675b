// Package check raises flags: what cannot or may not be right about a
// capture, with the evidence.
package check

import (
	"time"

	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Draft checks a capture that is not kept yet against what the register knows.
func Draft(r *register.Register, draft record.Capture, now time.Time) []record.Flag { return nil }

// Kept checks a capture of the register.
func Kept(r *register.Register, capture uuid.UUID, now time.Time) []record.Flag { return nil }
