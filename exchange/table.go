package exchange

import (
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// delimiters are those that tables are met with, the commonest first.
const delimiters = ",;\t|"

// sniffed is how many rows the choice of a delimiter looks at.
const sniffed = 200

// Delimiter tells what parts the fields of a table: the character under which
// the most rows have as many fields as the first, and the first has two or
// more. Between two that part alike the one with more fields is taken. A table
// of one column has a comma.
func Delimiter(text string) rune {
	best, bestShare, bestWidth := ',', -1.0, 1
	for _, d := range delimiters {
		share, width := consistency(text, d)
		if width > 1 && (share > bestShare || share == bestShare && width > bestWidth) {
			best, bestShare, bestWidth = d, share, width
		}
	}
	return best
}

// consistency is the share of the first rows with as many fields as the first
// row, and how many fields that is.
func consistency(text string, delimiter rune) (share float64, width int) {
	t := tableOf(text, delimiter)
	rows, alike := 0, 0
	for rows < sniffed {
		row, ok := t.next()
		if !ok {
			break
		}
		if rows++; rows == 1 {
			width = len(row.fields)
		}
		if row.wrong == nil && len(row.fields) == width {
			alike++
		}
	}
	if rows == 0 {
		return 0, 0
	}
	return float64(alike) / float64(rows), width
}

// A row is one record of a table.
type row struct {
	line   int // where it begins, from 1
	fields []string
	wrong  error // its quotes do not close; fields then holds the line as it is
}

// A table reads rows one after the other. A row whose quotes do not close is
// given as one bad line, and reading goes on with the line after it.
type table struct {
	text      string
	delimiter rune
	reader    *csv.Reader
	from      int // where the reader began in text
	line      int // how many lines lie before that
}

func tableOf(text string, delimiter rune) *table {
	t := &table{text: text, delimiter: delimiter}
	t.start(0)
	return t
}

// start begins to read at a byte that begins a line.
func (t *table) start(at int) {
	t.line += strings.Count(t.text[t.from:at], "\n")
	t.from = at
	t.reader = csv.NewReader(strings.NewReader(t.text[at:]))
	t.reader.Comma = t.delimiter
	t.reader.FieldsPerRecord = -1
}

// next gives the next row; ok is false at the end.
func (t *table) next() (row, bool) {
	begins := t.from + int(t.reader.InputOffset())
	fields, err := t.reader.Read()
	if err == nil {
		line, _ := t.reader.FieldPos(0)
		return row{line: t.line + line, fields: fields}, true
	}
	var wrong *csv.ParseError
	if !errors.As(err, &wrong) { // the end
		return row{}, false
	}
	line, after, _ := strings.Cut(t.text[begins:], "\n")
	for strings.TrimRight(line, "\r") == "" && after != "" { // the reader passes over empty lines
		begins += len(line) + 1
		line, after, _ = strings.Cut(after, "\n")
	}
	t.start(begins)
	r := row{line: t.line + 1, fields: []string{strings.TrimRight(line, "\r")}, wrong: wrong.Err}
	t.start(len(t.text) - len(after))
	return r, true
}

// header reads the first row and checks that the columns the mapping speaks of
// are there, each once.
func (t *table) header() ([]string, error) {
	row, ok := t.next()
	if !ok {
		return nil, errors.New("no rows: the first row must name the columns")
	}
	if row.wrong != nil {
		return nil, fmt.Errorf("line %d: %w; the first row must name the columns", row.line, row.wrong)
	}
	names := make([]string, len(row.fields))
	for i, f := range row.fields {
		names[i] = strings.TrimSpace(f)
		if names[i] != "" && slices.Contains(names[:i], names[i]) {
			return nil, fmt.Errorf("line %d: two columns are called %q; rename one", row.line, shown(names[i]))
		}
	}
	return names, nil
}

// shownLetters is how much of a name an error shows: a file that is no table
// may have names of any length.
const shownLetters = 40

func shown(name string) string {
	letters := []rune(name)
	if len(letters) <= shownLetters {
		return name
	}
	return string(letters[:shownLetters]) + "…"
}

// listed gives the names of columns for an error.
func listed(header []string) string {
	names := make([]string, len(header))
	for i, name := range header {
		names[i] = shown(name)
	}
	return strings.Join(names, ", ")
}
