package courier

import "fmt"

// Version is the latest version of these rules that this program speaks, and
// Oldest the earliest.
const (
	Version = 1
	Oldest  = 1
)

// Older says that the two sides speak no version in common, and who must update.
type Older struct {
	Theirs, TheirOldest int
}

func (o *Older) Error() string {
	who := "the other side"
	if o.Theirs > Version {
		who = "this side"
	}
	return fmt.Sprintf("%s must update: exchange speaks version %d to %d here and %d to %d there; nothing was lost, and a file carries the lines meanwhile: dawnround sync export",
		who, Oldest, Version, o.TheirOldest, o.Theirs)
}

// common is nil where a version is spoken by both sides.
func common(theirs, theirOldest int) error {
	if theirs < Oldest || theirOldest > Version {
		return &Older{Theirs: theirs, TheirOldest: theirOldest}
	}
	return nil
}
