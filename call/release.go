package call

import (
	"fmt"
	"strconv"
	"strings"

	"dawnround/record"
)

// release reads how an animal left the hand.
func (rd *reading) release() bool {
	i := rd.at
	id, n := rd.lexID(i, kRelease)
	if n == 0 {
		return false
	}
	if _, other := rd.out.Field("species"); id == "not processed" && rd.hasWord2(i, "not measured") && !other && rd.topic != tRelease {
		return false
	}
	if id == "not processed" && (rd.word(i) != "straight") {
		rd.take(Field{At: "brief", Value: "yes"}, i, i+n)
		return true
	}
	if id == "released" {
		return rd.letGo(i, n)
	}
	if rd.topic != tRelease {
		return false
	}
	return rd.howReleased(id, i, n)
}

// letGo begins a release.
func (rd *reading) letGo(i, n int) bool {
	w := rd.word(i)
	switch {
	case rd.denied(i), w == "gone" && rd.topic != tRelease, w == "back" && !rd.breaks(i), w == "out":
		return false
	case (w == "let" || w == "release") && rd.word(i+n) == "of":
		return false
	}
	rd.take(Field{At: "released/fate", Value: string(record.FateReleased)}, i, i+n)
	rd.topic = tRelease
	rd.young.open = false
	rd.place(rd.at)
	return true
}

// place reads where an animal was let go, when not at its trap: the words up
// to a stop, a time, or something else that is known of releases.
func (rd *reading) place(i int) {
	switch w := rd.word(i); {
	case !rd.joined(i), rd.lex(i, kRelease) > 0:
		return
	case w == "in" || w == "near" || w == "by" || w == "from" || w == "into" || w == "under" || w == "beside" || w == "behind" || w == "next" || w == "down" || w == "up" || w == "on":
	default:
		if s, ok := rd.number(i); !ok || !rd.isNumber(i) || rd.lex(s.to, kForeign) == 0 {
			return
		}
	}
	j := i
	for j < len(rd.toks) && rd.joined(j) && rd.word(j) != "at" && rd.word(j) != "with" && (j == i || rd.lex(j, kRelease) == 0) {
		j++
	}
	rd.take(Field{At: "released/where", Value: rd.text(i, j)}, i, j)
}

func (rd *reading) howReleased(id string, i, n int) bool {
	switch id {
	case "here":
		rd.take(Field{At: "released/where", Value: "here"}, i, i+n)
	case "with young":
		rd.take(Field{At: "released/with young", Value: "yes"}, i, i+n)
	case "behaviour":
		at := "released/behaviour"
		text := rd.text(i, i+n)
		if f, ok := rd.out.Field(at); ok {
			text = f.Value + ", " + text
			f.Value = text
			rd.fate(i, i+n, Taken, at)
			rd.at = i + n
			return true
		}
		rd.take(Field{At: at, Value: text}, i, i+n)
	default:
		return false
	}
	return true
}

// incident reads what went wrong for an animal or a person.
func (rd *reading) incident() bool {
	i := rd.at
	id, n := rd.lexID(i, kIncident)
	if n == 0 || rd.denied(i) || !rd.incidentFits(id, i) {
		return false
	}
	if f, ok := rd.out.Field("incidents/1/kind"); ok && f.Value == id {
		rd.fate(i, i+n, Taken, f.At)
		rd.at = i + n
		return true
	}
	if _, ok := rd.out.Field("incidents/1/kind"); ok {
		return false
	}
	rd.take(Field{At: "incidents/1/kind", Value: id}, i, i+n)
	switch id {
	case "young ejected":
		rd.young = litter{open: true, row: 1}
		rd.topic = tYoung
	case "torpor", "distress":
		rd.out.Fields = append(rd.out.Fields, Field{At: "follow-up", Value: "yes", Derived: true})
	case "person hurt":
		rd.whereBitten(i + n)
	}
	rd.aid()
	return true
}

// incidentFits keeps words of other meanings out: "thrown" of a rope, "got me".
func (rd *reading) incidentFits(id string, i int) bool {
	switch w := rd.word(i); {
	case id == "person hurt" && (w == "got" || w == "scratched") && rd.word(i+1) != "bitten" && rd.word(i+1) != "bit":
		for k := i; k < len(rd.toks); k++ {
			if bodyParts[rd.word(k)] {
				return true
			}
		}
		return false
	case id == "person hurt" && w == "bite" && rd.lex(rd.preposition(i+1), kPart) > 0:
		return rd.saysAnywhere("washed", "iodine", "betadine", "disinfected", "bandaged", "first aid")
	case w == "threw":
		return rd.saidYoung() || rd.saysAnywhere("teat", "pouch")
	case w == "thrown" || w == "lost" || w == "dropped" || w == "ejected":
		return w != "lost" && rd.word(i+1) == "" || rd.saidYoung() || rd.saysAnywhere("she's thrown", "she has thrown", "ejected")
	}
	return true
}

// bodyParts of a person.
var bodyParts = wordSet("finger thumb hand wrist arm forearm knuckle palm leg face nose lip cheek ear chin shin index pinky")

// whereBitten reads the part of the person, and no more: health stays out of
// the record.
func (rd *reading) whereBitten(i int) {
	_, to := rd.clause(min(i, len(rd.toks)-1))
	for k := i; k < to; k++ {
		if bodyParts[rd.word(k)] {
			rd.bitten(k)
			return
		}
	}
	for k := range rd.toks {
		if bodyParts[rd.word(k)] && (rd.word(k-1) == "my" || rd.word(k-2) == "my") {
			rd.bitten(k)
			return
		}
	}
}

