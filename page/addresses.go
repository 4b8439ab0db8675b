package page

import (
	"maps"
	"slices"
)

// Addresses are those of every style, script and picture, for whoever keeps
// them all so that pages work without a network.
func Addresses() []string { return slices.Sorted(maps.Values(addresses)) }
