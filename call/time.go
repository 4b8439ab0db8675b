package call

import (
	"fmt"
	"strconv"
	"strings"
)

// clockTime reads a time of day where "at" or the scene asks for one.
func (rd *reading) clockTime() bool {
	i := rd.at
	if rd.timer(i) {
		return true
	}
	at := "time"
	j := i
	for _, p := range timePlaces {
		if rd.says(i, p.words) {
			at = p.at
			j = i + len(strings.Fields(p.words))
			break
		}
	}
	if j == i && !rd.loneTime(i) {
		return false
	}
	if rd.topic == tRelease && at == "time" {
		at = "released/time"
	}
	for rd.word(j) == "is" || rd.word(j) == "'s" || rd.word(j) == "about" {
		j++
	}
	text, to := rd.timeText(j)
	if to == j || rd.joined(to) && rd.lex(to, kForeign) > 0 && rd.word(to) != "am" && rd.word(to) != "pm" || rd.joined(to) && (rd.lex(to, kUnit) > 0 || rd.word(to) == "point") {
		return false
	}
	if rd.word(to) == "am" || rd.word(to) == "pm" {
		to++
	}
	rd.take(Field{At: at, Value: text}, i, to)
	return true
}

var timePlaces = []struct{ words, at string }{
	{"in the bag at", "time/out of trap"}, {"into the bag at", "time/out of trap"}, {"in bag at", "time/out of trap"}, {"bagged at", "time/out of trap"},
	{"out of the trap at", "time/out of trap"}, {"out of trap at", "time/out of trap"}, {"taken out at", "time/out of trap"}, {"bagged her at", "time/out of trap"}, {"bagged him at", "time/out of trap"}, {"into bag at", "time/out of trap"}, {"out at", "time/out of trap"},
	{"out of the trap", "time/out of trap"}, {"out of trap", "time/out of trap"}, {"in the bag", "time/out of trap"}, {"bagged", "time/out of trap"}, {"bag time", "time/out of trap"}, {"out of the bag at", "time"},
	{"back at", "released/time"}, {"released at", "released/time"}, {"let go at", "released/time"}, {"gone at", "released/time"},
	{"time is", "time"}, {"time now", "time"}, {"the time's", "time"}, {"time", "time"}, {"at", "time"},
}

// loneTime: while an incident runs, a time by itself is the time.
func (rd *reading) loneTime(i int) bool {
	if !rd.isNumber(i) || !rd.breaks(i) && !(rd.topic == tRelease && rd.toks[i-1].fate == Taken) {
		return false
	}
	_, to := rd.timeText(i)
	return to > i && rd.breaks(to) && (rd.spokenOf(kIncident) || rd.quietSaid() || rd.topic == tRelease || rd.event() != "")
}

func (rd *reading) quietSaid() bool {
	_, ok := rd.out.Field("incidents/1/kind")
	return ok
}

// timeText reads a time: five fifty-two, six o'clock, half past six, 05:52. It
// gives the token where it began when there is none.
func (rd *reading) timeText(i int) (string, int) {
	if i >= len(rd.toks) {
		return "", i
	}
	w := rd.word(i)
	if rd.toks[i].num.class == clock {
		h, m, _ := strings.Cut(w, ":")
		return clockText(i, i+1, atoi(h), atoi(m))
	}
	if rd.toks[i].num.class == literal {
		return rd.writtenTime(i)
	}
	for _, r := range []struct {
		words   string
		minutes int
	}{{"half past", 30}, {"quarter past", 15}, {"quarter to", -15}, {"a quarter to", -15}, {"a quarter past", 15}} {
		if rd.says(i, r.words) {
			j := i + len(strings.Fields(r.words))
			if h, n := rd.small(j); n > 0 {
				return pastText(i, j+n, h, r.minutes)
			}
		}
	}
	h, n := rd.small(i)
	if n == 0 {
		return "", i
	}
	j := i + n
	if !rd.joined(j) {
		return "", i
	}
	return rd.minutesAfter(i, j, h)
}

// minutesAfter reads what follows the hour, or the minutes before it.
func (rd *reading) minutesAfter(i, j, h int) (string, int) {
	switch w := rd.word(j); {
	case w == "o'clock":
		return clockText(i, j+1, h, 0)
	case w == "past" || w == "to":
		hour, n := rd.small(j + 1)
		if n == 0 {
			return "", i
		}
		if w == "to" {
			h = -h
		}
		return pastText(i, j+1+n, hour, h)
	case rd.toks[j].num.class == digit && rd.toks[j].num.value == 0 && rd.joined(j+1) && rd.toks[j+1].num.class == digit:
		return clockText(i, j+2, h, rd.toks[j+1].num.value)
	case h == 0 && rd.toks[j].num.class == digit:
		hour := rd.toks[j].num.value
		if m, n := rd.small(j + 1); n > 0 && rd.joined(j+1) && m >= 10 {
			return clockText(i, j+1+n, hour, m)
		}
		return "", i
	}
	m, n := rd.small(j)
	if n == 0 || m < 10 {
		return "", i
	}
	return clockText(i, j+n, h, m)
}

