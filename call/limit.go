package call

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"dawnround/protocol"
	"dawnround/record"
)

// limits is the hard range of a trait for the animal that is spoken of:
// "never outside" of the most specific range that has it, else the most
// specific range itself. With the claw a foot may be longer by up to 12 mm
// (record.md: "difference with claw is 4–12 mm").
type limits struct {
	low, high float64
	known     bool
}

const clawMM = 12

func (rd *reading) limits(t *protocol.Trait, convention string) limits {
	best, most := limits{}, -1
	for _, r := range t.Ranges {
		if r.Sex != "" && r.Sex != rd.sex || r.Stage != "" && r.Stage != rd.stage {
			continue
		}
		n := specific(r)
		if r.Never != nil {
			n += 10
		}
		if n <= most {
			continue
		}
		best, most = limits{r.From, r.To, true}, n
		if r.Never != nil {
			best.low, best.high = r.Never[0], r.Never[1]
		}
	}
	if convention == withClaw {
		best.high += clawMM
	}
	if !best.known && topicOf(t) == tTestes {
		return limits{0, mostTestisMM, true}
	}
	return best
}

// mostTestisMM is more than any length or width of testes of the animals that
// are trapped by hand, where a sheet gives no range. Common practice, no source.
const mostTestisMM = 120

func specific(r protocol.Range) int {
	n := 0
	if r.Stage != "" {
		n += 2
	}
	if r.Sex != "" {
		n++
	}
	return n
}

func (l limits) hold(v float64) bool { return !l.known || v >= l.low && v <= l.high }

// plausible is the narrower, most specific range; it only helps to choose
// between two readings that are both possible.
func (rd *reading) plausible(t *protocol.Trait) limits {
	r, ok := t.Range(record.Sex(rd.sex), rd.stage)
	return limits{r.From, r.To, ok}
}

// verdict tells how a number fits a trait.
type verdict uint8

const (
	fits verdict = iota
	outside
	ambiguous
	unfit // another unit
)

// choose takes the reading of a number that fits a trait.
func (rd *reading) choose(t *protocol.Trait, lim limits, s spoken) (string, verdict) {
	texts, ok := inUnit(t, s)
	if !ok {
		return "", unfit
	}
	var fit []string
	for _, text := range texts {
		if v, err := strconv.ParseFloat(text, 64); err == nil && lim.hold(v) && v >= 0 {
			fit = append(fit, text)
		}
	}
	switch {
	case len(fit) == 0:
		return nearest(texts, lim), outside
	case len(fit) == 1 && (lim.known || len(texts) == 1):
		return fit[0], fits
	}
	return rd.likelier(t, fit)
}

// nearest is the reading that lies least far outside.
func nearest(texts []string, lim limits) string {
	best, least := texts[0], math.Inf(1)
	for _, text := range texts {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil || !lim.known {
			continue
		}
		if d := max(lim.low-v, v-lim.high); d < least {
			best, least = text, d
		}
	}
	return best
}

// likelier decides between two readings in range: by the narrower range, then
// by what the instrument reads to.
func (rd *reading) likelier(t *protocol.Trait, fit []string) (string, verdict) {
	narrow := rd.plausible(t)
	var likely []string
	for _, text := range fit {
		if v, _ := strconv.ParseFloat(text, 64); narrow.known && narrow.hold(v) {
			likely = append(likely, text)
		}
	}
	switch {
	case len(likely) == 1:
		return likely[0], fits
	case t.Step >= 1:
		return fit[0], fits
	case len(fit) > 1 && len(strings.TrimRight(fit[0], "0123456789")) == 0 && len(fit[0]) == 3 && !rd.limits(t, "").known:
		return fit[1], fits // read to a tenth, and no length of a young has three figures
	}
	return fit[0], ambiguous
}

// inUnit gives the readings in the trait's unit; false where the unit said is
// none of it.
func inUnit(t *protocol.Trait, s spoken) ([]string, bool) {
	switch {
	case s.unit == "" || s.unit == t.Unit:
		return s.readings, true
	case s.unit == "kg" && t.Unit == "g":
		return scaled(s.readings, 3), true
	case s.unit == "cm" && t.Unit == "mm":
		return scaled(s.readings, 1), true
	}
	return nil, false
}

// scaled moves the decimal point to the right.
func scaled(texts []string, places int) []string {
	var out []string
	for _, text := range texts {
		whole, frac, _ := strings.Cut(text, ".")
		for len(frac) < places {
			frac += "0"
		}
		moved := strings.TrimLeft(whole+frac[:places], "0")
		if moved == "" {
			moved = "0"
		}
		if rest := frac[places:]; strings.Trim(rest, "0") != "" {
			moved += "." + rest
		}
		out = append(out, moved)
	}
	return out
}

// Rules between visits are those of record.md §11, with limits from the sheet.
const (
	jumpShare    = 0.02 // a jump in an adult: beyond limit + 2 % of the earlier value
	massLossTrip = 0.12 // within a session: −12 … +8 %
	massGainTrip = 0.08
	massLogVisit = 0.35 // between sessions, adult: |ln(m2/m1)|
	tripHours    = 96
)

// sinceLast tells what is odd about a value beside that of the last visit;
// empty where nothing is.
func (rd *reading) sinceLast(t *protocol.Trait, f Field) string {
	k, ok := known(rd.given.Last, f.At)
	if !ok || rd.previous || f.Roughly && t.ID == protocol.Mass || k.Side != "" && f.Side != "" && k.Side != f.Side {
		return ""
	}
	if f.Convention != "" && f.Convention != t.Convention && f.At == "measures/pes" && f.Convention == withClaw {
		return ""
	}
	now, errNow := strconv.ParseFloat(f.Value, 64)
	was, errWas := strconv.ParseFloat(k.Value, 64)
	if errNow != nil || errWas != nil {
		return ""
	}
	limit, _ := t.BetweenVisits()
	grown := rd.wasAdult()
	switch {
	case t.ID == protocol.Mass:
		return rd.massSinceLast(was, now)
	case t.Bone && limit > 0 && now < was-limit:
		return fmt.Sprintf("last time %s; bone does not shrink", Digits(k.Value))
	case t.Bone && limit > 0 && grown && now > was+limit+jumpShare*was:
		return fmt.Sprintf("last time %s, and adult then", Digits(k.Value))
	case t.ID == "tail" && limit > 0 && now < was-limit:
		return fmt.Sprintf("last time %s, so the tip may be lost", Digits(k.Value))
	}
	return ""
}

func (rd *reading) wasAdult() bool {
	s := rd.lexicon.sheet
	if s == nil {
		return false
	}
	rank := s.StageRank(rd.given.LastStage)
	return rank >= 0 && s.Stages[rank].Adult
}

func (rd *reading) massSinceLast(was, now float64) string {
	if was <= 0 || now <= 0 {
		return ""
	}
	k, _ := known(rd.given.Last, "hours ago")
	hours, err := strconv.ParseFloat(k.Value, 64)
	change := now/was - 1
	within := err == nil && hours <= tripHours || err != nil && rd.given.SameTrip
	switch {
	case within && (change < -massLossTrip || change > massGainTrip):
		return fmt.Sprintf("%+.0f %% since %s a few nights ago", 100*change, Digits(strconv.FormatFloat(was, 'f', -1, 64)))
	case !within && rd.wasAdult() && math.Abs(math.Log(now/was)) > massLogVisit:
		return fmt.Sprintf("last time %s", Digits(strconv.FormatFloat(was, 'f', -1, 64)))
	}
	return ""
}
