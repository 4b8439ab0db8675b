package check

import (
	"slices"

	"dawnround/record"
	"dawnround/register"
)

// OfApproval tells whether a rule, by its name, holds a limit that the team
// typed from its own approval: passing it can be, and did happen.
func OfApproval(rule string) bool {
	return slices.ContainsFunc(Rules(), func(r Rule) bool { return r.Name == rule && r.Source == approval })
}

// NightsRunning counts the nights in a row up to one, it included, on which
// captures in the order of their nights were made.
func NightsRunning(captures []*register.Capture, night record.Night) int {
	run := 1
	for _, c := range slices.Backward(captures) {
		if back := night.Days(c.At.Night); back == run {
			run++
		} else if back > run {
			break
		}
	}
	return run
}