// writtenTime reads 0552 and 6 o'clock.
func (rd *reading) writtenTime(i int) (string, int) {
	w := rd.word(i)
	if rd.word(i+1) == "o'clock" {
		return clockText(i, i+2, atoi(w), 0)
	}
	w = strings.Replace(w, ".", "", 1)
	if len(w) == 3 {
		w = "0" + w
	}
	if len(w) != 4 {
		return "", i
	}
	return clockText(i, i+1, atoi(w[:2]), atoi(w[2:]))
}

func atoi(s string) int {
	n, err := strconv.Atoi(s)
	if err != nil {
		return -1
	}
	return n
}

// small reads a number below sixty of one breath.
func (rd *reading) small(i int) (value, words int) {
	if i >= len(rd.toks) || !rd.toks[i].num.spelt() {
		return 0, 0
	}
	num := rd.toks[i].num
	if num.class == tens && rd.joined(i+1) && rd.toks[i+1].num.class == digit && rd.toks[i+1].num.value > 0 {
		return num.value + rd.toks[i+1].num.value, 2
	}
	return num.value, 1
}

func clockText(from, to, h, m int) (string, int) {
	if h < 0 || h > 23 || m < 0 || m > 59 {
		return "", from
	}
	return fmt.Sprintf("%02d:%02d", h, m), to
}

func pastText(from, to, h, minutes int) (string, int) {
	if minutes < 0 {
		h, minutes = h-1, 60+minutes
	}
	if h == 0 {
		h = 12
	}
	return clockText(from, to, h, minutes)
}

// timer reads minutes: how long handling took, and when to look again.
func (rd *reading) timer(i int) bool {
	for _, p := range []struct{ words, at string }{
		{"give her", "timer"}, {"give him", "timer"}, {"give it", "timer"}, {"timer for", "timer"}, {"set a timer for", "timer"}, {"check again in", "timer"}, {"check her in", "timer"}, {"check him in", "timer"}, {"look again in", "timer"}, {"timer", "timer"}, {"check in", "timer"}, {"check back in", "timer"}, {"recheck in", "timer"}, {"another", "timer"},
		{"handling time", "handling"}, {"handling took", "handling"}, {"handling", "handling"}, {"handled for", "handling"}, {"processing time", "handling"}, {"processed in", "handling"}, {"in the hand", "handling"}, {"in hand for", "handling"}, {"in hand", "handling"}, {"total handling", "handling"}, {"in the bag for", "handling"}, {"processing took", "handling"}, {"processing done in", "handling"}, {"worked up in", "handling"}, {"all done in", "handling"}, {"handled in", "handling"},
	} {
		if !rd.says(i, p.words) {
			continue
		}
		j := rd.skip(i + len(strings.Fields(p.words)))
		s, ok := rd.number(j)
		n, whole := s.whole()
		if !ok || !rd.isNumber(j) || !whole || n > 240 {
			continue
		}
		to := s.to
		w := rd.word(to)
		minutes := w == "minutes" || w == "minute" || w == "mins" || w == "min"
		if minutes {
			to++
		}
		if !minutes && (!rd.breaks(to) || p.at == "timer" && !rd.spokenOf(kIncident) && rd.word(i) != "timer" && !rd.given.Incident) || p.words == "another" && !minutes {
			return false
		}
		rd.take(Field{At: "minutes/" + p.at, Value: strconv.Itoa(n)}, i, to)
		if p.at == "timer" {
			rd.put(Field{At: "follow-up", Value: "yes", Derived: true}, 0, 0)
		}
		return true
	}
	return rd.minutesFirst(i)
}

// minutesFirst reads "twelve minutes handling", "nine minutes in hand".
func (rd *reading) minutesFirst(i int) bool {
	s, ok := rd.number(i)
	if !ok || !rd.isNumber(i) {
		return false
	}
	n, whole := s.whole()
	w := rd.word(s.to)
	if !whole || w != "minutes" && w != "mins" && w != "minute" {
		return false
	}
	for _, p := range []string{"handling", "in hand", "in the hand", "from bag to release", "start to finish", "handling time", "processing", "all up", "total"} {
		if rd.says(s.to+1, p) {
			rd.take(Field{At: "minutes/handling", Value: strconv.Itoa(n)}, i, s.to+1+len(strings.Fields(p)))
			return true
		}
	}
	return false
}
