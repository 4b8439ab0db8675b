package server

import (
	"context"
	"io"
	"net/http"
	"time"

	"dawnround/courier"
)

const (
	maxParcel    = 8 << 20          // bytes of one parcel, packed
	maxOpening   = 64 << 10         // of a message without a credential
	waits        = 20 * time.Second // for which a question may wait for news
	atOnce       = 64               // questions answered at one time
	octets       = "application/octet-stream"
	preflightFor = "600" // seconds for which a browser need not ask again
)

// exchanges are the addresses that the programme's devices use: for lines, for
// who is where in the round, and to be let in. Only these answer other origins,
// and only to a credential in a header: no cookie is read or set, so a web site
// gains nothing by sending a visitor's browser here.
func (s *Server) exchanges() http.Handler {
	mux := http.NewServeMux()
	for path, answer := range map[string]func(context.Context, string, []byte) courier.Answer{
		"/sync": func(_ context.Context, authorization string, body []byte) courier.Answer {
			return s.house.Answer(authorization, body)
		},
		"/presence": s.house.Presence,
		"/blob": func(_ context.Context, authorization string, body []byte) courier.Answer {
			return s.house.Blob(authorization, body)
		},
		"/pair": func(ctx context.Context, _ string, body []byte) courier.Answer { return s.door.Answer(ctx, body) },
	} {
		mux.Handle("POST "+path, s.exchange(answer))
		mux.HandleFunc("OPTIONS "+path, preflight)
	}
	return mux
}

// exchangePaths are those of exchanges.
var exchangePaths = []string{"/sync", "/presence", "/blob", "/pair"}

// exchange answers one question of a device.
func (s *Server) exchange(answer func(context.Context, string, []byte) courier.Answer) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		anyOrigin(w)
		w.Header().Set("Cache-Control", "no-store")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		w.Header().Set("Content-Type", octets)
		select {
		case s.busy <- struct{}{}:
			defer func() { <-s.busy }()
		default:
			http.Error(w, "too many devices ask at once; ask again", http.StatusServiceUnavailable)
			return
		}
		most := int64(maxParcel)
		if r.Header.Get("Authorization") == "" {
			most = maxOpening
		}
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, most))
		if err != nil {
			http.Error(w, "the message was cut off, or is too long; send it again", http.StatusBadRequest)
			return
		}
		ctx, cancel := context.WithTimeout(r.Context(), waits)
		defer cancel()
		a := answer(ctx, r.Header.Get("Authorization"), body)
		w.WriteHeader(a.Status)
		w.Write(a.Body)
	})
}

// preflight tells a browser that another origin may ask, with a header and
// without cookies.
func preflight(w http.ResponseWriter, r *http.Request) {
	anyOrigin(w)
	h := w.Header()
	h.Set("Access-Control-Allow-Methods", http.MethodPost)
	h.Set("Access-Control-Allow-Headers", "Authorization, Content-Type")
	h.Set("Access-Control-Max-Age", preflightFor)
	if r.Header.Get("Access-Control-Request-Private-Network") != "" {
		h.Set("Access-Control-Allow-Private-Network", "true")
	}
	w.WriteHeader(http.StatusNoContent)
}

// anyOrigin lets pages of any origin read the answer. With "*" a browser sends
// no cookies and gives none.
func anyOrigin(w http.ResponseWriter) { w.Header().Set("Access-Control-Allow-Origin", "*") }
