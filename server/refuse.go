package server

import (
	"fmt"
	"net"
	"net/http"
	"slices"
	"strings"

	"dawnround/page"
	"dawnround/photo"
)

// policy lets a page use nothing but this program's own files.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// maxBody is the most a form may hold; one with a picture in it may hold that too.
const (
	maxBody      = 1 << 20
	maxPhotoBody = photo.MostFile + maxBody
)

// mostOf is the most that may be sent to an address.
func mostOf(r *http.Request) int64 {
	if strings.HasPrefix(r.URL.Path, "/bench/") && strings.HasSuffix(r.URL.Path, "/photo") {
		return maxPhotoBody
	}
	return maxBody
}

// strict sets what every answer says to the browser, and how much it may send.
func strict(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("Cache-Control", "no-store")
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		most := mostOf(r)
		r.Body = http.MaxBytesReader(w, r.Body, most)
		if r.ContentLength > most {
			page.Refuse(w, r, http.StatusRequestEntityTooLarge, "That is too much at once",
				fmt.Sprintf("More than %d MB was sent in one form.", most>>20), "Send less at a time; a table is imported from the command line.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// localOnly lets in what a browser on this machine asks of this very program.
func localOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if why := notLocal(r); why != "" {
			page.Refuse(w, r, http.StatusMisdirectedRequest, "Only this machine is answered", why,
				"Open the address the program printed, in a browser on this machine. Other devices take part once they are paired.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// notLocal says why a request may come from elsewhere, or nothing.
func notLocal(r *http.Request) string {
	if ip := hostOf(r.RemoteAddr); !net.ParseIP(ip).IsLoopback() {
		return "The request came from another address than this machine's own."
	}
	host, port, err := net.SplitHostPort(r.Host)
	if err != nil || !slices.Contains([]string{"localhost", "127.0.0.1", "::1"}, host) || port != ownPort(r) {
		return "The browser asked for another name or port than this program's; a web site may be trying to reach it under a name of its own."
	}
	return passedOn(r)
}

// passedOn says that a proxy stands between, or nothing.
func passedOn(r *http.Request) string {
	for name := range r.Header {
		if name == "Forwarded" || name == "Via" || name == "X-Real-Ip" || strings.HasPrefix(name, "X-Forwarded-") {
			return "The request was passed on by a proxy (it bears " + name + "), so it may come from anywhere."
		}
	}
	return ""
}

// atAddress lets in what asks for one of the addresses that the network knows,
// over TLS: a web site that points a name of its own here is refused.
func (s *Server) atAddress(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		why := passedOn(r)
		if why == "" && (r.TLS == nil || !slices.Contains(s.options.Addresses(), originOf(r))) {
			why = "The browser asked for another address than this program's; a web site may be trying to reach it under a name of its own."
		}
		if why != "" {
			page.Refuse(w, r, http.StatusMisdirectedRequest, "Not at this address", why, "Use the address that the laptop shows under Devices.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// originOf is where a request came in, as browsers write it.
func originOf(r *http.Request) string {
	if r.TLS == nil {
		return "http://" + r.Host
	}
	return "https://" + r.Host
}

func hostOf(address string) string {
	host, _, err := net.SplitHostPort(address)
	if err != nil {
		return ""
	}
	return host
}

// ownPort is the port on which the request came in.
func ownPort(r *http.Request) string {
	address, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return ""
	}
	_, port, err := net.SplitHostPort(address.String())
	if err != nil {
		return ""
	}
	return port
}

// sameOrigin refuses a write that a page of another origin started. A write
// says where it comes from: browsers always do.
func sameOrigin(next http.Handler) http.Handler {
	var browsers http.CrossOriginProtection
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		safe := r.Method == http.MethodGet || r.Method == http.MethodHead
		if browsers.Check(r) != nil || !safe && r.Header.Get("Origin") != originOf(r) {
			page.Refuse(w, r, http.StatusForbidden, "That came from elsewhere",
				"Another page than the program's own tried to write in the notebook, or nobody said which page it was.",
				"Nothing was written. Go to the program's page and write it there.")
			return
		}
		next.ServeHTTP(w, r)
	})
}
