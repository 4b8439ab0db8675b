// Package shared finds the reference data that lies beside the project and is
// never copied into it. Only tests import it.
package shared

import (
	"os"
	"path/filepath"
	"testing"
)

// File returns the path of a reference file below the shared folder, for
// instance "standards/data/geo_vectors.csv". Where the folder is absent the
// test is skipped with the reason; with CI=true its absence fails the test.
func File(tb testing.TB, name string) string {
	tb.Helper()
	dir, err := os.Getwd()
	if err != nil {
		tb.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			break
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			tb.Fatal("no go.mod above the test's folder")
		}
		dir = parent
	}
	folder := filepath.Join(dir, "..", "shared")
	path := filepath.Join(folder, filepath.FromSlash(name))
	if _, err := os.Stat(path); err == nil {
		return path
	}
	if _, err := os.Stat(folder); err == nil {
		tb.Fatalf("%s is not in the shared folder, which is there: is the name right?", name)
	}
	if os.Getenv("CI") == "true" {
		tb.Fatalf("reference data %s is not beside the project; CI needs it", name)
	}
	tb.Skipf("reference data %s is not beside the project: this check against it is not run", name)
	return ""
}
