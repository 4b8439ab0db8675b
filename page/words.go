package page

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// NightWords names a night by its evening and the morning after, so that
// nobody mistakes which: "night of 13–14 May 2026". noon is noon of the evening
// the traps were set.
func NightWords(noon time.Time) string {
	next := noon.AddDate(0, 0, 1)
	switch {
	case noon.Year() != next.Year():
		return "night of " + noon.Format("2 January 2006") + " – " + next.Format("2 January 2006")
	case noon.Month() != next.Month():
		return "night of " + noon.Format("2 January") + " – " + next.Format("2 January 2006")
	}
	return fmt.Sprintf("night of %d–%s", noon.Day(), next.Format("2 January 2006"))
}

// Ago is how long since something, as people say it: "22 h ago".
func Ago(d time.Duration) string {
	days := int(d.Hours() / 24)
	switch {
	case d < time.Minute:
		return "just now"
	case d < 2*time.Hour:
		return fmt.Sprintf("%d min ago", int(d.Minutes()))
	case d < 48*time.Hour:
		return fmt.Sprintf("%d h ago", int(d.Hours()))
	case days < 60:
		return fmt.Sprintf("%d days ago", days)
	case days < 730:
		return fmt.Sprintf("%d months ago", int(float64(days)/30.44))
	}
	return fmt.Sprintf("%d years ago", int(float64(days)/365.25))
}

// Minutes is a waiting time: "11 min", "1 h 05 min". A negative one is 0 min.
func Minutes(d time.Duration) string {
	m := max(0, int(d.Minutes()))
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// Clock is the time of day, or a dash where nobody wrote one.
func Clock(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.Format("15:04")
}

// Number writes thousandths without needless zeros: 965000 is "965".
func Number(milli int64) string { return strconv.FormatFloat(float64(milli)/1000, 'f', -1, 64) }

// Grams is a mass given in thousandths of a gram: "965 g".
func Grams(milli int64) string { return Number(milli) + " g" }

// tailed is from how many characters on a mark is known by its last four.
const tailed = 9

// Tail is a mark as it is called: the last four of a long number, "…0311", or
// the whole of a short one.
func Tail(text string) string {
	runes := []rune(text)
	if len(runes) < tailed {
		return text
	}
	return "…" + string(runes[len(runes)-4:])
}

// longest is the most characters of one word that a page shows of what
// somebody wrote.
const longest = 60

// Short cuts words without a break, such as a line that a reader sent many
// times over, so that they do not fill the page.
func Short(text string) string {
	words := strings.Split(text, " ")
	for i, w := range words {
		if r := []rune(w); len(r) > longest {
			words[i] = string(r[:longest]) + "…"
		}
	}
	return strings.Join(words, " ")
}

// Count is a number with its noun: "1 trap", "12 traps".
func Count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return strconv.Itoa(n) + " " + many
}

// List is words as a sentence has them: "K1, K2 and K3".
func List(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
