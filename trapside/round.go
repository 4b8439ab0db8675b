package trapside

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"time"

	"dawnround/page"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// RoundPage is the screen at dawn.
type RoundPage struct {
	Frame      page.Frame
	Where      Where
	Rounds     []RoundTab // rounds of nights not over, latest first
	Round      uuid.UUID  // nil: none is open here
	Number     int
	Ended      bool
	Clock      string // what the device's clock says against the night; empty: they agree
	Strip      []Stop
	Trap       Stop      // the one in hand; the next unseen, or the one tapped
	Capture    uuid.UUID // of the animal in it, should there be one
	Tapped     LastTap   // what was just written; the zero value: nothing
	Unseen     []string
	Unclosed   []string
	LastDawn   bool
	AskDawn    bool // the trip does not say which dawn is its last, and traps are open
	Bags       []Bag
	BagLimit   string
	Light      []page.Pair
	Weather    []string
	Bycatch    []page.Option
	Species    []page.Option // that are processed
	Asked      AskedMark
	Unfinished []Bag // animals of other sites and nights that never left the hand
	Says       string
	Fellows    []Fellow // the other devices on this round

	trips []register.Trip
}

// RoundTab is a round one may go to.
type RoundTab struct {
	Path, Says string
	On         bool
}

// Stop is one trap of the strip.
type Stop struct {
	Trap    string
	Outcome record.Outcome // empty: not seen
	Shape   string         // beside the word, so that colour is never alone
	Word    string
	Closed  bool
	Animals int
	On      bool
	Set     bool
	Other   string // the device that has seen it, while its line is not here
}

func (t *Trapside) showRound(w http.ResponseWriter, r *http.Request) {
	if page.AskPen(w, r, r.URL.RequestURI()) {
		return
	}
	p := RoundPage{Frame: t.frame(r, "Round", page.Round), Says: protocol.LimitsSay}
	t.fillRound(&p, r.URL.Query())
	t.tell(p.Frame.Who, p.Where, p.Round, "")
	p.others(t.fellows(p.Where))
	page.Answer(w, r, p, roundPage(p))
}

func (t *Trapside) fillRound(p *RoundPage, asked url.Values) {
	now := t.local()
	t.mu.Lock()
	defer t.mu.Unlock()
	t.programme.View(func(r *register.Register) {
		p.trips = r.Trips()
		p.find(r, asked, now)
		p.tabs(r)
		if p.Where.Site == "" {
			return
		}
		p.strip(r, asked.Get("trap"))
		p.Capture, p.Tapped = newID(), t.lastTap(r, p, asked.Get("line"))
		p.Asked = askedMark(r, p.Where.Night, asked)
		p.clock(now)
		p.Light = lightAt(r, p.Where, now.Location())
		p.Bags, p.Unfinished = t.bags(r, p.Where, now), t.unfinished(r, p, now)
		p.sheet(r)
	})
}

// title is the site and the round.
func (p *RoundPage) title() string {
	if p.Round == uuid.Nil {
		return p.Where.SiteName
	}
	return fmt.Sprintf("%s, round %d", p.Where.SiteName, p.Number)
}

// find is the round asked for, else the latest that is still open, else the
// latest night on which traps were set.
func (p *RoundPage) find(r *register.Register, asked url.Values, now time.Time) {
	if id, err := uuid.Parse(asked.Get("round")); err == nil {
		p.take(r, id)
	}
	if p.Round == uuid.Nil && asked.Get("site") == "" {
		if open := openRounds(r, p.trips); len(open) > 0 {
			p.take(r, open[len(open)-1].Round)
		}
	}
	if p.Round != uuid.Nil {
		return
	}
	if asked.Get("site") != "" {
		p.Where = whereOf(r, p.trips, asked, now)
	} else if last, ok := lastSet(r, p.trips); ok {
		p.Where = whereOf(r, p.trips, url.Values{"trip": {last.Trip}, "site": {last.Site}, "night": {last.Night.String()}}, now)
	}
	if rounds := r.Rounds(p.Where.Site, p.Where.Night); len(rounds) > 0 {
		p.Number = rounds[len(rounds)-1].Number
	}
}

func (p *RoundPage) take(r *register.Register, id uuid.UUID) {
	round, ended, ok := r.Round(id)
	if !ok {
		return
	}
	p.Round, p.Number, p.Ended = id, round.Number, ended
	p.Where = whereOf(r, p.trips, url.Values{"trip": {round.Trip}, "site": {round.Site}, "night": {round.Night.String()}}, time.Time{})
}

