// Command dawnround is a field notebook for people who trap, mark and release
// animals. It only wires the packages together.
//
// The rules of the terminal: the result goes to standard output, everything
// else to standard error; a hint stands on a line of its own; the exit code is
// 0 when done, 1 when the data or the input is at fault, 2 for wrong usage; a
// file asked for appears only once it is whole.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // nights are told in the programme's zone, also where the system has no time zones
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
