package trapside

import (
	"net/http"
	"slices"
	"strings"

	"dawnround/record"
)

func weatherWords(w record.Weather) string {
	words := []string{w.At + ":"}
	if w.TempC != nil {
		words = append(words, w.TempC.Typed+" °C")
	}
	if w.RainMM != nil {
		words = append(words, "rain "+w.RainMM.Typed+" mm")
	}
	for name, word := range map[string]string{"wind": w.Wind, "cloud": w.Cloud} {
		if word != "" {
			words = append(words, name+" "+word)
		}
	}
	slices.Sort(words[1:])
	if w.Source != "" {
		words = append(words, "("+w.Source+")")
	}
	return strings.Join(words, " ")
}

func (t *Trapside) weather(w http.ResponseWriter, r *http.Request) {
	who, ok := t.writes(w, r)
	if !ok {
		return
	}
	round, err := t.roundOf(r)
	line := record.Weather{
		Site: round.Site, Night: round.Night, At: r.FormValue("when"), Time: t.now(),
		Wind: r.FormValue("wind"), Cloud: r.FormValue("cloud"), Source: r.FormValue("source"),
	}
	for field, to := range map[string]**record.Quantity{"temp": &line.TempC, "rain": &line.RainMM} {
		if text := strings.TrimSpace(r.FormValue(field)); text != "" && err == nil {
			var q record.Quantity
			if q, err = record.ParseQuantity(text); err == nil {
				*to = &q
			}
		}
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	t.keepLines(w, r, who, "/round?round="+round.Round.String()+"#weather", line)
}
