package record

// Mark is a mark that was read on an animal, put on it, or found gone.
type Mark struct {
	Kind  string  `json:"kind"` // a mark kind of the protocol
	Text  string  `json:"text"` // as read; numbers are text
	Act   MarkAct `json:"act,omitempty"`
	How   string  `json:"how,omitempty"` // scanned, typed, read twice
	Part  string  `json:"part,omitempty"`
	Side  string  `json:"side,omitempty"`
	State string  `json:"state,omitempty"` // faded, torn, unreadable
}

// MarkAct is what happened with a mark; the zero value is "read".
type MarkAct string

// The acts. MarkGone ends the span in which the mark speaks for this animal.
const (
	MarkRead MarkAct = ""
	MarkPut  MarkAct = "put"
	MarkGone MarkAct = "gone"
	MarkOld  MarkAct = "old" // an earlier mark named as evidence; it links nothing
)
