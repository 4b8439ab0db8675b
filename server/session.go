package server

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"time"

	"dawnround/page"
)

// linkLasts is for how long a link lets a browser in.
const linkLasts = 5 * time.Minute

// A key is the hash of a token: what is held here opens nothing.
type key [sha256.Size]byte

// token is 256 bits of chance, as text that can stand in an address.
func token() string {
	var b [32]byte
	rand.Read(b[:])
	return base64.RawURLEncoding.EncodeToString(b[:])
}

func keyOf(token string) key { return sha256.Sum256([]byte(token)) }

// NewLink makes the path of a link that lets one browser in, once, within five
// minutes: "/in/…".
func (s *Server) NewLink() string {
	t := token()
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.options.Now()
	for k, made := range s.links {
		if now.Sub(made) > linkLasts {
			delete(s.links, k)
		}
	}
	s.links[keyOf(t)] = now
	return "/in/" + t
}

func (s *Server) valid(k key) bool {
	made, ok := s.links[k]
	age := s.options.Now().Sub(made)
	return ok && age >= 0 && age <= linkLasts
}

// showLink shows a button: a link that is only looked at, by a preview or a
// scanner, is not used up.
func (s *Server) showLink(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	ok := s.valid(keyOf(r.PathValue("token")))
	s.mu.Unlock()
	if !ok {
		spent(w, r)
		return
	}
	p := inPage{Frame: page.FrameOf(r, "Open the notebook", "", "", s.options.Now()), Programme: s.name()}
	page.Answer(w, r, p, openNotebook(p))
}

// useLink lets the browser in.
func (s *Server) useLink(w http.ResponseWriter, r *http.Request) {
	k, session := keyOf(r.PathValue("token")), token()
	s.mu.Lock()
	ok := s.valid(k)
	delete(s.links, k)
	if ok {
		s.sessions[keyOf(session)] = true
	}
	s.mu.Unlock()
	if !ok {
		spent(w, r)
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: sessionCookie(r), Value: session, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: r.TLS != nil,
	})
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

func spent(w http.ResponseWriter, r *http.Request) {
	page.Refuse(w, r, http.StatusGone, "This link no longer opens",
		"A link lets one browser in, once, within five minutes.", "Ask the program for another: dawnround link.")
}

func sessionCookie(r *http.Request) string { return page.PortCookie(r, "dawnround") }

// knownOnly lets in browsers that used a link since the program started.
func (s *Server) knownOnly(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.known(r) {
			page.Refuse(w, r, http.StatusUnauthorized, "This browser is not known here",
				"The notebook opens by the link that the program printed when it started. Each start makes browsers strangers again.",
				"Ask the program for a link: dawnround link.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) known(r *http.Request) bool {
	c, err := r.Cookie(sessionCookie(r))
	if err != nil {
		return false
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.sessions[keyOf(c.Value)]
}
