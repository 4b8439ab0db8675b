package trapside

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"dawnround/check"
	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// SetPage is the screen at dusk.
type SetPage struct {
	Frame   page.Frame
	Where   Where
	Trips   []page.Option
	Sites   []page.Option
	Traps   []SetTrap
	Set     int // how many are set
	Written bool
	First   string // time of the first and of the last trap set, as written
	Last    string
	Light   []page.Pair // dusk and dawn at the site
	Rest    []Known     // animals to rest
	RestBy  string      // the limit that says so
	Watch   []Known     // animals and places with something to do
	Limits  []Limit
	Says    string // who decides
}

// Where is a trip, a site and a night.
type Where struct {
	Trip, TripName, Site, SiteName string
	Night                          record.Night
}

// Words is the night as people say it.
func (w Where) Words() string { return page.NightWords(w.Night.Noon(time.UTC)) }

// Query is the address of this place and night.
func (w Where) Query() string {
	return url.Values{"trip": {w.Trip}, "site": {w.Site}, "night": {w.Night.String()}}.Encode()
}

// SetTrap is one planned trap at dusk.
type SetTrap struct {
	Trap, Type string
	Set        bool
	Not        bool
	Why        string
}

// Known is an animal, or a place, with what should be known of it.
type Known struct {
	Name string // its mark's tail and sex
	Says string
	Path string `json:"path,omitempty"`
}

func (t *Trapside) showSet(w http.ResponseWriter, r *http.Request) {
	if page.AskPen(w, r, r.URL.RequestURI()) {
		return
	}
	p := SetPage{Frame: t.frame(r, "Set", page.Set), Says: protocol.LimitsSay}
	t.programme.View(func(reg *register.Register) { p.fill(reg, r.URL.Query(), t.local()) })
	page.Answer(w, r, p, setPage(p))
}

func (p *SetPage) fill(r *register.Register, asked url.Values, now time.Time) {
	trips := r.Trips()
	p.Where = whereOf(r, trips, asked, now)
	for _, t := range slices.Backward(trips) {
		p.Trips = append(p.Trips, page.Option{Value: t.Trip.Trip, Says: tripName(t.Trip), On: t.Trip.Trip == p.Where.Trip})
	}
	for _, s := range r.Sites() {
		p.Sites = append(p.Sites, page.Option{Value: s.Site, Says: siteName(s), On: s.Site == p.Where.Site})
	}
	p.Limits = limits(r.Protocol())
	if p.Where.Trip == "" || p.Where.Site == "" {
		return
	}
	p.traps(r, now.Location())
	p.Light = lightAt(r, p.Where, now.Location())
	p.rest(r)
	p.Watch = watch(r, p.Where)
}

// whereOf is the trip, site and night asked for, or else the latest trip, its
// first site and the night that the clock proposes.
func whereOf(r *register.Register, trips []register.Trip, asked url.Values, now time.Time) Where {
	w := Where{Trip: asked.Get("trip"), Site: asked.Get("site"), Night: nightNow(now)}
	if n, err := record.ParseNight(asked.Get("night")); err == nil {
		w.Night = n
	}
	if w.Trip == "" && len(trips) > 0 {
		w.Trip = trips[len(trips)-1].Trip.Trip
	}
	trip, ok := tripIn(trips, w.Trip)
	if ok {
		w.TripName = tripName(trip.Trip)
	}
	if w.Site == "" && len(trip.Sites) > 0 {
		w.Site = trip.Sites[0]
	}
	if sites := r.Sites(); w.Site == "" && len(sites) > 0 {
		w.Site = sites[0].Site
	}
	site, _ := r.Site(w.Site)
	w.SiteName = siteName(site)
	return w
}

func tripIn(trips []register.Trip, id string) (register.Trip, bool) {
	i := slices.IndexFunc(trips, func(t register.Trip) bool { return t.Trip.Trip == id })
	if i < 0 {
		return register.Trip{}, false
	}
	return trips[i], true
}

func tripName(t record.Trip) string {
	if t.Name == "" {
		return t.Trip
	}
	return t.Name
}

func siteName(s record.Site) string {
	if s.Name == "" {
		return s.Site
	}
	return s.Site + " " + s.Name
}

// walking are the traps of a site on a night in walking order.
func walking(r *register.Register, site string, night record.Night) []record.Trap {
	traps := r.Traps(site, night)
	slices.SortFunc(traps, func(a, b record.Trap) int { return record.Naturally(a.Trap, b.Trap) })
	return traps
}

