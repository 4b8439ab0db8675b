package trapside

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"dawnround/call"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// PaperPage is where sheets of paper are typed in afterwards: what each trap of
// a night held, and each animal's form in the words that stand on it. Times that
// the sheets do not say stay unknown.
type PaperPage struct {
	Frame   page.Frame
	Where   Where
	Trips   []page.Option
	Sites   []page.Option
	Traps   []PaperTrap
	Animals []PaperAnimal
	Wrong   []string // what cannot stand so; what was typed stays in its place
}

// PaperTrap is one trap of the night.
type PaperTrap struct {
	Trap   string
	Letter string // of what is written already
	Word   string
}

// PaperAnimal is an animal of that night which has not been released.
type PaperAnimal struct {
	ID      uuid.UUID
	Trap    string
	Name    string
	Phrases int    // typed in so far
	Sheet   string // typed and not taken
}

// paperLetters are the outcomes as the trap sheet abbreviates them.
var paperLetters = []struct {
	Letter  string
	Outcome record.Outcome
}{
	{"C", record.OutcomeCapture}, {"E", record.OutcomeEmpty}, {"S", record.OutcomeSprung}, {"B", record.OutcomeBaitTaken},
	{"X", record.OutcomeEscaped}, {"D", record.OutcomeDisabled}, {"N", record.OutcomeNotSet},
}

const (
	fromPaper   = call.Paper
	mostOnSheet = 200 // lines of one sheet; more is another file by mistake
)

func (t *Trapside) showPaper(w http.ResponseWriter, r *http.Request) {
	if page.AskPen(w, r, r.URL.RequestURI()) {
		return
	}
	p := PaperPage{Frame: t.frame(r, "From paper", page.Round)}
	t.mu.Lock()
	t.programme.View(func(reg *register.Register) { t.fillPaper(&p, reg, r.URL.Query()) })
	t.mu.Unlock()
	page.Answer(w, r, p, paperPage(p))
}

// paperAgain shows the page with what is wrong and all that was typed, so that
// one slip costs no second typing. The lock is held.
func (t *Trapside) paperAgain(w http.ResponseWriter, r *http.Request, at url.Values, err error) {
	p := PaperPage{Frame: t.frame(r, "From paper", page.Round), Wrong: strings.Split(err.Error(), "\n")}
	p.Frame.Path = "/paper?" + at.Encode()
	t.programme.View(func(reg *register.Register) { t.fillPaper(&p, reg, at) })
	for i := range p.Traps {
		if typed, ok := r.PostForm["trap "+p.Traps[i].Trap]; ok {
			p.Traps[i].Letter = typed[0]
		}
	}
	for i := range p.Animals {
		if p.Animals[i].ID.String() == r.PathValue("capture") {
			p.Animals[i].Sheet = r.PostForm.Get("sheet")
		}
	}
	page.AnswerAs(w, r, http.StatusUnprocessableEntity, p, paperPage(p))
}

func (t *Trapside) fillPaper(p *PaperPage, r *register.Register, asked url.Values) {
	trips := r.Trips()
	p.Where = whereOf(r, trips, asked, t.now().In(r.Zone()))
	for _, trip := range slices.Backward(trips) {
		p.Trips = append(p.Trips, page.Option{Value: trip.Trip.Trip, Says: tripName(trip.Trip), On: trip.Trip.Trip == p.Where.Trip})
	}
	for _, s := range r.Sites() {
		p.Sites = append(p.Sites, page.Option{Value: s.Site, Says: siteName(s), On: s.Site == p.Where.Site})
	}
	written := map[string]record.Outcome{}
	for _, c := range r.NightAt(p.Where.Site, p.Where.Night).Checks {
		written[c.Trap] = c.Outcome
	}
	for _, trap := range walking(r, p.Where.Site, p.Where.Night) {
		p.Traps = append(p.Traps, PaperTrap{Trap: trap.Trap, Letter: letterOf(written[trap.Trap]), Word: string(written[trap.Trap])})
	}
	for _, c := range r.CapturesOn(p.Where.Site, p.Where.Night) {
		if c.Released == nil {
			card := Card{ID: c.ID(), usual: t.usual}
			card.fill(r, Fold(c.ID(), t.steps[c.ID()]), t.now())
			p.Animals = append(p.Animals, PaperAnimal{ID: c.ID(), Trap: c.At.Trap, Name: card.Name, Phrases: phrases(t.steps[c.ID()])})
		}
	}
}

