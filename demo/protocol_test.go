package demo_test

import (
	"os"
	"regexp"
	"testing"
)

// TestSourcesAreInWords: scribes see a limit's source as it is written here.
func TestSourcesAreInWords(t *testing.T) {
	t.Parallel()
	text, err := os.ReadFile("protocol.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if tag := regexp.MustCompile(`(?i)"\[[a-z]{1,2}\][^"]*"|measure your own`).Find(text); tag != nil {
		t.Errorf("%s: a tag, or an order to whoever reads it in the dark; say it in words", tag)
	}
}
