package record

import (
	"fmt"
	"time"
)

// Night is the evening the traps were set. A capture at 05:40 belongs to the
// evening before; a night is a date and cannot be compared with a clock.
type Night struct{ Year, Month, Day int }

// ParseNight reads "2026-05-13".
func ParseNight(s string) (Night, error) {
	var n Night
	if len(s) == 10 && s[4] == '-' && s[7] == '-' {
		n = Night{number(s[:4]), number(s[5:7]), number(s[8:])}
	}
	if NightOf(n.Noon(time.UTC)) != n || n.Year < 1 {
		return Night{}, fmt.Errorf("night %q: not a date; write it like 2026-05-13 (the evening the traps were set)", s)
	}
	return n, nil
}

// number is the value of a run of decimal digits, or -1.
func number(s string) int {
	n := 0
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return -1
		}
		n = 10*n + int(c-'0')
	}
	return n
}

// NightOf is the calendar date of t in t's own zone.
func NightOf(t time.Time) Night {
	y, m, d := t.Date()
	return Night{y, int(m), d}
}

// Noon is noon of that date in the given zone.
func (n Night) Noon(zone *time.Location) time.Time {
	return time.Date(n.Year, time.Month(n.Month), n.Day, 12, 0, 0, 0, zone)
}

// Add moves by whole days.
func (n Night) Add(days int) Night { return NightOf(n.Noon(time.UTC).AddDate(0, 0, days)) }

// Days is the number of days from m to n (negative when n is earlier).
func (n Night) Days(m Night) int {
	return int(n.Noon(time.UTC).Sub(m.Noon(time.UTC)).Hours()) / 24
}

// Before orders nights.
func (n Night) Before(m Night) bool { return n.Compare(m) < 0 }

// Compare is negative, zero or positive as n is before, the same as, or after m.
func (n Night) Compare(m Night) int {
	if d := n.Year - m.Year; d != 0 {
		return d
	}
	if d := n.Month - m.Month; d != 0 {
		return d
	}
	return n.Day - m.Day
}

// IsZero reports a night that was not stated.
func (n Night) IsZero() bool { return n == Night{} }

// String is the ISO 8601 date.
func (n Night) String() string { return fmt.Sprintf("%04d-%02d-%02d", n.Year, n.Month, n.Day) }

// Words is the date as people say it: "13 May 2026".
func (n Night) Words() string { return n.Noon(time.UTC).Format("2 January 2006") }

// MarshalText and UnmarshalText keep a night as its ISO 8601 date.
func (n Night) MarshalText() ([]byte, error) {
	if n.IsZero() {
		return nil, nil
	}
	return []byte(n.String()), nil
}

// UnmarshalText reads what MarshalText wrote; empty text is the zero night.
func (n *Night) UnmarshalText(text []byte) (err error) {
	*n = Night{}
	if len(text) > 0 {
		*n, err = ParseNight(string(text))
	}
	return err
}
