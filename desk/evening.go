package desk

import (
	"cmp"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"dawnround/answer"
	"dawnround/notebook"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// Evening is one night looked over while the crew remembers: what can only be
// settled tonight, whether all is accounted for, and the day as it was
// written.
type Evening struct {
	Night     record.Night   `json:"night"`
	Words     string         `json:"words"`
	Sites     []string       `json:"sites"`
	Nobody    string         `json:"nobody,omitempty"`  // that no line tells of this night, and which are told of
	Earlier   string         `json:"earlier,omitempty"` // the nights before and after of which anything is known
	Later     string         `json:"later,omitempty"`
	Open      []Item         `json:"open"` // the most pressing first
	Accounts  []Account      `json:"accounts"`
	Labels    []LabelCount   `json:"labels"`
	FollowUps []Task         `json:"follow_ups"`
	Page      []Written      `json:"page"`
	Unread    map[string]int `json:"unread,omitempty"` // lines this version cannot read, by kind, in the whole notebook
}

// Item is one thing to settle: what is the matter, what to do, and the form
// that does it.
type Item struct {
	Kind     ItemKind     `json:"kind"`
	What     string       `json:"what"`
	Do       string       `json:"do"`
	Capture  *uuid.UUID   `json:"capture,omitempty"`
	Line     *uuid.UUID   `json:"line,omitempty"`
	Flag     *Flag        `json:"flag,omitempty"`
	Versions []Version    `json:"versions,omitempty"` // one of them is to be chosen
	Both     []Version    `json:"both,omitempty"`     // lines that do not go together, to be looked at
	Site     string       `json:"site,omitempty"`
	Traps    []string     `json:"traps,omitempty"`
	Round    uuid.UUID    `json:"round,omitzero"`
	Night    record.Night `json:"-"`
}

// ItemKind orders the evening: a trap nobody looked into comes before a number
// that looks odd.
type ItemKind string

// The kinds in their order.
const (
	Unseen      ItemKind = "trap not seen"
	Unclosed    ItemKind = "trap not closed"
	Unreleased  ItemKind = "never released"
	Unfinished  ItemKind = "unfinished"
	CannotBe    ItemKind = "cannot be"
	OverLimit   ItemKind = "over the limit"
	TwoVersions ItemKind = "two versions"
	LookAgain   ItemKind = "look again"
)

var itemOrder = []ItemKind{Unseen, Unclosed, Unreleased, Unfinished, CannotBe, OverLimit, TwoVersions, LookAgain}

// Account is two counts that must agree.
type Account struct {
	Of     string `json:"of"`
	Left   string `json:"left"`
	Right  string `json:"right"`
	Agrees bool   `json:"agrees"`
	Untold bool   `json:"untold,omitempty"` // nobody wrote what would have to agree
}

func (d *desk) evening(w http.ResponseWriter, r *http.Request) {
	unfinished := d.unfinished()
	d.show(w, r, func(words words) shown {
		night, err := record.ParseNight(r.FormValue("night"))
		if err != nil {
			night = words.lastNight()
		}
		e := words.evening(night, unfinished)
		return shown{"Evening", page.Evening, e, func(f page.Frame) templ.Component { return eveningPage(f, e) }}
	})
}

// unfinished counts the drafts left open on this device.
func (d *desk) unfinished() int {
	n := 0
	for _, s := range d.drafts {
		drafts, err := s.All()
		if err != nil {
			panic(err) // the store that holds the notebook cannot be read
		}
		n += len(drafts)
	}
	return n
}

// EveningPage is one night looked over; the zero night asks for the latest.
// unfinished is how many drafts lie on this device.
func EveningPage(r *register.Register, night record.Night, unfinished int, now time.Time) Evening {
	w := wordsOf(r, now)
	if night.IsZero() {
		night = w.lastNight()
	}
	return w.evening(night, unfinished)
}

// lastNight is the latest night whose dawn has come, of which anything is
// known: traps set this evening are not looked over before they are cleared.
func (w words) lastNight() record.Night {
	nights := w.SiteNights()
	for _, sn := range slices.Backward(nights) {
		if !w.now.Before(w.noon(sn.Night).Add(dawnAfter)) {
			return sn.Night
		}
	}
	if len(nights) > 0 {
		return nights[0].Night
	}
	return record.NightOf(w.now)
}

// dawnAfter is when, after noon of its evening, a night's round may have begun,
// and clearedAfter by when its traps are seen and closed, wherever it is.
// Common practice, no source.
const dawnAfter, clearedAfter = 15 * time.Hour, 24 * time.Hour

func (w words) evening(night record.Night, unfinished int) Evening {
	noon := w.noon(night)
	e := Evening{Night: night, Words: page.NightWords(noon), Unread: w.Unread()}
	for _, sn := range w.SiteNights() {
		switch c := sn.Night.Compare(night); {
		case c < 0:
			e.Earlier = sn.Night.String()
		case c == 0:
			e.Sites = append(e.Sites, sn.Site)
		case e.Later == "":
			e.Later = sn.Night.String()
		}
	}
	slices.SortFunc(e.Sites, record.Naturally)
	e.Nobody = e.nobody()
	var captures []*register.Capture
	sum := counts{}
	for _, site := range e.Sites {
		n := w.NightAt(site, night)
		e.Open = append(e.Open, w.openTraps(n, &sum)...)
		sum.counted += w.countedOnly(n)
		captures = append(captures, w.CapturesOn(site, night)...)
	}
	for _, c := range captures {
		e.Open = append(e.Open, w.openCapture(c)...)
		sum.animal(c)
	}
	e.Open = append(e.Open, w.openBefore(night)...)
	e.Open = append(e.Open, w.openElsewhere(unfinished)...)
	slices.SortStableFunc(e.Open, func(a, b Item) int {
		return cmp.Compare(slices.Index(itemOrder, a.Kind), slices.Index(itemOrder, b.Kind))
	})
	if e.Nobody == "" {
		e.Accounts = sum.accounts()
	}
	e.Labels = w.labelCounts(captures)
	e.FollowUps = w.due(noon.AddDate(0, 0, 2))
	from, to := w.window(e)
	e.Page = w.written(w.LinesOf(night, from, to), night)
	return e
}

// nobody says that no line tells of a night, and the nearest that are told of.
func (e Evening) nobody() string {
	none := "No line tells of this night. "
	earlier, _ := record.ParseNight(e.Earlier)
	later, _ := record.ParseNight(e.Later)
	switch {
	case len(e.Sites) > 0:
		return ""
	case e.Earlier == "" && e.Later == "":
		return none + "None is known yet: set the traps, or bring in a table."
	case e.Earlier == "":
		return none + "The first known is " + short(later) + "."
	case e.Later == "":
		return none + "The last known is " + short(earlier) + "."
	}
	return none + "The nearest known are " + short(earlier) + " and " + short(later) + "."
}

// window is the time in which a line about no night belongs to this page: from
// noon of the night to noon of the next one known, or for two days.
func (w words) window(e Evening) (from, to time.Time) {
	from = w.noon(e.Night)
	to = from.AddDate(0, 0, 2)
	if e.Earlier == "" && e.Nobody == "" {
		from = time.Time{}
	}
	if later, err := record.ParseNight(e.Later); err == nil && w.noon(later).Before(to) {
		to = w.noon(later)
	}
	return from, to
}

// counts are what the accounts of a night compare; counted are traps that no
// line names.
type counts struct{ set, counted, seen, bagged, released int }

func (s *counts) animal(c *register.Capture) {
	if c.Bagged != nil || c.Handled != nil {
		s.bagged++
		if !c.Open() {
			s.released++
		}
	}
}

func (s counts) accounts() []Account {
	traps := Account{Of: "traps", Left: fmt.Sprintf("%d set", s.set), Right: fmt.Sprintf("%d accounted for", s.seen), Agrees: s.set == s.seen}
	switch {
	case s.counted > 0 && s.set == 0:
		traps = Account{Of: "traps", Left: page.Count(s.counted, "trap", "traps") + " counted", Right: "none named", Untold: true}
	case s.counted > 0:
		traps.Right += fmt.Sprintf("; %d more counted, not named", s.counted)
	case s.set == 0:
		traps = Account{Of: "traps", Left: "nobody wrote which traps were set", Right: "so none can be counted", Untold: true}
	}
	return []Account{traps, {
		Of: "animals", Left: fmt.Sprintf("%d bagged or handled", s.bagged), Right: fmt.Sprintf("%d released or otherwise accounted for", s.released),
		Agrees: s.bagged == s.released,
	}}
}

// countedOnly is how many traps of a site and night were counted and not
// named, over the trips that were there.
func (w words) countedOnly(n register.Night) int {
	sum, seen := 0, map[string]bool{}
	for _, e := range w.Efforts() {
		if e.Site != n.Site || e.Night != n.Night || seen[e.Trip] {
			continue
		}
		seen[e.Trip] = true
		if row, _ := answer.Night(w.Register, e.Trip, n.SiteNight); !row.PerTrap {
			sum += row.TrapNights
		}
	}
	return sum
}

// openTraps finds the traps of a site that nobody looked into, and those that
// nobody closed and nobody set again.
func (w words) openTraps(n register.Night, sum *counts) []Item {
	set, _ := n.Set()
	sum.set += len(set)
	var out []Item
	var unseen []string
	var round record.Round
	over := !w.now.Before(w.noon(n.Night).Add(clearedAfter))
	rounds := w.Rounds(n.Site, n.Night)
	if len(rounds) == 0 {
		unseen = n.Unseen(uuid.UUID{})
	}
	for _, b := range rounds {
		round, unseen = b, n.Unseen(b.Round)
		if _, ended, _ := w.Round(b.Round); len(unseen) > 0 {
			over = over || ended
			break
		}
	}
	sum.seen += len(set) - len(unseen)
	if !over {
		return nil // the round is still to come, or under way
	}
	if len(unseen) > 0 {
		what := fmt.Sprintf("%s: set and never looked into", trapAt(n.Site, traps(unseen)))
		out = append(out, Item{Kind: Unseen, What: what, Do: "Ask who cleared this line, or go and look now: an animal may be in it.",
			Site: n.Site, Night: n.Night, Traps: unseen, Round: round.Round})
	}
	again := w.NightAt(n.Site, n.Night.Add(1))
	next, _ := again.Set()
	left := slices.DeleteFunc(n.Unclosed(), func(t string) bool { return slices.Contains(next, t) || slices.Contains(unseen, t) })
	if len(left) > 0 {
		what := fmt.Sprintf("%s: nobody wrote that %s closed", trapAt(n.Site, traps(left)), plural(len(left), "it was", "they were"))
		out = append(out, Item{Kind: Unclosed, What: what, Do: "An open trap catches unseen. Closed for certain? Then write it; else go and look.",
			Site: n.Site, Night: n.Night, Traps: left})
	}
	return out
}

// at says which animal and where: "…0311 at K4".
func (w words) at(c *register.Capture) string {
	name := w.name(c.Animal)
	if strings.Contains(name, spot(c)) {
		return name
	}
	return name + " at " + spot(c)
}

func plural(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// openCapture finds what is open about one capture.
func (w words) openCapture(c *register.Capture) []Item {
	id := c.ID()
	name := w.at(c)
	var out []Item
	if c.Open() {
		out = append(out, Item{Kind: Unreleased, Capture: &id, What: name + ": no release written",
			Night: c.At.Night, Do: "Where is the animal? If it was let go, say when and where; a bag may be hanging somewhere."})
	}
	for _, f := range w.flagsOf(id) {
		kind := map[record.Grade]ItemKind{record.Stop: CannotBe, record.Look: LookAgain}[f.Grade]
		if kind == CannotBe && f.Limit {
			kind = OverLimit
		}
		if f.Settled || kind == "" || f.Rule == "two versions" { // both versions are shown below
			continue
		}
		out = append(out, Item{Kind: kind, Capture: &id, What: name + ": " + f.Says, Flag: &f, Do: "Ask whoever held it, or measure again if it comes back.", Both: w.bothOf(f, c)})
	}
	return append(out, w.disputes(c)...)
}

// disputed is what two lines disagree about.
func (w words) disputed(d register.Disagreement) string {
	if e, ok := w.Line(d.Lines[0]); ok {
		if c, ok := e.Body.(record.Correction); ok {
			return w.fieldOf(c.Line, d.Field).Label
		}
	}
	return part(d.Field)
}

// sinceWhen is for how many nights before this one two versions are asked
// about: a trip is rarely longer, and the crew still remembers.
const sinceWhen = 10

// openBefore finds two versions of captures of the nights before.
func (w words) openBefore(night record.Night) []Item {
	var out []Item
	for _, sn := range w.SiteNights() {
		if days := night.Days(sn.Night); days < 1 || days > sinceWhen {
			continue
		}
		for _, c := range w.CapturesOn(sn.Site, sn.Night) {
			out = append(out, w.disputes(c)...)
		}
	}
	return out
}

// disputes are the two versions within one capture.
func (w words) disputes(c *register.Capture) []Item {
	id := c.ID()
	var out []Item
	for _, d := range c.Disagree {
		out = append(out, Item{Kind: TwoVersions, Capture: &id, Night: c.At.Night, Versions: w.versions(d),
			What: w.at(c) + ", " + short(c.At.Night) + ": two versions of " + w.disputed(d),
			Do:   "Ask both, then choose; the other stays visible."})
	}
	return out
}

// openElsewhere finds what is open that belongs to no capture of the night.
func (w words) openElsewhere(unfinished int) []Item {
	var out []Item
	if unfinished > 0 {
		out = append(out, Item{Kind: Unfinished, What: page.Count(unfinished, "animal", "animals") + " still in the making on this device",
			Do: "Open Round and finish or leave each; nothing of it is lost meanwhile."})
	}
	for id, list := range w.Disagreements() {
		e, ok := w.Line(id)
		if !ok {
			continue
		}
		if _, ofCapture := e.Body.(record.Capture); ofCapture {
			continue
		}
		for _, d := range list {
			out = append(out, Item{Kind: TwoVersions, Line: &id, What: "two versions of " + w.disputed(d) + " in: " + w.saysLine(id),
				Do: "Ask both, then choose; the other stays visible.", Versions: w.versions(d)})
		}
	}
	for _, c := range w.Contradictions() {
		out = append(out, Item{Kind: TwoVersions, Line: &c.Line, What: w.name(c.Animal) + ": " + w.saysIdentity(c.Apart) + ", yet other lines make them one",
			Do: "Strike the line that is wrong."})
	}
	out = append(out, w.twoProtocols()...)
	out = append(out, w.openParty()...)
	slices.SortStableFunc(out, func(a, b Item) int { return cmp.Compare(a.What, b.What) })
	return out
}

// twoProtocols finds two protocols adopted in place of the same one.
func (w words) twoProtocols() []Item {
	var out []Item
	for _, rivals := range w.RivalProtocols() {
		b, a := rivals[0].Now().(record.Protocol), rivals[1].Now().(record.Protocol)
		out = append(out, Item{Kind: TwoVersions, Both: []Version{w.sideOf(rivals[0].ID), w.sideOf(rivals[1].ID)},
			What: fmt.Sprintf("two protocols were adopted%s: %s, and later %s, which is in force", replaced(a.Replaces), version(b.Version), version(a.Version)),
			Do:   "Adopt once more the one that holds, under Programme."})
	}
	return out
}

// Text writes the evening for a terminal.
func (e Evening) Text(out io.Writer) {
	fmt.Fprintf(out, "%s\n\n", joined(", ", sentenceStart(e.Words), traps(e.Sites)))
	for i, item := range e.Open {
		fmt.Fprintf(out, "%2d  %-15s %s\n                    %s\n", i+1, item.Kind, item.What, item.Do)
		for _, v := range slices.Concat(item.Versions, item.Both) {
			fmt.Fprintf(out, "                    %s: %s\n", joined(", ", v.Who, v.At), v.Says)
		}
	}
	if e.Nobody != "" {
		fmt.Fprintln(out, e.Nobody)
	} else if len(e.Open) == 0 {
		fmt.Fprintln(out, "Nothing is open.")
	}
	fmt.Fprintln(out)
	for _, a := range e.Accounts {
		fmt.Fprintf(out, "%-8s %s, %s%s\n", a.Of, a.Left, a.Right, map[bool]string{false: "  ← do not agree"}[a.Agrees || a.Untold])
	}
	for _, l := range e.used() {
		fmt.Fprintln(out, l.says())
	}
	for _, t := range e.FollowUps {
		fmt.Fprintf(out, "to do    %s: %s\n", t.Due, joined(" – ", t.On, t.What, t.Who))
	}
	fmt.Fprintln(out, "\nAs it was written")
	writeLines(out, e.Page)
	fmt.Fprint(out, unreadWords(e.Unread))
}

// unreadWords counts the lines this version cannot read, and those withheld
// from a device that is limited to one site.
func unreadWords(unread map[string]int) string {
	n := 0
	for kind, k := range unread {
		if kind != notebook.WithheldKind {
			n += k
		}
	}
	says := ""
	if n > 0 {
		says = page.Count(n, "line", "lines") + " this version cannot read; kept all the same, and a newer one may read them\n"
	}
	if n := unread[notebook.WithheldKind]; n > 0 {
		says += page.Count(n, "line", "lines") + " withheld from this device, which is given the coordinates of one site only\n"
	}
	return says
}

// sentenceStart begins with a capital.
func sentenceStart(s string) string {
	if s == "" {
		return s
	}
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:]
}
