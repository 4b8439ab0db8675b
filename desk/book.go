package desk

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"strconv"
	"strings"
	"time"

	"dawnround/mark"
	"dawnround/page"
	"dawnround/place"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
)

// Programme is the book-keeping of a programme: who, where, when and by which
// protocol.
type Programme struct {
	Name     string            `json:"name"`
	Zone     string            `json:"zone"`
	People   []record.Person   `json:"people"`
	Sites    []SiteRow         `json:"sites"`
	Trips    []TripRow         `json:"trips"`
	Labels   []LabelCount      `json:"labels"`
	Tares    []record.Tare     `json:"tares"`
	Devices  map[string]string `json:"devices"`
	Protocol InForce           `json:"protocol"`
	Adopted  []Adoption        `json:"adopted"`
	Unread   map[string]int    `json:"unread,omitempty"`
	Problems []string          `json:"problems,omitempty"` // of a protocol that was not adopted
	Draft    string            `json:"-"`                  // its text, to be mended

	kinds []string // trap kinds of the protocol
}

// SiteRow is a site with its traps as they stand now, and those taken up.
type SiteRow struct {
	record.Site
	Traps []record.Trap `json:"traps"`
}

// InForce is the protocol that holds now.
type InForce struct {
	Name    string   `json:"name"`
	Version string   `json:"version"`
	About   string   `json:"about,omitempty"`
	Species []string `json:"species"`
	Limits  []string `json:"limits"`
}

// Adoption is one protocol that was adopted.
type Adoption struct {
	Version  string `json:"version"`
	Replaces string `json:"replaces,omitempty"`
	InForce  bool   `json:"in_force"`
}

func (d *desk) programme(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words words) shown { return programmeShown(words.programme()) })
}

func programmeShown(p Programme) shown {
	return shown{"Programme", "", p, func(f page.Frame) templ.Component { return programmePage(f, p) }}
}

// ProgrammePage is the book-keeping.
func ProgrammePage(r *register.Register, now time.Time) Programme {
	return wordsOf(r, now).programme()
}

func (w words) programme() Programme {
	now := w.Protocol()
	p := Programme{
		Name: w.Register.Programme().Name, Zone: w.zone.String(), People: w.People(), Trips: w.trips().Trips,
		Labels: w.labelCounts(nil), Tares: w.Tares(), Devices: w.Devices(), Unread: w.Unread(),
		Protocol: InForce{Name: now.Name, Version: now.Version, About: now.About},
	}
	for _, s := range w.Sites() {
		p.Sites = append(p.Sites, SiteRow{s, w.Traps(s.Site, record.Night{})})
	}
	for _, s := range now.Species {
		p.Protocol.Species = append(p.Protocol.Species, joined(" – ", s.Code, s.Name))
	}
	for _, k := range now.Traps {
		p.kinds = append(p.kinds, k.ID)
	}
	p.Protocol.Limits = limits(now)
	for _, a := range w.Adoptions() {
		p.Adopted = append(p.Adopted, Adoption{a.Version, a.Replaces, a.Version == now.Version})
	}
	return p
}

// limits are the welfare limits the team has typed, each with its source.
func limits(p *protocol.Protocol) []string {
	var out []string
	for _, l := range protocol.Limits {
		value, source, on := p.Limit(l.ID)
		if !on {
			out = append(out, l.ID+": off, "+l.Means)
			continue
		}
		out = append(out, fmt.Sprintf("%s: %s, %s (%s)", l.ID, spaced(strconv.FormatFloat(value, 'f', -1, 64), unit(l.Unit)), l.Means, source))
	}
	return out
}

// adopt takes a protocol from a file or from what was pasted. What cannot
// stand in it is shown beside the text, and nothing is written.
func (d *desk) adopt(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<20)
	text, err := protocolText(r)
	if err != nil {
		page.Refuse(w, r, http.StatusBadRequest, "Not adopted", sentence(err.Error()), "Go back and send it again.")
		return
	}
	if page.AskPen(w, r, "/programme") {
		return
	}
	p, err := protocol.Parse("protocol", []byte(text))
	var no *protocol.Refusal
	if errors.As(err, &no) {
		d.refuse(w, r, text, no)
		return
	}
	var bodies []record.Body
	if err == nil {
		d.p.View(func(reg *register.Register) { bodies, err = adoption(reg, p) })
	}
	if err == nil {
		_, err = d.p.Keep(page.Who(r), d.now(), bodies...)
	}
	if err != nil {
		page.Refuse(w, r, http.StatusUnprocessableEntity, "Not adopted", sentence(err.Error()), "Go back: what you wrote is still in the form.")
		return
	}
	page.Go(w, r, page.Said("/programme", "The protocol is adopted: "+version(p.Version)+"."))
}

