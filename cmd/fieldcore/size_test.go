package main

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"encoding/binary"
	"flag"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write testdata/sizes.txt anew")

const (
	// mostPacked is the budget for what a phone loads: 3 MB, packed. Brotli, which
	// the release is packed with, makes of a core this large 0.71 of what gzip
	// makes of it (measured on this core), and Go has no brotli.
	mostPacked  = 3_000_000
	brotliShare = 0.71
	noticeable  = 10_000 // bytes of code by which a package grows before it is told
)

// The core stays below its budget, and what grew is named: the committed list
// says how much code each package had when somebody last looked.
func TestSizeOfTheCore(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles the core")
	}
	t.Parallel()
	wasm := compiled(t)
	sizes, names := packageSizes(t, wasm)
	packed := float64(gzipped(t, stripped(wasm, names))) * brotliShare
	t.Logf("%.2f MB packed (budget %.2f), %.1f MB as it runs", packed/1e6, mostPacked/1e6, float64(len(wasm)-len(names))/1e6)
	told := growth(t, sizes)
	if packed > mostPacked {
		t.Errorf("the core is %.0f bytes packed, %d are allowed; since the list was written:\n%s", packed, mostPacked, told)
	} else {
		t.Logf("since the list was written:\n%s", told)
	}
	if *update {
		write(t, sizes)
	}
}

const sizesFile = "testdata/sizes.txt"

// compiled is the core with the names of its functions.
func compiled(t *testing.T) []byte {
	t.Helper()
	name := filepath.Join(t.TempDir(), "core.wasm")
	flags, err := exec.Command("make", "-s", "-C", "../..", "core-flags").Output()
	if err != nil {
		t.Fatal(err)
	}
	build := exec.Command("go", slices.Concat([]string{"build"}, strings.Fields(string(flags)), []string{"-ldflags=-w", "-o", name, "."})...)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	wasm, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return wasm
}

// section is one section of a WebAssembly module (core specification 2.0,
// binary format, section 5.5).
type section struct {
	id         byte
	whole, say []byte
}

const (
	customSection = 0
	importSection = 2
	codeSection   = 10
)

func sections(t *testing.T, wasm []byte) (all []section) {
	t.Helper()
	for rest := wasm[8:]; len(rest) > 0; { // behind magic and version
		size, n := binary.Uvarint(rest[1:])
		if n <= 0 || uint64(len(rest)) < 1+uint64(n)+size {
			t.Fatal("not a module: a section is cut")
		}
		end := 1 + n + int(size)
		all = append(all, section{rest[0], rest[:end], rest[1+n : end]})
		rest = rest[end:]
	}
	return all
}

// packageSizes is how many bytes of code each package has, and the section with
// the names that told so.
func packageSizes(t *testing.T, wasm []byte) (map[string]int, []byte) {
	t.Helper()
	var names map[uint64]string
	var section []byte
	var code []byte
	var imported uint64
	for _, s := range sections(t, wasm) {
		switch {
		case s.id == importSection:
			imported, _ = binary.Uvarint(s.say)
		case s.id == codeSection:
			code = s.say
		case s.id == customSection && bytes.HasPrefix(s.say, []byte("\x04name")):
			section, names = s.whole, functionNames(s.say[5:])
		}
	}
	sizes := map[string]int{}
	count, n := binary.Uvarint(code)
	for i := range count {
		size, m := binary.Uvarint(code[n:])
		n += m + int(size)
		sizes[packageOf(names[imported+i])] += int(size)
	}
	return sizes, section
}

// functionNames reads the name section's list of functions.
func functionNames(say []byte) map[uint64]string {
	names := map[uint64]string{}
	number := func() uint64 { v, n := binary.Uvarint(say); say = say[n:]; return v }
	for len(say) > 0 {
		id := number()
		size := number()
		if id != 1 { // functions
			say = say[size:]
			continue
		}
		for range number() {
			i := number()
			length := number()
			names[i], say = string(say[:length]), say[length:]
		}
		return names
	}
	return names
}

var packagePattern = regexp.MustCompile(`^(?:type:\.\w+\.)?((?:[\w.-]+/)*[\w-]+)`)

// packageOf is the package of a function by its name, in which the linker has
// written _ for most signs.
func packageOf(function string) string {
	if m := packagePattern.FindStringSubmatch(function); m != nil {
		return m[1]
	}
	return "other"
}

// stripped is the module without its names.
func stripped(wasm, names []byte) []byte { return bytes.Replace(wasm, names, nil, 1) }

func gzipped(t *testing.T, b []byte) int {
	t.Helper()
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		t.Fatal(err)
	}
	z.Write(b)
	z.Close()
	return packed.Len()
}

// growth tells which packages grew since the list was written, and what is new.
func growth(t *testing.T, now map[string]int) string {
	t.Helper()
	text, err := os.ReadFile(sizesFile)
	if err != nil && !*update {
		t.Fatal(err)
	}
	before := map[string]int{}
	for line := range strings.Lines(string(text)) {
		var size int
		var name string
		if n, _ := fmt.Sscan(line, &size, &name); n == 2 {
			before[name] = size
		}
	}
	names := slices.SortedFunc(maps.Keys(now), func(a, b string) int { return cmp.Compare(now[b]-before[b], now[a]-before[a]) })
	var told strings.Builder
	for _, name := range names {
		if grew := now[name] - before[name]; grew >= noticeable {
			fmt.Fprintf(&told, "%+9d %s (%d)\n", grew, name, now[name])
		}
	}
	return cmp.Or(told.String(), "nothing grew by much\n")
}

func write(t *testing.T, sizes map[string]int) {
	t.Helper()
	var b strings.Builder
	b.WriteString("# bytes of code by package in the core; written by: go test ./cmd/fieldcore -run Size -update\n")
	for _, name := range slices.SortedFunc(maps.Keys(sizes), func(a, b string) int { return cmp.Or(sizes[b]-sizes[a], strings.Compare(a, b)) }) {
		if sizes[name] >= noticeable {
			fmt.Fprintf(&b, "%9d %s\n", sizes[name], name)
		}
	}
	if err := os.WriteFile(sizesFile, []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}
