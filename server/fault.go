package server

import (
	"fmt"
	"net/http"
	"runtime"
	"runtime/debug"

	"dawnround/page"
)

// survive turns a mistake of ours into a page with a report, and goes on.
func (s *Server) survive(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answer := &noted{ResponseWriter: w}
		defer func() {
			mistake := recover()
			if mistake == nil {
				return
			}
			if mistake == http.ErrAbortHandler {
				panic(mistake)
			}
			stack := debug.Stack()
			fmt.Fprintf(s.options.Log, "%s %s: %v\n%s", r.Method, r.Pattern, mistake, stack)
			if !answer.begun {
				page.OurFault(w, r, report(r, mistake, stack))
			}
		}()
		next.ServeHTTP(answer, r)
	})
}

// report says where the mistake is and names nothing of the notebook: the
// words of a panic may hold what was typed, so only those of Go's own are told.
func report(r *http.Request, mistake any, stack []byte) string {
	said := fmt.Sprintf("%T", mistake)
	if own, ok := mistake.(runtime.Error); ok {
		said = own.Error()
	}
	version := "unknown"
	if info, ok := debug.ReadBuildInfo(); ok {
		version = info.Main.Version
	}
	return fmt.Sprintf("dawnround %s, %s, %s/%s\n%s %s\n%s\n\n%s", version, runtime.Version(), runtime.GOOS, runtime.GOARCH, r.Method, r.Pattern, said, stack)
}

// noted knows whether an answer has begun.
type noted struct {
	http.ResponseWriter
	begun bool
}

func (n *noted) WriteHeader(status int) {
	n.begun = true
	n.ResponseWriter.WriteHeader(status)
}

func (n *noted) Write(b []byte) (int, error) {
	n.begun = true
	return n.ResponseWriter.Write(b)
}

// Unwrap is for http.ResponseController.
func (n *noted) Unwrap() http.ResponseWriter { return n.ResponseWriter }
