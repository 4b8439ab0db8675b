package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestReadme holds the README to its script: each command it prints is run
// there as printed, and the protocol it shows is the one adopted there. What it
// points to in the project is there.
func TestReadme(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	script, err := os.ReadFile("testdata/script/readme.txtar")
	if err != nil {
		t.Fatal(err)
	}
	run := strings.Split(string(script), "\n")
	for _, to := range pointers.FindAllStringSubmatch(string(readme), -1) {
		if _, err := os.Stat("../../" + to[1]); err != nil {
			t.Errorf("README.md points to %s: %v", to[1], err)
		}
	}
	commands := 0
	for _, block := range fenced(string(readme), "console") {
		for line := range strings.Lines(block) {
			if command, ok := strings.CutPrefix(strings.TrimSpace(line), "$ dawnround "); ok {
				commands++
				if !slices.Contains(run, "exec dawnround "+command) {
					t.Errorf("README.md prints %q; testdata/script/readme.txtar does not run it", "dawnround "+command)
				}
			}
		}
	}
	if commands == 0 {
		t.Error("README.md prints no command that begins with “$ dawnround”")
	}
	for _, block := range fenced(string(readme), "yaml") {
		if !strings.Contains(string(script), "-- protocol.yaml --\n"+block) {
			t.Errorf("README.md shows a protocol that testdata/script/readme.txtar does not adopt:\n%s", block)
		}
	}
}

// pointers are links and pictures of a Markdown text that stay in the project.
var pointers = regexp.MustCompile(`\]\(([\w./-]+)\)`)

// fenced are the blocks of one language in a Markdown text.
func fenced(text, language string) []string {
	var out []string
	for {
		_, rest, found := strings.Cut(text, "```"+language+"\n")
		if !found {
			return out
		}
		block, after, _ := strings.Cut(rest, "```")
		out, text = append(out, block), after
	}
}
