package call

import (
	"strings"
)

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
		f.Why += ", " + rd.text(i, i+n)
		rd.fate(i, i+n, Taken, f.At)
		rd.at = i + n
		return true
	}
	rd.take(Field{At: "weather/says", Value: id, Why: rd.text(i, i+n)}, i, i+n)
	return true
}

// onlyWeather tells whether a breath is nothing but weather, with a word that
// means nothing else.
func (rd *reading) onlyWeather(i, j int) bool {
	plain := false
	for i < j {
		id, n := rd.lexID(i, kWeather)
		if f := rd.lex(i, kFiller); n == 0 && f > 0 {
			i += f
			continue
		}
		if n == 0 {
			return false
		}
		plain = plain || id == "frost" || id == "rain" && rd.word(i) != "wet" || id == "fog" || id == "snow" || id == "storm"
		i += n
	}
	return plain
}

// belowZero tells whether "below" is said of the air: zero or a stop follows,
// or weather.
func (rd *reading) belowZero(i int) bool {
	w := rd.word(i + 1)
	return w == "zero" || w == "freezing" || rd.breaks(i+1) && rd.spokenOf(kWeather)
}

func (rd *reading) temperature(i int) bool {
	j := i
	named := false
	for _, p := range []string{"air temp is", "air temp", "air temperature", "temperature", "temp is", "temp", "ambient", "air", "ambient temp", "temp's"} {
		if rd.says(i, p) {
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
	for w := rd.word(to); w == "degrees" || w == "degree" || w == "c" || w == "°" || w == "celsius" || w == "below" && rd.belowZero(to); w = rd.word(to) {
		degrees = true
		to++
		if w == "below" {
			sign = "-"
			if rd.word(to) == "zero" || rd.word(to) == "freezing" {
				to++
			}
		}
	}
	if (sign == "-" || strings.HasPrefix(s.text(), "-")) && rd.spokenOf(kWeather) {
		degrees = true
	}
	if !degrees && !named || !named && rd.saysAnywhere("my", "your", "we're", "i'm") {
		return false
	}
	from, end := rd.clause(i)
	for k := from; !named && k < end; k++ {
		if k >= i && k < to || rd.toks[k].fate == Taken || rd.lex(k, kFiller) > 0 || rd.lex(k, kWeather) > 0 || rd.word(k) == "outside" || rd.word(k) == "and" || rd.says(k, "traps") || rd.word(k) == "morning" || rd.word(k) == "tonight" || rd.word(k) == "this" {
			continue
		}
		return false
	}
	rd.take(Field{At: "weather/temp", Value: sign + s.text(), Unit: "Cel"}, i, to)
	rd.last = "weather/temp"
	return true
}
