package score_test

import (
	"encoding/csv"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"dawnround/internal/shared"
)

// plainWords is a text in lower case with one space between words, so that no
// line break, hyphen or comma hides an utterance.
func plainWords(text string) string {
	return " " + strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9')
	}), " ") + " "
}

// TestNoUtteranceOfTheFileIsInTheSource: the parser knows how people speak, not
// the sentences it is tried on. Words that stand alone are vocabulary.
func TestNoUtteranceOfTheFileIsInTheSource(t *testing.T) {
	t.Parallel()
	file := cases(t, shared.File(t, "checks/shorthand_cases.csv"))
	byOthers := slices.Concat(file, cases(t, "testdata/others.csv"), cases(t, "testdata/blind.csv"), cases(t, "testdata/third.csv"), cases(t, "testdata/fourth.csv"), cases(t, "testdata/fifth.csv"), cases(t, "testdata/sixth.csv"), cases(t, "testdata/seventh.csv"))
	for name, text := range sources(t) {
		rows := file
		if strings.Contains(filepath.ToSlash(name), "/call/") {
			rows = byOthers // the parser's own source holds none of theirs either
		}
		for _, row := range rows {
			said := plainWords(row[5])
			least := 2 // words that stand alone are vocabulary, and so are terms of three in the parser's own tables
			if len(rows) > len(file) {
				least = 4
			}
			if strings.Count(said, " ") > least && strings.Contains(text, said) {
				t.Errorf("%s holds the utterance of case %s, %q", name, row[0], row[5])
			}
		}
	}
}

// cases are the rows of a file of cases.
func cases(t *testing.T, path string) [][]string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// sources are the project's texts that are no tests, as plain words.
func sources(t *testing.T) map[string]string {
	t.Helper()
	found := map[string]string{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == ".git" || d.Name() == "node_modules" || d.Name() == "testdata" || d.Name() == "bin" || d.Name() == "dist") {
			return filepath.SkipDir
		}
		ext := filepath.Ext(path)
		if d.IsDir() || strings.HasSuffix(path, "_test.go") || ext != ".go" && ext != ".yaml" && ext != ".templ" && ext != ".js" {
			return nil
		}
		text, err := os.ReadFile(path)
		found[path] = plainWords(string(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}