func (rd *reading) bitten(k int) {
	from := k
	if n := rd.lex(k-1, kSide); n > 0 || rd.word(k-1) == "index" || rd.word(k-1) == "middle" || rd.word(k-1) == "ring" {
		from = k - 1
	}
	rd.put(Field{At: "incidents/1/person site", Value: strings.ToLower(rd.text(from, k+1))}, from, k+1)
}

// aid reads what was done at once.
func (rd *reading) aid() {
	for i := range rd.toks {
		switch rd.word(i) {
		case "washed", "washing", "cleaned", "bandaged", "disinfected", "iodine", "betadine", "scrubbed", "plaster", "dressed", "flushed", "bandaid":
			_, to := rd.clause(i)
			rd.put(Field{At: "incidents/1/aid", Value: rd.text(i, to)}, i, to)
			return
		}
	}
}

// clockTime reads a time of day where "at" or the scene asks for one.
func (rd *reading) clockTime() bool {
	i := rd.at
	if rd.timer(i) {
		return true
	}
	at := "time"
	j := i
	for _, p := range timePlaces {
		if rd.hasWord2(i, p.words) {
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
	{"bagged", "time/out of trap"}, {"bag time", "time/out of trap"}, {"out of the bag at", "time"},
	{"released at", "released/time"}, {"let go at", "released/time"}, {"gone at", "released/time"},
	{"time is", "time"}, {"time now", "time"}, {"the time's", "time"}, {"time", "time"}, {"at", "time"},
}

// loneTime: while an incident runs, a time by itself is the time.
func (rd *reading) loneTime(i int) bool {
	if !rd.isNumber(i) || !rd.breaks(i) && !(rd.topic == tRelease && rd.toks[i-1].fate == Taken) {
		return false
	}
	_, to := rd.timeText(i)
	return to > i && rd.breaks(to) && (rd.spokenOf(kIncident) || rd.quietSaid() || rd.topic == tRelease)
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
		if rd.hasWord2(i, r.words) {
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
		{"handling time", "handling"}, {"handling", "handling"}, {"handled for", "handling"}, {"processing time", "handling"}, {"processed in", "handling"}, {"in the hand", "handling"}, {"in hand for", "handling"}, {"in hand", "handling"}, {"total handling", "handling"}, {"in the bag for", "handling"}, {"processing took", "handling"}, {"processing done in", "handling"}, {"worked up in", "handling"}, {"all done in", "handling"}, {"handled in", "handling"},
	} {
		if !rd.hasWord2(i, p.words) {
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
		if rd.hasWord2(s.to+1, p) {
			rd.take(Field{At: "minutes/handling", Value: strconv.Itoa(n)}, i, s.to+1+len(strings.Fields(p)))
			return true
		}
	}
	return false
}

// weather reads the temperature of the air and the weather.
func (rd *reading) weather() bool {
	i := rd.at
	if rd.temperature(i) {
		return true
	}
	id, n := rd.lexID(i, kWeather)
	if n == 0 {
		return false
	}
	_, said := rd.out.Field("weather/temp")
	from, to := rd.clause(i)
	if !said && !rd.onlyWeather(from, to) || rd.topic != tNone && !said {
		return false
	}
	if f, ok := rd.out.Field("weather/says"); ok {
		f.Value += ", " + id
		rd.fate(i, i+n, Taken, f.At)
		rd.at = i + n
		return true
	}
	rd.take(Field{At: "weather/says", Value: id}, i, i+n)
	return true
}

// onlyWeather tells whether a breath is nothing but weather, with a word that
// means nothing else.
func (rd *reading) onlyWeather(i, j int) bool {
	plain := false
	for i < j {
		id, n := rd.lexID(i, kWeather)
		if n == 0 {
			return false
		}
		plain = plain || id == "frost" || id == "rain" && rd.word(i) != "wet" || id == "fog" || id == "snow" || id == "storm"
		i += n
	}
	return plain
}

func (rd *reading) temperature(i int) bool {
	j := i
	named := false
	for _, p := range []string{"air temp is", "air temp", "air temperature", "temperature", "temp is", "temp", "ambient", "air", "ambient temp", "temp's"} {
		if rd.hasWord2(i, p) {
			j, named = i+len(strings.Fields(p)), true
			break
		}
	}
	j = rd.skip(j)
	sign := ""
	if w := rd.word(j); (w == "minus" || w == "-" || w == "negative") && rd.isNumber(j+1) {
		sign = "-"
		j++
	}
	s, ok := rd.number(j)
	if !ok || !rd.isNumber(j) || s.unended || strings.HasPrefix(s.text(), "-") && sign != "" {
		return false
	}
	to, degrees := s.to, false
	for w := rd.word(to); w == "degrees" || w == "degree" || w == "c" || w == "°" || w == "celsius" || w == "below" && rd.word(to+1) == "zero"; w = rd.word(to) {
		degrees = true
		to++
		if w == "below" {
			sign = "-"
			to++
		}
	}
	if !degrees && !named || !named && rd.tellsStory() {
		return false
	}
	from, end := rd.clause(i)
	for k := from; !named && k < end; k++ {
		if k >= i && k < to || rd.lex(k, kFiller) > 0 || rd.lex(k, kWeather) > 0 || rd.word(k) == "outside" || rd.word(k) == "and" {
			continue
		}
		return false
	}
	rd.take(Field{At: "weather/temp", Value: sign + s.text(), Unit: "Cel"}, i, to)
	return true
}

// action reads what the crew will do.
func (rd *reading) action() bool {
	i := rd.at
	id, n := rd.lexID(i, kAction)
	if n == 0 || rd.denied(i) {
		return false
	}
	rd.lost++
	rd.take(Field{At: "actions/" + strconv.Itoa(rd.lost), Value: id}, i, i+n)
	return true
}
