package page

import (
	"net"
	"net/http"
	"net/url"
	"time"
)

// Frame is what surrounds a page: where one is, who writes, and by which light.
type Frame struct {
	Title     string
	Programme string
	Here      Place
	Mode      Mode
	Who       string    `json:",omitempty"` // initials of whoever holds the pen; empty: nobody has said
	Flash     string    `json:",omitempty"` // what was just done
	Path      string    `json:"-"`          // address of this page, to come back to
	Now       time.Time // when the page was written, in the programme's zone
	Wide      bool      `json:"-"` // a desk's page rather than a scribe's column
}

// Place is an entry of the navigation.
type Place string

// The places, by the hour of the day.
const (
	Set     Place = "Set"
	Round   Place = "Round"
	Evening Place = "Evening"
	Animals Place = "Animals"
	Trip    Place = "Trip"
	Answers Place = "Answers"
)

// places are the entries of the navigation in order.
var places = []struct {
	Place
	Path string
}{
	{Set, "/set"}, {Round, "/round"}, {Evening, "/evening"}, {Animals, "/animals"}, {Trip, "/trip"}, {Answers, "/answers"},
}

// Mode is the light a page is written for.
type Mode string

// The modes. Auto follows the device.
const (
	Auto  Mode = ""
	Day   Mode = "day"
	Night Mode = "night"
)

// scheme is the mode as the color-scheme meta element has it.
func (m Mode) scheme() string {
	switch m {
	case Day:
		return "light"
	case Night:
		return "dark"
	}
	return "light dark"
}

// nightMedia is when the night's colours apply; on paper they never do.
func (m Mode) nightMedia() string {
	if m == Night {
		return "screen"
	}
	return "screen and (prefers-color-scheme: dark)"
}

// FrameOf is the frame of a page asked for by r: light, pen and flash are the
// browser's own.
func FrameOf(r *http.Request, title, programme string, here Place, now time.Time) Frame {
	return Frame{
		Title: title, Programme: programme, Here: here, Now: now,
		Mode: modeOf(r), Who: Who(r), Flash: r.URL.Query().Get("said"), Path: r.URL.RequestURI(),
	}
}

func modeOf(r *http.Request) Mode {
	c, err := r.Cookie("light")
	if err != nil || c.Value != string(Day) && c.Value != string(Night) {
		return Auto
	}
	return Mode(c.Value)
}

// Who is the initials of whoever holds the pen in this browser, as stated, not
// proven; empty where nobody has said.
func Who(r *http.Request) string {
	c, err := r.Cookie(PortCookie(r, "pen"))
	if err != nil || !validInitials(c.Value) {
		return ""
	}
	return c.Value
}

// PortCookie is the name of a cookie that belongs to one program: browsers
// share cookies between the ports of a host, so the port is in the name.
func PortCookie(r *http.Request, name string) string {
	if _, port, err := net.SplitHostPort(r.Host); err == nil {
		return name + "-" + port
	}
	return name
}

func escape(path string) string { return url.QueryEscape(path) }