func (p *SetPage) traps(r *register.Register, zone *time.Location) {
	night := r.NightAt(p.Where.Site, p.Where.Night)
	set, not := night.Set()
	p.Written, p.Set = len(night.Settings) > 0, len(set)
	for _, t := range walking(r, p.Where.Site, p.Where.Night) {
		s := SetTrap{Trap: t.Trap, Type: t.Type, Set: slices.Contains(set, t.Trap)}
		for _, n := range not {
			if n.Trap == t.Trap {
				s.Not, s.Why = true, n.Why
			}
		}
		p.Traps = append(p.Traps, s)
	}
	for _, s := range night.Settings {
		if !s.First.IsZero() {
			p.First = page.Clock(s.First.In(zone))
		}
		if !s.Last.IsZero() {
			p.Last = page.Clock(s.Last.In(zone))
		}
	}
}

// rest finds the animals caught as many nights running as the limit allows,
// up to the night before.
func (p *SetPage) rest(r *register.Register) {
	most, source, on := r.Protocol().Limit("consecutive nights")
	if !on {
		return
	}
	p.RestBy = fmt.Sprintf("caught %v nights running (%s)", most, source)
	for _, c := range r.CapturesOn(p.Where.Site, p.Where.Night.Add(-1)) {
		if c.Released != nil && c.Released.Fate.Ends() {
			continue
		}
		a, ok := r.Animal(c.ID())
		if !ok {
			continue
		}
		if n := check.NightsRunning(a.Captures, c.At.Night); float64(n) >= most {
			p.Rest = append(p.Rest, Known{Name: nameOf(r, c.Animal), Says: fmt.Sprintf("%s running, last in %s", page.Count(n, "night", "nights"), c.At.Trap), Path: "/animal/" + c.Animal.String()})
		}
	}
}

// watch lists what is open: follow-ups, and animals of this trip and site that
// lack a sample which is taken once.
func watch(r *register.Register, w Where) []Known {
	var out []Known
	for _, f := range r.FollowUps() {
		if f.Done == nil {
			out = append(out, Known{Name: onWords(r, f.On), Says: f.What})
		}
	}
	seen := map[uuid.UUID]bool{}
	for _, c := range r.Captures() {
		if c.At.Site != w.Site || c.At.Trip != w.Trip || c.Handled == nil || seen[c.Animal] {
			continue
		}
		seen[c.Animal] = true
		sheet, ok := r.Protocol().Sheet(c.Species())
		if !ok || sheet.Bycatch {
			continue
		}
		if lacks := unsampled(r, c.Animal); len(lacks) > 0 {
			out = append(out, Known{Name: nameOf(r, c.Animal), Says: "no " + page.List(lacks) + " yet", Path: "/animal/" + c.Animal.String()})
		}
	}
	return out
}

// onWords says what a follow-up is about.
func onWords(r *register.Register, on string) string {
	if id, err := uuid.Parse(on); err == nil {
		return nameOf(r, id)
	}
	return on
}

// unsampled are the kinds of sample, taken once per animal, that an animal has
// not given.
func unsampled(r *register.Register, animal uuid.UUID) []string {
	a, ok := r.Animal(animal)
	if !ok {
		return nil
	}
	var lacks []string
	for _, k := range r.Protocol().Samples {
		taken := slices.ContainsFunc(a.Captures, func(c *register.Capture) bool {
			return c.Handled != nil && slices.ContainsFunc(c.Handled.Samples, func(s record.Sample) bool { return s.Kind == k.ID })
		})
		if k.Once && !taken {
			lacks = append(lacks, k.Name)
		}
	}
	return lacks
}

// where reads the trip, site and night of a form; trip and site must be in the
// notebook.
func (t *Trapside) where(r *http.Request) (Where, error) {
	night, err := record.ParseNight(r.FormValue("night"))
	w := Where{Trip: r.FormValue("trip"), Site: r.FormValue("site"), Night: night}
	if err == nil && (w.Trip == "" || w.Site == "") {
		err = fmt.Errorf("trip %q, site %q: both are needed; choose them first", w.Trip, w.Site)
	}
	if err == nil {
		t.programme.View(func(reg *register.Register) { err = exist(reg, w) })
	}
	return w, err
}

// exist says why there is no such trip or site, or nothing.
func exist(r *register.Register, w Where) error {
	trips := r.Trips()
	if _, ok := tripIn(trips, w.Trip); !ok {
		var ids []string
		for _, t := range trips {
			ids = append(ids, t.Trip.Trip)
		}
		return fmt.Errorf("trip %q: not open; there %s: choose one, or open it first", w.Trip, thereAre(ids))
	}
	if _, ok := r.Site(w.Site); !ok {
		var codes []string
		for _, s := range r.Sites() {
			codes = append(codes, s.Site)
		}
		return fmt.Errorf("site %q: not in this notebook; there %s", w.Site, thereAre(codes))
	}
	return nil
}

