package page

import (
	"bytes"
	"encoding/json"
	"net/http"
	"net/url"
	"strings"

	"github.com/a-h/templ"
)

// Answer writes a page, or its struct as JSON where that is asked for.
func Answer(w http.ResponseWriter, r *http.Request, data any, c templ.Component) {
	AnswerAs(w, r, http.StatusOK, data, c)
}

// AnswerAs is [Answer] with a status. The page is made whole before its first
// byte is sent.
func AnswerAs(w http.ResponseWriter, r *http.Request, status int, data any, c templ.Component) {
	var body bytes.Buffer
	kind := "text/html; charset=utf-8"
	var err error
	if WantsJSON(r) {
		kind = "application/json"
		err = json.NewEncoder(&body).Encode(data)
	} else {
		err = c.Render(r.Context(), &body)
	}
	if err != nil {
		panic(err) // our own mistake: the door above shows the page for that
	}
	w.Header().Set("Content-Type", kind)
	w.Header().Add("Vary", "Accept")
	w.WriteHeader(status)
	w.Write(body.Bytes())
}

// WantsJSON reports a request for data rather than for a page.
func WantsJSON(r *http.Request) bool {
	accept := r.Header.Get("Accept")
	return strings.Contains(accept, "application/json") && !strings.Contains(accept, "text/html")
}

// Said is the address with a word for the next page's flash.
func Said(path, said string) string {
	path, anchor, _ := strings.Cut(path, "#")
	mark := "?"
	if strings.Contains(path, "?") {
		mark = "&"
	}
	path += mark + "said=" + url.QueryEscape(said)
	if anchor != "" {
		path += "#" + anchor
	}
	return path
}

// Go sends the browser on after a form; asked for data, it answers with the
// address alone.
func Go(w http.ResponseWriter, r *http.Request, path string) {
	http.Redirect(w, r, path, http.StatusSeeOther)
}
