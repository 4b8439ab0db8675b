package dawnround_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var (
	packagePattern = regexp.MustCompile("`([a-z/]+)`|\\b((?:Test|Fuzz)[A-Za-z]+)")
	rowOfThree     = regexp.MustCompile(`(?m)^\| (.+) \| (.+) \| (.+) \|$`)
)

// TestSecurityRead: each row of docs/security.md names tests that there are, or
// says that it is a limit.
func TestSecurityRead(t *testing.T) {
	t.Parallel()
	rows := 0
	for _, row := range rowOfThree.FindAllStringSubmatch(read(t, filepath.Join("docs", "security.md")), -1) {
		what, happens, heldBy := row[1], row[2], row[3]
		if what == "what they try" || strings.HasPrefix(what, "---") {
			continue
		}
		rows++
		tests, pkg := 0, ""
		for _, m := range packagePattern.FindAllStringSubmatch(heldBy, -1) {
			if m[1] != "" {
				pkg = m[1]
				continue
			}
			if tests++; !declares(t, pkg, m[2]) {
				t.Errorf("%q: there is no %s in %s", what, m[2], pkg)
			}
		}
		if tests == 0 && !strings.Contains(happens, "**Limit") {
			t.Errorf("%q names no test and no limit", what)
		}
	}
	if rows < 20 {
		t.Errorf("%d rows are read; the page has another form than this test", rows)
	}
}

// declares reports a test of that name in a package.
func declares(t *testing.T, pkg, name string) bool {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(pkg, "*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), "func "+name+"(") {
			return true
		}
	}
	return false
}
