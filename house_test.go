package dawnround_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var (
	numbers   = []string{"fit", "growth/fitting", "abundance", "survival", "density", "proportion", "agreement", "condition", "parasite"}
	outsiders = []string{"trapside", "desk", "exchange", "report", "server"} // they ask answer, never the numbers
	stores    = []string{"notebook/sqlite", "notebook/browser"}
	clockRead = []string{"cmd", "server", "trapside"} // the only folders that may read the clock
)

// A row is one package of ARCHITECTURE.md's table of order.
type row struct {
	name   string
	toCome bool
}

var rowPattern = regexp.MustCompile("(?m)^\\| `([a-z0-9/]+)`( \\*to come\\*)? \\|")

// readOrder finds the table's rows in the section headed "Order".
func readOrder(markdown string) []row {
	_, section, _ := strings.Cut(markdown, "\n## Order\n")
	section, _, _ = strings.Cut(section, "\n## ")
	var rows []row
	for _, m := range rowPattern.FindAllStringSubmatch(section, -1) {
		rows = append(rows, row{name: m[1], toCome: m[2] != ""})
	}
	return rows
}

// wrongs tells what the imports of the house's packages, by name, do against
// its order. The names lack the module's own.
func wrongs(order []row, imports map[string][]string) []string {
	at := map[string]int{}
	var found []string
	for i, r := range order {
		at[r.name] = i
		if _, built := imports[r.name]; built == r.toCome {
			found = append(found, misplaced(r))
		}
	}
	for name, imported := range imports {
		if _, listed := at[name]; !listed {
			found = append(found, fmt.Sprintf("%s is not in ARCHITECTURE.md's table; give it a row where it may stand", name))
			continue
		}
		for _, other := range imported {
			if listed, ok := at[other]; ok && listed >= at[name] {
				found = append(found, fmt.Sprintf("%s imports %s, which stands below it; move the code, not the row", name, other))
			}
			if why := forbidden(name, other); why != "" {
				found = append(found, fmt.Sprintf("%s imports %s; %s", name, other, why))
			}
		}
	}
	slices.Sort(found)
	return found
}

func misplaced(r row) string {
	if r.toCome {
		return r.name + " is here; strike 'to come' from its row in ARCHITECTURE.md"
	}
	return r.name + " is in ARCHITECTURE.md's table, but has no Go files; strike its row, or mark it *to come*"
}

func forbidden(name, other string) string {
	switch {
	case slices.Contains(outsiders, name) && slices.Contains(numbers, other):
		return "ask answer instead of the numbers"
	case slices.Contains(stores, other) && !strings.HasPrefix(name, "cmd/"):
		return "only cmd names a store; take a notebook.Store"
	}
	return ""
}

func TestOrderOfTheHouse(t *testing.T) {
	t.Parallel()
	order := readOrder(read(t, "ARCHITECTURE.md"))
	if len(order) == 0 {
		t.Fatal(`ARCHITECTURE.md: no rows under "## Order"`)
	}
	imports := map[string][]string{}
	for _, file := range files(t, ".go") {
		if !strings.HasSuffix(file, "_test.go") {
			name := path.Dir(file)
			imports[name] = append(imports[name], importsOf(t, file)...)
		}
	}
	for _, wrong := range wrongs(order, imports) {
		t.Error(wrong)
	}
}

// importsOf returns what a Go file imports of this module, whatever system the
// file is for.
func importsOf(t *testing.T, file string) []string {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	var own []string
	for _, spec := range parsed.Imports {
		imported, _ := strconv.Unquote(spec.Path.Value)
		if name, ok := strings.CutPrefix(imported, "dawnround/"); ok {
			own = append(own, name)
		}
	}
	return own
}

