package page

import (
	"maps"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
)

// Holder is one who may hold the pen.
type Holder struct{ Initials, Name string }

// PenPage asks who writes.
type PenPage struct {
	Frame Frame
	Crew  []Holder
	Back  string // where to go on
	Then  string // where the words carried along were going; empty: nothing is carried
	Words []Pair // what somebody wrote before the pen was asked for
	Typed string `json:",omitempty"`
	Wrong string `json:",omitempty"`
}

var initials = regexp.MustCompile(`^[\p{L}\p{N}][\p{L}\p{N}.-]{0,7}$`)

func validInitials(s string) bool { return initials.MatchString(s) }

// Mount adds what every program of pages needs: the style and scripts, the
// choice of light, and the question who holds the pen. crew lists those known.
func Mount(mux *http.ServeMux, programme func() string, crew func() []Holder) {
	mux.HandleFunc("GET /static/{file}", serveStatic)
	mux.HandleFunc("POST /light", setLight)
	ask := func(w http.ResponseWriter, r *http.Request, p PenPage) {
		p.Frame, p.Crew = FrameOf(r, "Who holds the pen?", programme(), "", p.Frame.Now), crew()
		AnswerAs(w, r, statusOf(p.Wrong), p, penPage(p))
	}
	mux.HandleFunc("GET /pen", func(w http.ResponseWriter, r *http.Request) {
		ask(w, r, PenPage{Back: local(r.FormValue("back"))})
	})
	mux.HandleFunc("POST /pen", func(w http.ResponseWriter, r *http.Request) {
		p := PenPage{Back: local(r.FormValue("back")), Typed: strings.TrimSpace(r.FormValue("who"))}
		if then := r.URL.Query().Get("then"); then != "" {
			p.Then, p.Words = local(then), carried(r.PostForm)
		}
		if !validInitials(p.Typed) {
			if r.PostForm.Has("who") {
				p.Wrong = "initials: " + quoted(p.Typed) + "; write one to eight letters or digits, like AB"
			}
			ask(w, r, p)
			return
		}
		http.SetCookie(w, lasting(PortCookie(r, "pen"), p.Typed))
		if p.Then != "" {
			http.Redirect(w, r, p.Then, http.StatusTemporaryRedirect)
			return
		}
		http.Redirect(w, r, p.Back, http.StatusSeeOther)
	})
}

func statusOf(wrong string) int {
	if wrong != "" {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}

func quoted(s string) string {
	if s == "" {
		return "nothing written"
	}
	return `"` + s + `"`
}

func setLight(w http.ResponseWriter, r *http.Request) {
	http.SetCookie(w, lasting("light", r.FormValue("light")))
	http.Redirect(w, r, local(r.FormValue("back")), http.StatusSeeOther)
}

// lasting is a cookie that stays for a season, for this host only.
func lasting(name, value string) *http.Cookie {
	return &http.Cookie{Name: name, Value: value, Path: "/", MaxAge: 120 * 24 * 3600, HttpOnly: true, SameSite: http.SameSiteStrictMode}
}

// local is an address within this program, or its first page.
func local(address string) string {
	u, err := url.Parse(address)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(address, "//") || strings.Contains(address, `\`) {
		return "/"
	}
	return u.RequestURI()
}

// carried are the words of a form that was sent before the pen was asked for.
func carried(form url.Values) []Pair {
	var words []Pair
	for _, name := range slices.Sorted(maps.Keys(form)) {
		for _, value := range form[name] {
			if name != "who" {
				words = append(words, Pair{name, value})
			}
		}
	}
	return words
}

// path is where the form with the initials goes.
func (p PenPage) path() string {
	if p.Then == "" {
		return "/pen"
	}
	return "/pen?then=" + url.QueryEscape(p.Then)
}

// AskPen sends whoever has not said who holds the pen to say so, and reports
// whether it did. The words of a form go along and are written once it is
// said.
func AskPen(w http.ResponseWriter, r *http.Request, back string) bool {
	switch {
	case Who(r) != "":
		return false
	case r.Method == http.MethodPost:
		http.Redirect(w, r, "/pen?then="+url.QueryEscape(r.URL.RequestURI()), http.StatusTemporaryRedirect)
	default:
		http.Redirect(w, r, "/pen?back="+url.QueryEscape(back), http.StatusSeeOther)
	}
	return true
}