// protocolText is the file sent, else what was pasted.
func protocolText(r *http.Request) (string, error) {
	if err := r.ParseMultipartForm(4 << 20); err != nil && !errors.Is(err, http.ErrNotMultipart) {
		return "", fmt.Errorf("the form could not be read: %w", err)
	}
	if f, _, err := r.FormFile("file"); err == nil {
		defer f.Close()
		if text, err := io.ReadAll(f); err != nil || len(text) > 0 {
			return string(text), err
		}
	}
	if text := r.FormValue("text"); strings.TrimSpace(text) != "" {
		return text, nil
	}
	return "", fmt.Errorf("there is no protocol: choose a file, or paste its text")
}

// refuse shows what cannot stand in a protocol, each with its line and mend.
func (d *desk) refuse(w http.ResponseWriter, r *http.Request, text string, no *protocol.Refusal) {
	var p Programme
	var f page.Frame
	d.p.View(func(reg *register.Register) {
		words := wordsOf(reg, d.now())
		p = words.programme()
		f = page.FrameOf(r, "Programme", reg.Programme().Name, "", words.now)
		f.Wide = true
	})
	p.Draft = text
	p.Problems = strings.Split(no.Error(), "\n")
	page.AnswerAs(w, r, http.StatusUnprocessableEntity, p, programmePage(f, p))
}

// adoption is the line that adopts a protocol; the first one brings its seeds
// along.
func adoption(r *register.Register, p *protocol.Protocol) ([]record.Body, error) {
	before := r.Protocol().Version
	if before == p.Version {
		return nil, fmt.Errorf("this protocol is in force already (%s); nothing was written", version(p.Version))
	}
	out := []record.Body{record.Protocol{Version: p.Version, Replaces: before, Text: p.Text}}
	if before != "" {
		return out, nil
	}
	seeds, err := p.Seed()
	return append(out, seeds...), err
}

// writePerson, and those below, make one line of the book-keeping each.
func writePerson(_ words, f form) ([]record.Body, error) {
	if f.text("initials") == "" {
		return nil, fmt.Errorf("initials are missing; write one to eight letters or digits, like AB")
	}
	return []record.Body{record.Person{Initials: f.text("initials"), Name: f.text("name"), Role: f.text("role")}}, nil
}

func writeSite(_ words, f form) ([]record.Body, error) {
	if f.text("site") == "" || strings.ContainsAny(f.text("site"), "/ ") {
		return nil, fmt.Errorf("site %q: write a short code without spaces or slashes, like K", f.text("site"))
	}
	return []record.Body{record.Site{Site: f.text("site"), Name: f.text("name"), Note: f.text("note")}}, nil
}

// writeTrap enters a trap, or moves it: a new position from a night.
func writeTrap(w words, f form) ([]record.Body, error) {
	t := record.Trap{Site: f.text("site"), Trap: f.text("trap"), Type: f.text("type")}
	if t.Trap == "" {
		return nil, fmt.Errorf("the trap's name is missing; write it as on the flag, like A1")
	}
	if _, ok := w.Site(t.Site); !ok {
		return nil, fmt.Errorf("site %q: not written yet; add the site first", t.Site)
	}
	if err := readPosition(&t, f); err != nil {
		return nil, err
	}
	var err error
	if t.From, err = nightOrNone(f.text("from")); err != nil {
		return nil, err
	}
	if t.To, err = nightOrNone(f.text("to")); err != nil {
		return nil, err
	}
	if !t.To.IsZero() && t.To.Before(t.From) {
		return nil, fmt.Errorf("trap %s: taken up on %s, before it stood from %s", t.Trap, t.To, t.From)
	}
	return []record.Body{t}, nil
}

// readPosition reads a coordinate in any form that is known; none is fine too.
func readPosition(t *record.Trap, f form) error {
	if f.text("position") == "" {
		return nil
	}
	p, err := place.Parse(f.text("position"), place.Datum(f.text("datum")))
	if err != nil {
		return fmt.Errorf("trap %s: %w", t.Trap, err)
	}
	t.Lat, t.Lon, t.Datum = p.Lat, p.Lon, string(p.Datum)
	if s := f.text("err_m"); s != "" {
		m, err := strconv.ParseFloat(s, 64)
		if err != nil || !(m >= 0) {
			return fmt.Errorf("accuracy %q: write metres, like 5", s)
		}
		t.ErrM = m
	}
	return nil
}

