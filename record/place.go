package record

// Site is a place that is trapped, known by a short code.
type Site struct {
	Site string `json:"site"`
	Name string `json:"name"`
	Note string `json:"note,omitempty"`
}

// Trap is a trap position of a site, valid from one night to another (both
// included); a moved trap is a new line with the same name.
type Trap struct {
	Site  string  `json:"site"`
	Trap  string  `json:"trap"`
	Type  string  `json:"type,omitempty"` // a trap kind of the protocol
	Lat   float64 `json:"lat,omitempty"`  // degrees, in Datum
	Lon   float64 `json:"lon,omitempty"`
	Datum string  `json:"datum,omitempty"`
	ErrM  float64 `json:"err_m,omitempty"` // accuracy, metres
	From  Night   `json:"from,omitzero"`
	To    Night   `json:"to,omitzero"`
}
