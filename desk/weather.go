package desk

import (
	"fmt"
	"slices"
	"strings"

	"dawnround/record"
)

// WeatherLine is the weather of one night over all sites.
type WeatherLine struct {
	Night   record.Night `json:"night"`
	LowC    *float64     `json:"low_c,omitempty"`
	HighC   *float64     `json:"high_c,omitempty"`
	RainMM  *float64     `json:"rain_mm,omitempty"` // the most written at one time
	Wind    []string     `json:"wind,omitempty"`
	Sources []string     `json:"sources,omitempty"`
}

// addWeather adds what was written of a night to the last line, or begins one.
func addWeather(lines []WeatherLine, night record.Night, said []record.Weather) []WeatherLine {
	for _, x := range said {
		if n := len(lines); n == 0 || lines[n-1].Night != night {
			lines = append(lines, WeatherLine{Night: night})
		}
		lines[len(lines)-1].add(x)
	}
	return lines
}

func (l *WeatherLine) add(x record.Weather) {
	if x.TempC != nil {
		l.LowC, l.HighC = lower(l.LowC, x.TempC.Value()), higher(l.HighC, x.TempC.Value())
	}
	if x.RainMM != nil {
		l.RainMM = higher(l.RainMM, x.RainMM.Value())
	}
	if x.Wind != "" && !slices.Contains(l.Wind, x.Wind) {
		l.Wind = append(l.Wind, x.Wind)
	}
	if x.Source != "" && !slices.Contains(l.Sources, x.Source) {
		l.Sources = append(l.Sources, x.Source)
	}
}

func lower(have *float64, v float64) *float64 {
	if have == nil || v < *have {
		return &v
	}
	return have
}

func higher(have *float64, v float64) *float64 {
	if have == nil || v > *have {
		return &v
	}
	return have
}

// says is the weather of a night in a line.
func (l WeatherLine) says() string {
	var out []string
	if l.LowC != nil {
		out = append(out, between(*l.LowC, *l.HighC)+" °C")
	}
	if l.RainMM != nil {
		out = append(out, fmt.Sprintf("rain up to %g mm", *l.RainMM))
	}
	if len(l.Wind) > 0 {
		out = append(out, "wind "+strings.Join(l.Wind, ", "))
	}
	return joined("; ", append(out, strings.Join(l.Sources, ", "))...)
}

// between is a range of numbers, or the one.
func between(low, high float64) string {
	if low == high {
		return fmt.Sprintf("%g", low)
	}
	return fmt.Sprintf("%g to %g", low, high)
}
