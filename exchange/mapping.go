package exchange

import "slices"

// A Mapping says what the columns of a table are. It is written in YAML:
//
//	table: captures            # a row is a capture (or: effort, a count of traps)
//	source: plots 1977-2016    # the name kept with every line
//	row key: [Record_ID]       # the columns that name a row for ever
//	dates are: morning         # the morning of collection (or: evening, when traps were set)
//	date order: day month year # of a date in one column
//	columns:
//	  Record_ID: {is: nothing}
//	  date: {is: date}
//	  sex: {is: sex, codes: {F: female, M: male}}
//	  foot: {is: measure hind_foot, unit: cm}
//
// A column of the table that the mapping does not name is kept word for word.
type Mapping struct {
	Table     string
	Source    string
	Key       []string
	Morning   bool     // dates are of the morning the traps were cleared
	Order     []string // day, month and year, as in a date in one column
	Encoding  string   // asked only of a table that is not Unicode
	Delimiter rune     // 0: told from the table
	Comma     bool     // numbers are written with a decimal comma
	Outside   []Outside
	Columns   []Column
	Fixed     []Column // values that no column holds; Name is the value
}

// Outside says which trips lie outside the normal protocol: kept, and left out
// of every answer.
type Outside struct {
	Negative, Fraction bool     // a trip's number is negative, or not whole
	Trips              []string // or it is one of these
	Why                string
}

// A Column is one column of the table and what it is.
type Column struct {
	Name    string // a "*" at the end stands for what follows
	Is, Of  string // "measure" of "hind_foot"; both empty: kept word for word
	Codes   map[string]Meaning
	Blank   []string // texts that say nothing
	None    []string // texts that mean no mark; kept word for word
	Unit    string   // of a number: g, kg, mg, mm, cm, m
	Act     string   // of a mark: put, gone or old; empty: read
	Parts   string   // what parts several marks in one field
	Digits  int      // that every mark of this column has
	Rounded bool     // a mark that a spreadsheet rounded is entered as it stands, and flagged
	Known   []string // texts that are expected; another is entered and flagged
	Asks    bool     // a blank is entered and flagged
}

// A Meaning is what a code says.
type Meaning struct {
	Word   string // the value of the column
	Row    string // what the row is: nothing caught, or not trapped
	Doubt  string // the row is flagged with these words
	Place  bool   // the doubt is about the place
	Note   string // added to the notes
	Fate   string
	Why    string // of the fate
	Act    string // the row's first mark was put, or is gone
	State  string // of the row's first mark
	Part   string // a finding: the part, its side and the sign
	Side   string
	Sign   string
	Brief  bool   // released without full processing
	Status string // new, recapture, retrap or dead
	By     string // on what the species and sex rest
}

// The kinds of table.
const (
	captureTable = "captures"
	effortTable  = "effort"
)

// meanings are the words that "is" may have in each kind of table.
var meanings = map[string][]string{
	captureTable: {
		"day", "month", "year", "date", "trip", "outside", "site", "trap", "found", "place doubt", "capture",
		"species", "sex", "stage", "status", "handler", "scribe", "notes", "fate", "why",
		"mass", "gross mass", "bag mass", "nothing", "measure", "sign", "mark", "kept",
	},
	effortTable: {"day", "month", "year", "date", "trip", "outside", "site", "trapped", "traps", "doubt", "nothing"},
}

// ofSomething are the words that need another after them.
var ofSomething = []string{"measure", "sign", "mark", "kept"}

// has reports whether a column or a fixed value is this.
func (m *Mapping) has(is string) bool {
	return slices.ContainsFunc(slices.Concat(m.Columns, m.Fixed), func(c Column) bool { return c.Is == is })
}