func TestWrongsAreFound(t *testing.T) {
	t.Parallel()
	order := readOrder("# x\n\n## Order\n\n| `up` | a |\n| `fit` | b |\n| `notebook/sqlite` | c |\n" +
		"| `down` *to come* | d |\n| `desk` | e |\n| `cmd/x` | f |\n\n## Beside\n\n| `not` | g |\n")
	sound := map[string][]string{"up": nil, "fit": {"up"}, "notebook/sqlite": {"up"}, "desk": {"up"}, "cmd/x": {"notebook/sqlite", "fit"}}
	cases := []struct {
		name, pkg string
		imports   []string
		want      string // "" where nothing is wrong
	}{
		{"as it should be", "desk", []string{"up"}, ""},
		{"climbs", "up", []string{"desk"}, "up imports desk, which stands below it"},
		{"itself", "up", []string{"up"}, "up imports up, which stands below it"},
		{"not listed", "attic", nil, "attic is not in ARCHITECTURE.md's table"},
		{"a row of another table", "not", nil, "not is not in ARCHITECTURE.md's table"},
		{"built, but marked to come", "down", nil, "down is here; strike 'to come'"},
		{"a screen reaches the numbers", "desk", []string{"fit"}, "desk imports fit; ask answer"},
		{"a screen names a store", "desk", []string{"notebook/sqlite"}, "desk imports notebook/sqlite; only cmd"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			imports := map[string][]string{}
			for name, imported := range sound {
				imports[name] = imported
			}
			imports[c.pkg] = c.imports
			expectOne(t, wrongs(order, imports), c.want)
		})
	}
	t.Run("listed, but not built", func(t *testing.T) {
		t.Parallel()
		expectOne(t, wrongs([]row{{name: "gone"}}, nil), "gone is in ARCHITECTURE.md's table, but has no Go files")
	})
}