func letterOf(o record.Outcome) string {
	for _, l := range paperLetters {
		if l.Outcome == o {
			return l.Letter
		}
	}
	return ""
}

// paperTraps writes what the traps held, as the letters of the sheet say.
func (t *Trapside) paperTraps(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	at, err := t.where(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	var lines []record.Body
	t.programme.View(func(reg *register.Register) { lines, err = paperChecks(reg, at, r.PostForm) })
	if err != nil {
		t.paperAgain(w, r, url.Values{"trip": {at.Trip}, "site": {at.Site}, "night": {at.Night.String()}}, err)
		return
	}
	to := "/paper?" + at.Query()
	if len(lines) == 0 {
		page.Go(w, r, page.Said(to, "nothing new was typed"))
		return
	}
	t.keepLines(w, r, who, page.Said(to, "written from paper")+"#animals", lines...)
}

// paperChecks are the lines of the letters that are new, in the round of that
// night, begun here where there is none; where nobody wrote which traps were
// set, the letters say that too.
func paperChecks(r *register.Register, at Where, form url.Values) ([]record.Body, error) {
	var lines []record.Body
	round := record.Round{Trip: at.Trip, Site: at.Site, Night: at.Night, Number: 1}
	if rounds := r.Rounds(at.Site, at.Night); len(rounds) > 0 {
		round = rounds[len(rounds)-1]
	} else {
		round.Round = newID()
		lines = append(lines, round)
	}
	var problems []error
	checks := 0
	for _, trap := range walking(r, at.Site, at.Night) {
		letter, why, _ := strings.Cut(strings.TrimSpace(form.Get("trap "+trap.Trap)), " ")
		if letter == "" {
			continue
		}
		i := slices.IndexFunc(paperLetters, func(l struct {
			Letter  string
			Outcome record.Outcome
		}) bool {
			return strings.EqualFold(l.Letter, letter)
		})
		if i < 0 {
			problems = append(problems, fmt.Errorf("trap %s: %q: expected one of %s", trap.Trap, letter, lettersWords()))
			continue
		}
		check := record.Check{Round: round.Round, Trip: at.Trip, Site: at.Site, Night: at.Night, Trap: trap.Trap, Outcome: paperLetters[i].Outcome}
		var err error
		if check.At, check.Why, err = timeAndWhy(at.Night, why, r.Zone()); err != nil {
			problems = append(problems, fmt.Errorf("trap %s: %w", trap.Trap, err))
			continue
		}
		if alreadyWritten(r, check) {
			continue
		}
		if err := holds(r, check); err != nil {
			problems = append(problems, err)
			continue
		}
		if check.Outcome == record.OutcomeCapture {
			check.Captures = []uuid.UUID{newID()}
		}
		lines, checks = append(lines, check), checks+1
	}
	if len(problems) > 0 {
		return nil, errors.Join(problems...)
	}
	if checks == 0 {
		return nil, nil
	}
	if len(r.NightAt(at.Site, at.Night).Settings) == 0 {
		lines = append([]record.Body{settingOf(at, lines)}, lines...)
	}
	return lines, nil
}

// timeAndWhy are the time that may stand beside a letter, such as 05:40, and the
// reason behind it.
func timeAndWhy(night record.Night, words string, zone *time.Location) (time.Time, string, error) {
	words = strings.TrimSpace(words)
	clock, why, _ := strings.Cut(words, " ")
	if !strings.Contains(clock, ":") || strings.Trim(clock, "0123456789:") != "" {
		return time.Time{}, words, nil
	}
	at, err := clockOn(night, clock, zone)
	return at, strings.TrimSpace(why), err
}

// settingOf says which traps were set: those of which the sheet says what they
// held.
func settingOf(at Where, lines []record.Body) record.Setting {
	s := record.Setting{Trip: at.Trip, Site: at.Site, Night: at.Night}
	for _, line := range lines {
		switch c, ok := line.(record.Check); {
		case !ok:
		case c.Outcome == record.OutcomeNotSet:
			s.Not = append(s.Not, record.NotSet{Trap: c.Trap, Why: c.Why})
		default:
			s.Set = append(s.Set, c.Trap)
		}
	}
	return s
}

func alreadyWritten(r *register.Register, check record.Check) bool {
	return slices.ContainsFunc(r.NightAt(check.Site, check.Night).Checks, func(c record.Check) bool {
		return c.Trap == check.Trap && c.Outcome == check.Outcome
	})
}

func lettersWords() string {
	var out []string
	for _, l := range paperLetters {
		out = append(out, l.Letter+" "+string(l.Outcome))
	}
	return page.List(out)
}

// paperSheet types in the form of one animal: each line is a phrase on its call
// line, marked as read from paper, where no word is taken for a mis-hearing. It
// ends on the card, with whatever is asked.
func (t *Trapside) paperSheet(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	id, err := captureOf(r)
	sheet := strings.Split(strings.ReplaceAll(r.FormValue("sheet"), "\r\n", "\n"), "\n")
	for n, line := range sheet {
		if len(line) > maxPhrase {
			err = errors.Join(err, fmt.Errorf("line %d: %d bytes, and the longest that is read has %d; break it in two", n+1, len(line), maxPhrase))
		}
	}
	if len(sheet) > mostOnSheet {
		err = errors.Join(err, fmt.Errorf("%d lines: a sheet has at most %d; type in one animal at a time", len(sheet), mostOnSheet))
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	var at url.Values
	t.programme.View(func(reg *register.Register) { at = atOf(reg, id) })
	if err != nil && at != nil {
		t.paperAgain(w, r, at, err)
		return
	}
	if err == nil {
		err = t.open(id)
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	if Fold(id, t.steps[id]).Said["source"] != fromPaper {
		err = t.write(id, who, []record.Step{{Field: "source", Typed: fromPaper}})
	}
	for _, phrase := range sheet {
		if err == nil && strings.TrimSpace(phrase) != "" {
			err = t.typeIn(who, id, phrase)
		}
	}
	if err != nil {
		notKept(w, r, err)
		return
	}
	page.Go(w, r, "/bench/"+id.String()+"#call")
}

// atOf asks for the night of a capture; nil if nobody wrote of it.
func atOf(r *register.Register, id uuid.UUID) url.Values {
	c, ok := r.Capture(id)
	if !ok {
		return nil
	}
	return url.Values{"trip": {c.At.Trip}, "site": {c.At.Site}, "night": {c.At.Night.String()}}
}

// typeIn writes one line of a sheet. It fills the card and lets nobody go: that
// is done on the card, when everything has been seen.
func (t *Trapside) typeIn(who string, id uuid.UUID, phrase string) error {
	now := t.local()
	var s Saying
	var lines []record.Body
	t.programme.View(func(r *register.Register) {
		s = t.hearOf(r, id, phrase, now)
		var odd []record.Step
		lines, odd = t.roundSaid(r, s, now)
		s.Steps = append(s.Steps, odd...)
	})
	if err := t.write(id, who, s.Steps); err != nil {
		return err
	}
	return t.keepSaid(who, s, lines)
}

// onPaper takes away the times of typing: when an animal was handled and let go
// is not known from when its sheet was typed in.
func (d *Draft) onPaper() {
	if d.Said["source"] == fromPaper {
		d.handled().Start, d.handled().End, d.released().At = time.Time{}, time.Time{}, time.Time{}
	}
}