func nightOrNone(s string) (record.Night, error) {
	if s == "" {
		return record.Night{}, nil
	}
	return record.ParseNight(s)
}

func writeTrip(_ words, f form) ([]record.Body, error) {
	t := record.Trip{
		Trip: f.text("trip"), Name: f.text("name"), Leader: f.text("leader"), Outside: f.text("outside"),
		Sites: split(f.text("sites")), Approvals: split(f.text("approvals")),
	}
	if t.Trip == "" || strings.ContainsAny(t.Trip, "/ ") {
		return nil, fmt.Errorf("trip %q: write a short id without spaces or slashes, like 2026-05", t.Trip)
	}
	var err error
	if t.First, err = nightOrNone(f.text("first")); err != nil {
		return nil, err
	}
	if t.Last, err = nightOrNone(f.text("last")); err != nil {
		return nil, err
	}
	if !t.Last.IsZero() && t.Last.Before(t.First) {
		return nil, fmt.Errorf("trip %s: its last night %s is before its first %s", t.Trip, t.Last, t.First)
	}
	return []record.Body{t}, nil
}

// split reads words with commas or spaces between.
func split(s string) []string {
	return strings.FieldsFunc(s, func(c rune) bool { return c == ',' || c == ';' || c == ' ' })
}

func writeLabels(_ words, f form) ([]record.Body, error) {
	if _, err := mark.ParseSeries(f.text("series")); err != nil {
		return nil, err
	}
	return []record.Body{record.Labels{Series: f.text("series"), Sample: f.text("sample"), Team: f.text("team")}}, nil
}

func writeTare(w words, f form) ([]record.Body, error) {
	if f.text("bag") == "" {
		return nil, fmt.Errorf("the bag's name or number is missing")
	}
	mass, err := record.ParseQuantity(f.text("mass"))
	if err != nil {
		return nil, fmt.Errorf("mass of bag %s in grams: %w", f.text("bag"), err)
	}
	return []record.Body{record.Tare{Bag: f.text("bag"), Mass: mass, At: w.now.UTC()}}, nil
}

func writeClock(_ words, f form) ([]record.Body, error) {
	seconds, err := strconv.Atoi(strings.TrimPrefix(f.text("seconds"), "+"))
	if err != nil {
		return nil, fmt.Errorf("seconds %q: write a whole number, positive where the clock was fast", f.text("seconds"))
	}
	if f.text("why") == "" {
		return nil, fmt.Errorf("how it was found out is missing; say what the clock was compared with")
	}
	return []record.Body{record.ClockOffset{Seconds: seconds, Why: f.text("why")}}, nil
}

func writeDevice(_ words, f form) ([]record.Body, error) {
	if f.text("name") == "" {
		return nil, fmt.Errorf("the device's name is missing; write one people use, like blue tablet")
	}
	return []record.Body{record.Device{Name: f.text("name")}}, nil
}

// Text writes the book-keeping for a terminal.
func (p Programme) Text(out io.Writer) {
	fmt.Fprintf(out, "%s; nights are told in %s\nprotocol %s, %s\n", p.Name, p.Zone, p.Protocol.Name, version(p.Protocol.Version))
	for _, x := range p.People {
		fmt.Fprintln(out, "person ", joined(", ", x.Initials, x.Name, x.Role))
	}
	for _, s := range p.Sites {
		fmt.Fprintln(out, "site   ", joined(", ", s.Site.Site, s.Name, page.Count(len(s.Traps), "trap", "traps")))
	}
	for _, t := range p.Trips {
		fmt.Fprintln(out, "trip   ", joined(", ", t.Trip, t.Name, page.Count(t.Captures, "capture", "captures")))
	}
	for _, l := range p.Labels {
		fmt.Fprintf(out, "labels  %s: %d of %d used\n", joined(" for ", l.Series, l.For), l.Used, l.Of)
	}
	for _, b := range p.Tares {
		fmt.Fprintf(out, "bag     %s: %s g\n", b.Bag, b.Mass.Typed)
	}
	fmt.Fprint(out, unreadWords(p.Unread))
}