// openRounds are the rounds that nobody ended, by night and number.
func openRounds(r *register.Register, trips []register.Trip) []record.Round {
	var open []record.Round
	for _, trip := range trips {
		for _, n := range trip.Nights {
			for _, round := range r.Rounds(n.Site, n.Night) {
				if _, ended, _ := r.Round(round.Round); !ended {
					open = append(open, round)
				}
			}
		}
	}
	slices.SortStableFunc(open, func(a, b record.Round) int {
		return cmp.Or(a.Night.Compare(b.Night), a.Opened.Compare(b.Opened))
	})
	return open
}

// lastSet is the latest site and night on which traps were set.
func lastSet(r *register.Register, trips []register.Trip) (Where, bool) {
	var last Where
	for _, trip := range trips {
		for _, n := range trip.Nights {
			if set, _ := r.NightAt(n.Site, n.Night).Set(); len(set) > 0 && !n.Night.Before(last.Night) {
				last = Where{Trip: trip.Trip.Trip, Site: n.Site, Night: n.Night}
			}
		}
	}
	return last, last.Site != ""
}

// tabs are the open rounds, and the sites and nights set without a round.
func (p *RoundPage) tabs(r *register.Register) {
	for _, round := range slices.Backward(openRounds(r, p.trips)) {
		p.Rounds = append(p.Rounds, RoundTab{
			Path: "/round?round=" + round.Round.String(), On: round.Round == p.Round,
			Says: fmt.Sprintf("%s round %d · %s", round.Site, round.Number, round.Night.Noon(time.UTC).Format("2 Jan")),
		})
	}
	trips := p.trips
	if len(trips) == 0 {
		return
	}
	for _, n := range slices.Backward(trips[len(trips)-1].Nights) {
		set, _ := r.NightAt(n.Site, n.Night).Set()
		if len(set) == 0 || len(r.Rounds(n.Site, n.Night)) > 0 || len(p.Rounds) > 5 {
			continue
		}
		at := Where{Trip: trips[len(trips)-1].Trip.Trip, Site: n.Site, Night: n.Night}
		p.Rounds = append(p.Rounds, RoundTab{
			Path: "/round?" + at.Query(), On: p.Round == uuid.Nil && at.Site == p.Where.Site && at.Night == p.Where.Night,
			Says: fmt.Sprintf("%s set, no round yet · %s", n.Site, n.Night.Noon(time.UTC).Format("2 Jan")),
		})
	}
}

var shapes = map[record.Outcome]string{
	"": "○", record.OutcomeCapture: "●", record.OutcomeEmpty: "–", record.OutcomeSprung: "×", record.OutcomeBaitTaken: "∿",
	record.OutcomeEscaped: "↗", record.OutcomeDisabled: "⊘", record.OutcomeNotSet: "·", record.OutcomeNotChecked: "?",
}

// strip is the traps in walking order, with what each held at this round.
func (p *RoundPage) strip(r *register.Register, tapped string) {
	night := r.NightAt(p.Where.Site, p.Where.Night)
	p.Unseen, p.Unclosed = night.Unseen(p.Round), night.Unclosed()
	slices.SortFunc(p.Unseen, record.Naturally)
	slices.SortFunc(p.Unclosed, record.Naturally)
	set, _ := night.Set()
	for _, t := range walking(r, p.Where.Site, p.Where.Night) {
		s := Stop{Trap: t.Trap, Set: slices.Contains(set, t.Trap), Closed: closed(night, t.Trap)}
		for _, c := range night.Checks {
			if c.Round == p.Round && c.Trap == t.Trap {
				s.Outcome, s.Animals = c.Outcome, len(c.Captures)
			}
		}
		s.Shape, s.Word = shapes[s.Outcome], string(s.Outcome)
		if s.Outcome == "" {
			s.Word = "not seen"
		}
		if !s.Set && s.Outcome == "" {
			s.Shape, s.Word = "·", "not set"
		}
		p.Strip = append(p.Strip, s)
	}
	p.inHand(tapped)
	trip, _ := tripIn(p.trips, p.Where.Trip)
	p.LastDawn = !trip.Last.IsZero() && !p.Where.Night.Before(trip.Last)
	p.AskDawn = trip.Last.IsZero() && len(p.Unclosed) > 0
}

func closed(n register.Night, trap string) bool {
	return slices.ContainsFunc(n.Closings, func(c record.Closing) bool { return slices.Contains(c.Traps, trap) })
}

// inHand marks the trap that was tapped, else the next unseen in walking order.
func (p *RoundPage) inHand(tapped string) {
	if tapped == "" && len(p.Unseen) > 0 {
		tapped = p.Unseen[0]
	}
	for i := range p.Strip {
		if p.Strip[i].Trap == tapped {
			p.Strip[i].On = true
			p.Trap = p.Strip[i]
		}
	}
}

// clock says so when the device's clock is not within the night and the day
// after it.
func (p *RoundPage) clock(now time.Time) {
	noon := p.Where.Night.Noon(now.Location())
	if now.Before(noon) || now.After(noon.Add(30*time.Hour)) {
		p.Clock = fmt.Sprintf("This device's clock says %s. The round belongs to the %s all the same; see whether the clock is wrong.",
			now.Format("15:04 on 2 January 2006"), p.Where.Words())
	}
}

