package server

import (
	"net/http"

	"dawnround/page"
)

// Trust is the page that explains how a phone accepts the camp's authority,
// and how it is removed again.
type Trust struct {
	Frame       page.Frame `json:"-"`
	Name        string     `json:"name"`
	Fingerprint string     `json:"fingerprint"`
	Until       string     `json:"until"`
}

// authorityFile is the certificate as phones take it; no key is in it.
const authorityFile = "/trust/dawnround-camp.crt"

// mountTrust adds the page and the certificate, where there is a camp: both
// may be seen by anybody.
func (s *Server) mountTrust(mux *http.ServeMux) {
	a := s.options.Camp
	if a == nil {
		return
	}
	mux.HandleFunc("GET /trust", func(w http.ResponseWriter, r *http.Request) {
		p := Trust{Name: a.Name(), Fingerprint: a.Fingerprint(), Until: a.Until().Format("2 January 2006")}
		p.Frame = page.FrameOf(r, "Trust this laptop", "", "", s.options.Now())
		page.Answer(w, r, p, trustSheet(p))
	})
	mux.HandleFunc("GET "+authorityFile, func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "application/x-x509-ca-cert")
		w.Header().Set("Content-Disposition", `attachment; filename="dawnround-camp.crt"`)
		w.Write(a.DER())
	})
}

// Trusting serves only the page and the certificate, without TLS, for phones
// that do not trust the camp yet. What it says is to be compared with the
// laptop's own screen, since anybody on the hotspot could stand in for it.
func (s *Server) Trusting() http.Handler {
	mux := http.NewServeMux()
	s.mountTrust(mux)
	page.Mount(mux, s.name, s.crew)
	only := http.NewServeMux()
	only.Handle("GET /trust", mux)
	only.Handle("GET /trust/", mux)
	only.Handle("GET /static/", mux)
	only.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		http.Redirect(w, r, "/trust", http.StatusSeeOther)
	})
	return s.survive(strict(wayBack(only)))
}
