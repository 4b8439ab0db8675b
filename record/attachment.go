package record

import (
	"time"

	"dawnround/notebook"

	"github.com/google/uuid"
)

// Attachment is a picture of something: a wound, a mark, a rack of samples. The
// line holds what it shows and the hash of its bytes; these come after all lines
// and may not be here yet. It stays whatever becomes of the line that states its
// capture.
type Attachment struct {
	notebook.Blob
	WidthPx  int       `json:"width_px,omitempty"`
	HeightPx int       `json:"height_px,omitempty"`
	Of       uuid.UUID `json:"of,omitzero"`    // the capture at which it was taken
	Young    uuid.UUID `json:"young,omitzero"` // the young of hers that it shows
	Part     string    `json:"part,omitempty"` // the part of the body it shows
	Side     string    `json:"side,omitempty"`
	Sample   string    `json:"sample,omitempty"` // the label of the sample it shows
	Rack     string    `json:"rack,omitempty"`   // the sample rack it shows, by its name; RackUnnamed where it has none
	Caption  string    `json:"caption,omitempty"`
	By       string    `json:"by,omitempty"` // who took it, where not whoever wrote the line
	Taken    time.Time `json:"taken,omitzero"`
}

// RackUnnamed stands for a rack that bears no name.
const RackUnnamed = "unnamed"

// Subject says what it shows, in words: "left ear", "sample B017", "sample rack
// 3", or "the animal".
func (a Attachment) Subject() string {
	switch {
	case a.Rack == RackUnnamed:
		return "sample rack"
	case a.Rack != "":
		return "sample rack " + a.Rack
	case a.Sample != "":
		return "sample " + a.Sample
	case a.Part != "" && a.Side != "":
		return a.Side + " " + a.Part
	case a.Part != "":
		return a.Part
	case a.Young != uuid.UUID{}:
		return "her young"
	}
	return "the animal"
}
