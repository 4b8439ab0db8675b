package trapside

import (
	"context"
	"io"
	"net/http"
	"slices"
	"strings"

	"dawnround/call"
	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// Echo is what became of the words on the call line: as they are typed, or of
// the phrase said last.
type Echo struct {
	Number int        // of the phrase; 0: it is still being typed
	Words  []EchoWord // joined they are the phrase
	Gives  []string   // what it fills
	Kept   []string   // what is kept in words, without a place on the card
	Asks   []string   // what is asked
	Undone bool       // it was taken back
	Hold   bool       // the handler said to hold
	About  string     // the other animal that it is about
}

// EchoWord is a piece of the phrase.
type EchoWord struct {
	Text string
	Fate call.Fate // taken, asked, left; empty between the words
}

// echo answers what becomes of the words while they are typed. It writes
// nothing.
func (t *Trapside) echo(w http.ResponseWriter, r *http.Request) {
	id, err := captureOf(r)
	phrase := r.FormValue("words")
	e := Echo{}
	t.mu.Lock()
	defer t.mu.Unlock()
	if err == nil {
		err = t.open(id)
	}
	if err != nil {
		wrong(w, r, err)
		return
	}
	if len(phrase) <= maxPhrase && strings.TrimSpace(phrase) != "" {
		t.programme.View(func(reg *register.Register) { e = t.echoOf(reg, id, phrase) })
	}
	page.Answer(w, r, e, echoPart(e))
}

func (t *Trapside) echoOf(r *register.Register, id uuid.UUID, phrase string) Echo {
	s := t.hear(r, id, phrase, t.local())
	e := Echo{}
	for _, word := range s.Heard.Words {
		e.Words = append(e.Words, EchoWord{word.Text, word.Fate})
	}
	switch before := t.animalBefore(r, id); {
	case s.Heard.Previous && before != nil:
		e.About = before.At.Trap + " " + nameOf(r, before.ID())
		e.Gives = []string{gist(s.Heard)}
		return e
	case s.Card != id:
		if c, ok := r.Capture(s.Card); ok {
			e.About = c.At.Trap + " " + nameOf(r, s.Card)
		}
	}
	e.steps(s.Steps)
	return e
}

// steps says what the steps of a phrase fill, keep and ask.
func (e *Echo) steps(steps []record.Step) {
	for _, s := range steps {
		head, _, _ := strings.Cut(s.Field, "/")
		switch {
		case s.Field == record.Said, head == "flags", head == "other", head == "asked" && s.Typed == "":
		case head == "doubts" && s.Doubt == nil:
		case head == "doubts":
			e.Asks = append(e.Asks, s.Doubt.Says)
		case s.Field == "heard/control":
			e.Hold = s.Typed == string(call.Hold)
		case s.Field == "heard/back":
			e.Gives = append(e.Gives, s.Typed)
		case head == "heard":
			e.Kept = append(e.Kept, said(s))
		default:
			e.Gives = append(e.Gives, said(s))
		}
	}
	e.Asks = slices.DeleteFunc(e.Asks, func(a string) bool { return a == "" })
}

// said is one step in words: "tail 162", or "tail struck".
func said(s record.Step) string {
	s.Phrase = 0
	if s.Typed == "" {
		s.Typed = "struck"
	}
	return undoWords(s)
}

// heard shows the phrase said last, with what became of its words, and marks
// the rows it concerns.
func (k *cardOf) heard() {
	all := record.Phrases(k.d.Steps)
	if len(all) == 0 {
		return
	}
	last := all[len(all)-1]
	var of []record.Step
	for _, i := range record.Standing(k.d.Steps) {
		if s := k.d.Steps[i]; s.Phrase == last.Phrase {
			of = append(of, s)
		}
	}
	e := Echo{Number: last.Phrase, Undone: len(of) == 0, Words: []EchoWord{{Text: last.Typed}}}
	if !e.Undone {
		e.Words = wordFates(last.Typed, of)
	}
	e.steps(of)
	k.card.Heard = e
	for _, s := range of {
		if row := k.rowOf(strings.TrimPrefix(s.Field, "doubts/")); row != nil {
			row.Heard = true
		}
	}
}

// wordFates cuts a phrase into words and says of each whether a step came from
// it.
func wordFates(phrase string, steps []record.Step) []EchoWord {
	var out []EchoWord
	for from := 0; from < len(phrase); {
		blank := isBlank(phrase[from])
		to := from
		for to < len(phrase) && isBlank(phrase[to]) == blank {
			to++
		}
		w := EchoWord{Text: phrase[from:to]}
		if !blank {
			w.Fate = fateOf(steps, from, to)
		}
		out = append(out, w)
		from = to
	}
	return out
}

func isBlank(b byte) bool { return strings.IndexByte(" \t\r\n", b) >= 0 }

// fateOf is what became of the bytes of a phrase from one place to another.
func fateOf(steps []record.Step, from, to int) call.Fate {
	fate := call.Left
	for _, s := range steps {
		switch {
		case s.Field == record.Said || s.To <= from || s.From >= to:
		case s.Doubt != nil:
			return call.Asked
		default:
			fate = call.Taken
		}
	}
	return fate
}

// sign is what stands behind a word, so that no colour speaks alone.
func (w EchoWord) sign() string {
	if w.Fate == call.Asked {
		return "?"
	}
	return ""
}

// words are the marked words of the phrase, without a gap that was not typed.
func (e Echo) words() templ.Component {
	return templ.ComponentFunc(func(_ context.Context, w io.Writer) error {
		for _, word := range e.Words {
			text := templ.EscapeString(word.Text)
			if word.Fate != call.Between {
				text = `<span class="` + string(word.Fate) + `">` + text + word.sign() + `</span>`
			}
			if _, err := io.WriteString(w, text); err != nil {
				return err
			}
		}
		return nil
	})
}

// aloud is what is read out: numbers with their digits apart.
func (e Echo) aloud() string {
	if e.Undone {
		return "taken back"
	}
	out := slices.Concat(e.Gives, e.Asks)
	for i, words := range out {
		out[i] = apart(words)
	}
	return strings.Join(out, ". ")
}

// apart says the numbers among words digit by digit.
func apart(words string) string {
	parts := strings.Fields(words)
	for i, p := range parts {
		bare := strings.Trim(p, "?.,;:~")
		if bare != "" && strings.Trim(bare, "0123456789.") == "" {
			parts[i] = strings.Replace(p, bare, call.Digits(bare), 1)
		}
	}
	return strings.Join(parts, " ")
}

// heardBy says for those who do not see the marks which words were not taken.
func (e Echo) heardBy(fate call.Fate) string {
	var out []string
	for _, w := range e.Words {
		if w.Fate == fate {
			out = append(out, w.Text)
		}
	}
	return strings.Trim(strings.Join(out, " "), " .,;:!")
}
