package record

import "dawnround/notebook"

// Kind is the word in a line's header.
func (Programme) Kind() string   { return "programme" }
func (Device) Kind() string      { return "device" }
func (ClockOffset) Kind() string { return "clock" }
func (Admitted) Kind() string    { return "admitted" }
func (ShutOut) Kind() string     { return "shut-out" }
func (Protocol) Kind() string    { return "protocol" }
func (Person) Kind() string      { return "person" }
func (Site) Kind() string        { return "site" }
func (Trap) Kind() string        { return "trap" }
func (Trip) Kind() string        { return "trip" }
func (Labels) Kind() string      { return "labels" }
func (Tare) Kind() string        { return "tare" }
func (Setting) Kind() string     { return "set" }
func (Round) Kind() string       { return "round" }
func (RoundEnd) Kind() string    { return "round-end" }
func (Closing) Kind() string     { return "close" }
func (Check) Kind() string       { return "check" }
func (Effort) Kind() string      { return "effort" }
func (Weather) Kind() string     { return "weather" }
func (Capture) Kind() string     { return "capture" }
func (Note) Kind() string        { return "note" }
func (Attachment) Kind() string  { return notebook.AttachmentKind }
func (Mother) Kind() string      { return "mother" }
func (Same) Kind() string        { return "same" }
func (Apart) Kind() string       { return "apart" }
func (Correction) Kind() string  { return "correction" }
func (Strike) Kind() string      { return "strike" }
func (FlagAct) Kind() string     { return "flag" }
func (FollowUp) Kind() string    { return "follow-up" }
func (Done) Kind() string        { return "done" }
func (Lock) Kind() string        { return "lock" }
func (Curve) Kind() string       { return "curve" }
func (Fork) Kind() string        { return notebook.ForkKind }
