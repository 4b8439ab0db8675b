package server

import (
	"net/http"
	"strings"

	"dawnround/page"
)

// wayBack gives an address that is not there, or not to be used so, a page
// with a way back, in place of the router's few bare words.
func wayBack(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		answer := &bare{ResponseWriter: w}
		next.ServeHTTP(answer, r)
		switch answer.withheld {
		case http.StatusNotFound:
			page.Refuse(w, r, http.StatusNotFound, "There is no such page",
				r.URL.Path+" is not an address of this program.", "Go back; the pages are named at the top of each.")
		case http.StatusMethodNotAllowed:
			page.Refuse(w, r, http.StatusMethodNotAllowed, "That cannot be done here",
				r.Method+" is nothing that "+r.URL.Path+" takes; it takes "+w.Header().Get("Allow")+".", "Nothing was written. Go back and use the page's own buttons.")
		}
	})
}

// bare withholds an answer in plain words that there is no such address or
// method.
type bare struct {
	http.ResponseWriter
	withheld int // its status; 0: none
}

func (b *bare) WriteHeader(status int) {
	plain := strings.HasPrefix(b.Header().Get("Content-Type"), "text/plain")
	if plain && (status == http.StatusNotFound || status == http.StatusMethodNotAllowed) {
		b.withheld = status
		return
	}
	b.ResponseWriter.WriteHeader(status)
}

func (b *bare) Write(body []byte) (int, error) {
	if b.withheld != 0 {
		return len(body), nil
	}
	return b.ResponseWriter.Write(body)
}

func (b *bare) Unwrap() http.ResponseWriter { return b.ResponseWriter }
