package page

import "strings"

// Note is a flag or caution in the margin of the line it concerns.
type Note struct {
	Grade string // stop, look or note
	Word  string // "Cannot be.", said before the rest
	Says  string
}

// NoteOf is the note of a flag's grade with the word that goes with it, unless
// the sentence begins with a word of its own.
func NoteOf(grade, says string) Note {
	words := map[string]string{"stop": "Cannot be.", "look": "Look again."}
	word, ok := words[grade]
	if !ok {
		grade, word = "note", "Note."
	}
	for _, own := range words {
		if rest, begins := strings.CutPrefix(says, own+" "); begins {
			word, says = own, rest
		}
	}
	return Note{Grade: grade, Word: word, Says: says}
}

// LimitWord is what is said before the sentence of a flag whose limit is the
// team's own, from its approval: passing one can be, and did happen.
func LimitWord(grade string) string {
	if grade == "stop" {
		return "Over the limit."
	}
	return "Mind the limit."
}

// Pair is a term and what it is.
type Pair struct{ Term, Is string }

// Line is one ruled row: what it is, what it was last time, what it is now.
type Line struct {
	ID     string // of the element; may be empty
	Label  string
	Last   string
	Now    string
	Struck []string // what stood there before, oldest first
	Next   bool     // it is this row's turn
}

// Entry is a form field with its label, and what is wrong with it beside it.
type Entry struct {
	ID    string // of the field; label and error hang on it
	Name  string
	Label string
	Value string
	Hint  string
	Wrong string
	Type  string // of the input; empty: text
	Mode  string // inputmode: numeric, decimal, text
	List  string // id of a datalist
	Auto  string // autocomplete; empty: off
	Need  bool   // required
}

// Option is one choice of a select or of a row of buttons.
type Option struct {
	Value, Says string
	On          bool
}

func (e Entry) kind() string {
	if e.Type == "" {
		return "text"
	}
	return e.Type
}

func (e Entry) auto() string {
	if e.Auto == "" {
		return "off"
	}
	return e.Auto
}

// described names the elements that say more about the field.
func (e Entry) described() string {
	ids := ""
	if e.Hint != "" {
		ids = e.ID + "-hint"
	}
	if e.Wrong != "" {
		ids += " " + e.ID + "-wrong"
	}
	return ids
}