// sheet is what stands beneath the strip.
func (p *RoundPage) sheet(r *register.Register) {
	for _, s := range r.Protocol().Species {
		if s.Bycatch {
			p.Bycatch = append(p.Bycatch, page.Option{Value: s.Code, Says: s.Name})
		} else {
			p.Species = append(p.Species, page.Option{Value: s.Code, Says: s.Name, On: s.Code == p.Tapped.Species})
		}
	}
	if value, source, on := r.Protocol().Limit("bag minutes"); on {
		p.BagLimit = fmt.Sprintf("%v min (%s)", value, source)
	}
	for _, w := range r.NightAt(p.Where.Site, p.Where.Night).Weather {
		p.Weather = append(p.Weather, weatherWords(w))
	}
}

func (t *Trapside) openRound(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	at, err := t.where(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	number := 1
	t.programme.View(func(reg *register.Register) {
		for _, round := range reg.Rounds(at.Site, at.Night) {
			number = max(number, round.Number+1)
		}
	})
	round := record.Round{Round: newID(), Trip: at.Trip, Site: at.Site, Night: at.Night, Number: number, Opened: t.now()}
	t.keepLines(w, r, who, "/round?round="+round.Round.String(), round)
	t.mu.Lock()
	defer t.mu.Unlock()
	t.know()
}

// newID mints the id of a round, a capture or a young.
func newID() uuid.UUID { return uuid.Must(uuid.NewV7()) }

// roundOf is the open round of a form.
func (t *Trapside) roundOf(r *http.Request) (record.Round, error) {
	id, err := uuid.Parse(r.FormValue("round"))
	if err != nil {
		return record.Round{}, fmt.Errorf("round %q: not an id; open a round first", r.FormValue("round"))
	}
	var round record.Round
	var ok bool
	t.programme.View(func(reg *register.Register) { round, _, ok = reg.Round(id) })
	if !ok {
		return round, fmt.Errorf("round %s: not in this notebook; open a round first", id)
	}
	return round, nil
}

// closeTraps writes traps shut: one, or all that were set and are not yet.
func (t *Trapside) closeTraps(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	round, err := t.roundOf(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	c := record.Closing{Trip: round.Trip, Site: round.Site, Night: round.Night, At: t.now(), Traps: r.Form["trap"]}
	t.programme.View(func(reg *register.Register) {
		for _, trap := range c.Traps {
			err = cmp.Or(err, stands(reg, round.Site, round.Night, trap))
		}
		if len(c.Traps) == 0 {
			c.Traps = reg.NightAt(round.Site, round.Night).Unclosed()
		}
	})
	if err != nil {
		wrong(w, r, err)
		return
	}
	to := "/round?round=" + round.Round.String() + "#closing"
	if len(c.Traps) == 0 {
		page.Go(w, r, to)
		return
	}
	t.keepLines(w, r, who, to, c)
}

// endRound ends a round that has seen every set trap. On the last dawn every
// trap must be written closed too; where the trip does not say which dawn that
// is, whoever ends the round does.
func (t *Trapside) endRound(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	round, err := t.roundOf(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	p := RoundPage{}
	t.fillRound(&p, url.Values{"round": {round.Round.String()}})
	if dawn := r.FormValue("dawn"); p.AskDawn && dawn != "another" {
		p.LastDawn = dawn == "last"
		if dawn == "" && len(p.Unseen) == 0 {
			page.Refuse(w, r, http.StatusConflict, "Is this the last dawn?", askDawn, "Go back to the round and say which it is.")
			return
		}
	}
	if why := p.open(); why != "" {
		page.Refuse(w, r, http.StatusConflict, "The round is not over", why, "Go back to the round, see to those traps, and write what each held.")
		return
	}
	to := page.Said("/round?round="+round.Round.String(), fmt.Sprintf("round %d ended: every trap that was set has been seen", round.Number))
	t.keepLines(w, r, who, to, record.RoundEnd{Round: round.Round, At: t.now()})
}

const askDawn = "The trip does not say which dawn is its last. On the last one every trap must be written closed: an open trap kills."

// open says why a round cannot end, or nothing.
func (p *RoundPage) open() string {
	switch {
	case len(p.Unseen) > 0:
		return page.Count(len(p.Unseen), "trap was", "traps were") + " set and not seen: " + page.List(p.Unseen) + ". An animal may be in there."
	case p.LastDawn && len(p.Unclosed) > 0:
		return "This is the last dawn of the trip, and nobody wrote that these traps are closed: " + page.List(p.Unclosed) + ". An open trap kills."
	}
	return ""
}
