package main

import (
	"context"
	"os"
	"os/signal"
	"strings"
	"time"
)

// byClock is the program at the time written in the file CLOCK names, so that
// pictures of a dawn can be made at any hour and come out alike.
func byClock() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	c := &call{ctx: ctx, stdin: os.Stdin, stdout: os.Stdout, stderr: os.Stderr, now: clockIn(os.Getenv("CLOCK"))}
	os.Exit(c.exit(c.run(os.Args[1:])))
}

// clockIn reads the time anew whenever it is asked.
func clockIn(file string) func() time.Time {
	return func() time.Time {
		text, err := os.ReadFile(file)
		if err != nil {
			panic(err)
		}
		at, err := time.Parse(time.RFC3339, strings.TrimSpace(string(text)))
		if err != nil {
			panic(err)
		}
		return at
	}
}
