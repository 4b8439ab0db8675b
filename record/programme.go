package record

import "dawnround/notebook"

// Programme is the first line of a notebook: what is monitored, and in which
// time zone its nights are told (an IANA name).
type Programme struct {
	Name string `json:"name"`
	Zone string `json:"zone"`
}

// Device names the device that writes the line.
type Device struct {
	Name string `json:"name"`
}

// ClockOffset states by how many seconds a device's clock was wrong (positive:
// fast). Stored times are never rewritten.
type ClockOffset struct {
	Of      notebook.DeviceID `json:"of,omitzero"` // zero: the device that writes the line
	Seconds int               `json:"seconds"`
	Why     string            `json:"why"`
}

// Protocol adopts a protocol, naming the version it replaces. Version is the
// SHA-256 of Text in hex.
type Protocol struct {
	Version  string `json:"version"`
	Replaces string `json:"replaces,omitempty"`
	Text     string `json:"text"`
}

// Person is one of the crew, known by initials.
type Person struct {
	Initials string `json:"initials"`
	Name     string `json:"name,omitempty"`
	Role     string `json:"role,omitempty"`
}