// stands says why no such trap stands at a site on a night, or nothing.
func stands(r *register.Register, site string, night record.Night, trap string) error {
	if trap == "" {
		return fmt.Errorf("no trap was named; tap the one you mean")
	}
	var names []string
	for _, t := range walking(r, site, night) {
		names = append(names, t.Trap)
	}
	set, _ := r.NightAt(site, night).Set()
	if slices.Contains(names, trap) || slices.Contains(set, trap) {
		return nil
	}
	return fmt.Errorf("trap %q: none at %s on %s; there %s: tap one, or add it under Programme first", trap, site, night, thereAre(names))
}

func thereAre(names []string) string {
	switch len(names) {
	case 0:
		return "is none yet"
	case 1:
		return "is " + names[0]
	}
	return "are " + page.List(names)
}

func (t *Trapside) openTrip(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	trip := record.Trip{Trip: strings.TrimSpace(r.FormValue("trip")), Name: strings.TrimSpace(r.FormValue("name")), Sites: r.Form["site"], Leader: r.FormValue("leader")}
	if trip.Trip == "" {
		wrong(w, r, fmt.Errorf("trip: nothing written; give it a short name of its own, like 2026-05"))
		return
	}
	var err error
	for field, to := range map[string]*record.Night{"first": &trip.First, "last": &trip.Last} {
		if text := r.FormValue(field); text != "" && err == nil {
			*to, err = record.ParseNight(text)
		}
	}
	if err == nil && !trip.Last.IsZero() && trip.Last.Before(trip.First) {
		err = fmt.Errorf("last night %s is before the first, %s; exchange them", trip.Last, trip.First)
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	t.keepLines(w, r, who, "/set?trip="+url.QueryEscape(trip.Trip), trip)
}

// setAll writes all planned traps set, but those already written not set.
func (t *Trapside) setAll(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	at, err := t.where(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	s := record.Setting{Trip: at.Trip, Site: at.Site, Night: at.Night}
	zone := t.zone()
	for field, to := range map[string]*time.Time{"first": &s.First, "last": &s.Last} {
		if *to, err = clockOn(at.Night, r.FormValue(field), zone); err != nil {
			wrong(w, r, err)
			return
		}
	}
	t.programme.View(func(reg *register.Register) { s.Set, s.Not = planned(reg, at) })
	if len(s.Set)+len(s.Not) == 0 {
		wrong(w, r, fmt.Errorf("site %s: no trap stands there on %s; add its traps first", at.Site, at.Night))
		return
	}
	t.keepLines(w, r, who, page.Said("/set?"+at.Query(), page.Count(len(s.Set), "trap", "traps")+" written set"), s)
}

// planned are the traps of a site that stand on a night, less those written
// not set.
func planned(r *register.Register, at Where) (set []string, not []record.NotSet) {
	_, not = r.NightAt(at.Site, at.Night).Set()
	for _, t := range walking(r, at.Site, at.Night) {
		if !slices.ContainsFunc(not, func(n record.NotSet) bool { return n.Trap == t.Trap }) {
			set = append(set, t.Trap)
		}
	}
	return set, not
}

// setTrap writes one trap set, or not set and why.
func (t *Trapside) setTrap(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	at, err := t.where(r)
	trap := r.FormValue("trap")
	if err == nil {
		t.programme.View(func(reg *register.Register) { err = stands(reg, at.Site, at.Night, trap) })
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	s := record.Setting{Trip: at.Trip, Site: at.Site, Night: at.Night}
	if r.FormValue("set") == "yes" {
		s.Set = []string{trap}
	} else {
		s.Not = []record.NotSet{{Trap: trap, Why: strings.TrimSpace(r.FormValue("why"))}}
	}
	t.keepLines(w, r, who, "/set?"+at.Query()+"#traps", s)
}

// clockOn is a time of day on the evening of a night, or in the small hours
// after it; the zero time where nothing is written.
func clockOn(night record.Night, text string, zone *time.Location) (time.Time, error) {
	if text = strings.TrimSpace(text); text == "" {
		return time.Time{}, nil
	}
	clock, err := time.Parse("15:04", text)
	if err != nil {
		return time.Time{}, fmt.Errorf("time %q: expected hours and minutes; write it like 17:40", text)
	}
	day := night
	if clock.Hour() < 12 {
		day = night.Add(1)
	}
	return time.Date(day.Year, time.Month(day.Month), day.Day, clock.Hour(), clock.Minute(), 0, 0, zone), nil
}
