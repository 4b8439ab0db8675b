package exchange

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"dawnround/record"
)

// units give how many places the decimal point moves to the unit of the
// record: grams for a mass, millimetres for a length.
var units = map[string]int{"g": 0, "kg": 3, "mg": -3, "mm": 0, "cm": 1, "m": 3}

var decimalNumber = regexp.MustCompile(`^[+-]?[0-9]{1,12}(\.[0-9]{1,12})?$`)

// quantity reads a number of a column in the record's unit. Between units of
// ten the decimal point moves, so nothing is rounded: 0.0618 kg is 61.8 g.
func quantity(text, unit string, comma bool) (record.Quantity, error) {
	number := text
	if comma {
		number = strings.Replace(number, ",", ".", 1)
	}
	if !decimalNumber.MatchString(number) {
		hint := ""
		if !comma && strings.Contains(text, ",") {
			hint = `; for a decimal comma write decimal: "," in the mapping`
		}
		return record.Quantity{}, fmt.Errorf("not a number%s", hint)
	}
	q, err := record.ParseQuantity(shifted(strings.TrimPrefix(number, "+"), units[unit]))
	if err != nil {
		return q, fmt.Errorf("not a number a field instrument gives: %w", err)
	}
	return q, nil
}

// shifted moves the decimal point of a number to the right, or to the left.
func shifted(number string, places int) string {
	if places == 0 {
		return number
	}
	sign, digits := "", number
	if strings.HasPrefix(number, "-") {
		sign, digits = "-", number[1:]
	}
	whole, frac, _ := strings.Cut(digits, ".")
	if places > 0 {
		frac += strings.Repeat("0", max(0, places-len(frac)))
		whole, frac = whole+frac[:places], frac[places:]
	} else {
		whole = strings.Repeat("0", max(0, 1-places-len(whole))) + whole
		cut := len(whole) + places
		whole, frac = whole[:cut], whole[cut:]+frac
	}
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if frac == "" {
		return sign + whole
	}
	return sign + whole + "." + frac
}

// A date as the columns give it.
type date struct{ day, month, year string }

// parted splits a date in one column.
func parted(text string, order []string) (date, error) {
	if n, err := strconv.Atoi(text); err == nil && n > 10000 && n < 80000 {
		return date{}, fmt.Errorf("a spreadsheet's day number, which would be %s; format the column as a date", serial(n))
	}
	text, _, _ = strings.Cut(text, " ") // an idle 00:00:00
	parts := strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune("-/.", c) })
	if len(parts) != 3 {
		return date{}, fmt.Errorf("not a date; expected %s, like %s", strings.Join(order, "-"), exampleDate(order))
	}
	var d date
	for i, p := range parts {
		switch order[i] {
		case "day":
			d.day = p
		case "month":
			d.month = p
		case "year":
			d.year = p
		}
	}
	return d, nil
}

// serial is the date of a spreadsheet's day number, which counts from
// 30 December 1899 (common practice, no source).
func serial(n int) record.Night { return record.Night{Year: 1899, Month: 12, Day: 30}.Add(n) }

func exampleDate(order []string) string {
	example := map[string]string{"day": "13", "month": "05", "year": "2026"}
	var parts []string
	for _, o := range order {
		parts = append(parts, example[o])
	}
	return strings.Join(parts, "-")
}

// monthNames are read in English, by their first three letters.
const monthNames = "janfebmaraprmayjunjulaugsepoctnovdec"

// night is the date itself; an impossible one is an error that says how it may
// have come about.
func (d date) night() (record.Night, error) {
	year, errY := strconv.Atoi(d.year)
	day, errD := strconv.Atoi(d.day)
	month, errM := strconv.Atoi(d.month)
	if at := strings.Index(monthNames, strings.ToLower(d.month[:min(3, len(d.month))])); errM != nil && len(d.month) >= 3 && at%3 == 0 && at >= 0 {
		month, errM = at/3+1, nil
	}
	n := record.Night{Year: year, Month: month, Day: day}
	switch {
	case errY != nil || errD != nil || errM != nil:
		return n, fmt.Errorf("not a date; expected numbers for day, month and year")
	case len(strings.TrimLeft(d.day, "0")) == 4 && year <= 31:
		return n, fmt.Errorf("the year stands where the day belongs; a spreadsheet has turned the date round")
	case year < 1000:
		return n, fmt.Errorf("a year of %d digits; write all four", len(d.year))
	case month > 12 && month <= 31 && day >= 1 && day <= 12:
		return n, fmt.Errorf("there is no month %d; day and month look swapped, as spreadsheets do with days up to 12: check the days beside it too", month)
	}
	if _, err := record.ParseNight(n.String()); err != nil {
		return n, fmt.Errorf("there is no %s in the calendar", n)
	}
	return n, nil
}

// exponent is how a spreadsheet shows a number of more digits than its column
// is wide, after which the rest is lost.
var exponent = regexp.MustCompile(`^[0-9](\.[0-9]+)?[eE]\+[0-9]+$`)

// damaged tells what a spreadsheet did to the number of a mark, or "".
func damaged(text string, digits int) (why, says string) {
	if exponent.MatchString(text) {
		return "number rounded by a spreadsheet", "a spreadsheet rounded this number and the rest of it is lost; type it anew from the field sheet, in a column formatted as text"
	}
	if digits == 0 || len(text) == digits {
		return "", ""
	}
	if len(text) < digits && strings.Trim(text, "0123456789") == "" {
		return "digits missing", fmt.Sprintf("%d digits, and a number here has %d; a spreadsheet drops zeros in front: type it anew from the field sheet, in a column formatted as text", len(text), digits)
	}
	return "not the digits of a number here", fmt.Sprintf("a number here has %d digits", digits)
}
