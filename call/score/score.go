// Package score runs a file of utterances with what is expected of each, and
// tells how package call did: passed by category and difficulty, silent wrong
// values, needless questions, and every failure side by side.
//
// The layout of the file and the rules are those of shorthand.md §11–§13 and
// given.md of the reference data: columns id, category, difficulty, context,
// given, utterance, expected. The column context is for people and never read.
// Names are mapped by one static table (names.go).
package score

import (
	_ "embed"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"

	"dawnround/call"
	"dawnround/protocol"
	"dawnround/register"
)

//go:embed marsupial.yaml
var marsupial []byte

// Result is how a file of cases was read.
type Result struct {
	Cases        int              `json:"cases"`
	Passed       int              `json:"passed"`
	ByDifficulty map[string]Count `json:"by_difficulty"`
	ByCategory   map[string]Count `json:"by_category"`
	SilentWrong  int              `json:"silent_wrong"`
	Silent       []Wrong          `json:"silent,omitempty"`
	Needless     int              `json:"needless_questions"`
	Failures     []Failure        `json:"failures"`
}

// Count is passed of cases.
type Count struct {
	Cases  int `json:"cases"`
	Passed int `json:"passed"`
}

// Wrong is one value that was filled wrongly without a question.
type Wrong struct {
	ID    string `json:"id"`
	Value string `json:"value"`
}

// Failure is one case that did not pass.
type Failure struct {
	ID         string   `json:"id"`
	Category   string   `json:"category"`
	Difficulty string   `json:"difficulty"`
	Utterance  string   `json:"utterance"`
	Expected   string   `json:"expected"`
	Got        string   `json:"got"`
	Wrong      []string `json:"wrong"`
	Needless   int      `json:"needless_questions,omitempty"`
}

var columns = []string{"id", "category", "difficulty", "context", "given", "utterance", "expected"}

// A Scorer holds the programme of the invented test marsupial. It is used by one
// goroutine at a time.
type Scorer struct {
	protocol *protocol.Protocol
	reader   *call.Reader
	bare     protocol.Sheet     // another species: the same words, no ranges
	noLife   *register.Register // of an animal without an earlier visit, once made
}

// New makes a scorer with the defaults of shorthand.md §12.
func New() (*Scorer, error) {
	p, err := protocol.Parse("marsupial.yaml", marsupial)
	if err != nil {
		return nil, err
	}
	s := &Scorer{protocol: p}
	s.bare = p.Species[0]
	s.bare.Code, s.bare.Name = "other", "another species"
	s.bare.Traits = slices.Clone(s.bare.Traits)
	for i := range s.bare.Traits {
		s.bare.Traits[i].Ranges = nil
	}
	p.Species = append(p.Species, s.bare)
	s.reader = call.New(p)
	return s, nil
}

// Run reads a file of cases. name is how an error calls it.
func Run(name string, file io.Reader) (Result, error) {
	s, err := New()
	if err != nil {
		return Result{}, err
	}
	r := Result{ByDifficulty: map[string]Count{}, ByCategory: map[string]Count{}, Failures: []Failure{}}
	rows := csv.NewReader(file)
	head, err := rows.Read()
	if err != nil || !slices.Equal(head, columns) {
		return r, fmt.Errorf("%s line 1: expected the columns %v, got %v", name, columns, head)
	}
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return r, nil
		}
		if err != nil {
			return r, fmt.Errorf("%s: %w", name, err)
		}
		if err := s.row(&r, row); err != nil {
			line, _ := rows.FieldPos(0)
			return r, fmt.Errorf("%s line %d: %w", name, line, err)
		}
	}
}

// row scores one case.
func (s *Scorer) row(r *Result, row []string) error {
	id, category, difficulty, utterance, expected := row[0], row[1], row[2], row[5], row[6]
	var want map[string]any
	if err := json.Unmarshal([]byte(expected), &want); err != nil {
		return fmt.Errorf("case %s: expected %s: %w", id, expected, err)
	}
	g, err := s.got(row[4], utterance)
	if err != nil {
		return fmt.Errorf("case %s: %w", id, err)
	}
	wrong, silent, needless := compare(want, g)
	r.count(category, difficulty, len(wrong) == 0)
	r.Needless += needless
	for _, v := range silent {
		r.SilentWrong++
		r.Silent = append(r.Silent, Wrong{id, v})
	}
	if len(wrong) > 0 || needless > 0 {
		r.Failures = append(r.Failures, Failure{ID: id, Category: category, Difficulty: difficulty, Utterance: utterance, Expected: expected, Got: g.text(), Wrong: wrong, Needless: needless})
	}
	return nil
}

// got is what one utterance gives, in the names of the file: what was heard,
// and what the bench's checks then ask.
func (s *Scorer) got(given, utterance string) (got, error) {
	sc, err := readScene(given)
	if err != nil {
		return nil, err
	}
	h := s.read(sc, utterance)
	g := inFileNames(h)
	flagged, err := s.checked(sc, h)
	if err != nil {
		return nil, err
	}
	asked := texts(any(g["ask"]))
	for _, name := range flagged {
		if !slices.Contains(asked, name) && !slices.Contains(asked, "weight_basis") {
			asked = append(asked, name)
		}
	}
	if len(asked) > 0 {
		g["ask"] = asked
	}
	return g, nil
}

// Scene is what a phrase is read with where given says what stands before it:
// the vocabulary, the sheet with the defaults of shorthand.md §12, and the scene.
func (s *Scorer) Scene(given string) (*call.Reader, *protocol.Sheet, call.Given, error) {
	sc, err := readScene(given)
	if err != nil {
		return nil, nil, call.Given{}, err
	}
	return s.reader, s.sheet(sc), sc.given, nil
}

// Read reads one utterance in the scene that given describes.
func (s *Scorer) Read(given, utterance string) (call.Heard, error) {
	sc, err := readScene(given)
	if err != nil {
		return call.Heard{}, err
	}
	return s.read(sc, utterance), nil
}

func (s *Scorer) read(sc scene, utterance string) call.Heard {
	return s.reader.Read(utterance, s.sheet(sc), sc.given)
}

func (s *Scorer) sheet(sc scene) *protocol.Sheet {
	if sc.species != "" {
		return &s.protocol.Species[1]
	}
	return &s.protocol.Species[0]
}

func (r *Result) count(category, difficulty string, passed bool) {
	r.Cases++
	add := func(to map[string]Count, key string) {
		c := to[key]
		c.Cases++
		if passed {
			c.Passed++
		}
		to[key] = c
	}
	if passed {
		r.Passed++
	}
	add(r.ByCategory, category)
	add(r.ByDifficulty, difficulty)
}