func expectOne(t *testing.T, got []string, want string) {
	t.Helper()
	if want == "" && len(got) > 0 || want != "" && (len(got) != 1 || !strings.HasPrefix(got[0], want)) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestOnlyOuterFoldersReadTheClock(t *testing.T) {
	t.Parallel()
	for _, file := range files(t, ".go") {
		top, _, _ := strings.Cut(file, "/")
		if strings.HasSuffix(file, "_test.go") || slices.Contains(clockRead, top) {
			continue
		}
		for _, where := range clockReads(t, file, read(t, file)) {
			t.Errorf("%s reads the clock; take the time as a parameter", where)
		}
	}
}

// clockReads gives the places where Go source reads the clock.
func clockReads(t *testing.T, name, source string) []string {
	t.Helper()
	set := token.NewFileSet()
	parsed, err := parser.ParseFile(set, name, source, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	var places []string
	ast.Inspect(parsed, func(n ast.Node) bool {
		if sel, ok := n.(*ast.SelectorExpr); ok {
			pkg, _ := sel.X.(*ast.Ident)
			if pkg != nil && pkg.Name == "time" && slices.Contains([]string{"Now", "Since", "Until"}, sel.Sel.Name) {
				places = append(places, set.Position(n.Pos()).String())
			}
		}
		return true
	})
	return places
}

func TestClockReadsAreFound(t *testing.T) {
	t.Parallel()
	const source = "package p\n\nimport \"time\"\n\nvar clock = time.Now // time.Now\n\nvar long = time.Since(time.Time{})\n\nvar night = time.Date\n"
	if got, want := clockReads(t, "p.go", source), []string{"p.go:5:13", "p.go:7:12"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

// unwelcome are words no file may hold. They are written so that this file
// does not hold them.
var unwelcome = []struct {
	pattern *regexp.Regexp
	why     string
}{
	{regexp.MustCompile(`\b(TO[D]O|FIX[M]E|X[X]X)\b`), "finish it, or say in ARCHITECTURE.md what is left"},
	{regexp.MustCompile(`(^|[\s"'=(])/(home|root|work|Users)/`), "a folder of one machine"},
	{regexp.MustCompile(`\b(proxy|registry|deb)\.(golang|npmjs|debian)\b|"[r]esolved":`), "a package host; the reader's own settings name it"},
	{regexp.MustCompile(`"[^"\n]*\b[Ff]ailed [t]o\b`), "say where, which value, what was expected and what to do"},
	{regexp.MustCompile(`(?m)^package (util|utils|common|helpers?|models?|managers?)$`), "name a package for what it knows"},
}

func TestNoUnwelcomeWords(t *testing.T) {
	t.Parallel()
	for _, file := range files(t, "") {
		text := read(t, file)
		if strings.ContainsRune(text, 0) {
			continue // a picture or a program
		}
		for _, found := range unwelcomeIn(text) {
			t.Errorf("%s %s", file, found)
		}
	}
}

func unwelcomeIn(text string) []string {
	var found []string
	for _, u := range unwelcome {
		for _, at := range u.pattern.FindAllStringIndex(text, -1) {
			line := 1 + strings.Count(text[:at[1]], "\n")
			found = append(found, fmt.Sprintf("line %d: %q: %s", line, strings.TrimSpace(text[at[0]:at[1]]), u.why))
		}
	}
	return found
}

func TestUnwelcomeWordsAreFound(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"a\n// TO" + "DO: later":             `line 2: "TO` + `DO": finish`,
		"open /ro" + "ot/notes":              `line 1: "/ro` + `ot/": a folder`,
		"https://reg" + "istry.npmjs/x":      `line 1: "reg` + `istry.npmjs": a package host`,
		`errors.New("failed ` + `to open")`:  `line 1: "\"failed ` + `to": say where`,
		"// x\npackage util":                 `line 2: "package util": name`,
		"the common vole; go to /desk/home/": "",
	} {
		expectOne(t, unwelcomeIn(text), want)
	}
}

func TestPinsAgree(t *testing.T) {
	t.Parallel()
	ours, tools := read(t, "go.mod"), read(t, "tools/go.mod")
	const templ = "github.com/a-h/templ"
	if got, want := required(tools, templ), required(ours, templ); got != want || want == "" {
		t.Errorf("tools/go.mod has %s %q, go.mod %q; the generator and its runtime must be one version", templ, got, want)
	}

	// SQLite in Go is translated for one libc exactly; with another it may damage a notebook.
	const sqlite, libc = "modernc.org/sqlite", "modernc.org/libc"
	out, err := exec.Command("go", "list", "-m", "-f", "{{.GoMod}}", sqlite).Output()
	if err != nil {
		t.Fatalf("go list -m %s: %v", sqlite, err)
	}
	theirs := read(t, strings.TrimSpace(string(out)))
	if got, want := required(ours, libc), required(theirs, libc); got != want || want == "" {
		t.Errorf("go.mod has %s %q, but %s asks for %q; set exactly that", libc, got, sqlite, want)
	}
}

// required returns the version of a module that a go.mod asks for, or "".
func required(gomod, module string) string {
	for line := range strings.Lines(gomod) {
		fields := strings.Fields(strings.TrimPrefix(line, "require "))
		if len(fields) >= 2 && fields[0] == module {
			return fields[1]
		}
	}
	return ""
}

func TestRequired(t *testing.T) {
	t.Parallel()
	const gomod = "module m\n\nrequire a.org/b v1.2.3\n\nrequire (\n\ta.org/bc v2.0.0 // indirect\n)\n"
	for module, want := range map[string]string{"a.org/b": "v1.2.3", "a.org/bc": "v2.0.0", "a.org": ""} {
		if got := required(gomod, module); got != want {
			t.Errorf("%s: got %q, want %q", module, got, want)
		}
	}
}

// made are folders that hold what was built, installed or grown.
var made = []string{".git", "bin", "dist", "node_modules", "out", "demo-programme"}

// files lists the project's own files whose names end so, with forward slashes.
func files(t *testing.T, suffix string) []string {
	t.Helper()
	var found []string
	err := filepath.WalkDir(".", func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && slices.Contains(made, d.Name()) {
			return filepath.SkipDir
		}
		if !d.IsDir() && strings.HasSuffix(file, suffix) {
			found = append(found, filepath.ToSlash(file))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

func read(t *testing.T, file string) string {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
