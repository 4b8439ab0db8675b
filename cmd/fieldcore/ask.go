package main

import (
	"bytes"
	"cmp"
	"net/http"
	"net/url"
	"strings"

	"dawnround/page"
)

// ask is what the shell wants: a page, or something written.
type ask struct {
	Method string
	Path   string // with its query
	Type   string // of the body
	Accept string
	From   string // the path of the page that asks
	Body   []byte
}

// answer is what the shell is given.
type answer struct {
	Status int
	Path   string // where the last redirect led
	Type   string
	File   string // the name under which the body is to be saved; empty: it is a page
	Body   []byte
}

// origin stands for the phone in an address; no request leaves it.
const origin = "http://field"

// mostRedirects is how often an answer may send on.
const mostRedirects = 10

// answered asks the pages and goes where they send, as a browser does.
func answered(pages http.Handler, cookies *jar, a ask) answer {
	for range mostRedirects {
		w := &written{header: http.Header{}}
		r, err := a.request(cookies)
		if err != nil {
			return answer{Status: http.StatusBadRequest, Path: a.Path, Type: "text/plain", Body: []byte(err.Error())}
		}
		pages.ServeHTTP(w, r)
		cookies.take(w.header)
		to := w.header.Get("Location")
		if to == "" || w.status < 300 || w.status > 399 {
			return w.answer(a.Path)
		}
		a.follow(r.URL, to, w.status)
	}
	return answer{Status: http.StatusLoopDetected, Path: a.Path, Type: "text/plain", Body: []byte("the page sends round in a circle")}
}

func (a ask) request(cookies *jar) (*http.Request, error) {
	r, err := http.NewRequest(a.Method, origin+a.Path, bytes.NewReader(a.Body))
	if err != nil {
		return nil, err
	}
	r.RequestURI = r.URL.RequestURI()
	r.Header.Set("Accept", cmp.Or(a.Accept, "text/html"))
	r.Header.Set("Origin", origin)
	if a.Type != "" {
		r.Header.Set("Content-Type", a.Type)
	}
	if a.From != "" {
		r.Header.Set("Referer", origin+a.From)
	}
	cookies.give(r)
	return r, nil
}

// follow asks for what an answer sends to: 307 with the same words, any other
// for the page alone.
func (a *ask) follow(from *url.URL, to string, status int) {
	target, err := from.Parse(to)
	if err != nil {
		target = &url.URL{Path: "/"}
	}
	a.Path = target.RequestURI()
	if target.Fragment != "" {
		a.Path += "#" + target.EscapedFragment()
	}
	if status != http.StatusTemporaryRedirect {
		a.Method, a.Body, a.Type = http.MethodGet, nil, ""
	}
}

// written gathers an answer.
type written struct {
	header http.Header
	status int
	body   bytes.Buffer
}

func (w *written) Header() http.Header { return w.header }

func (w *written) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
}

func (w *written) Write(b []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	return w.body.Write(b)
}

func (w *written) answer(path string) answer {
	_, file, _ := strings.Cut(w.header.Get("Content-Disposition"), `filename="`)
	return answer{
		Status: cmp.Or(w.status, http.StatusOK), Path: path, Type: w.header.Get("Content-Type"),
		File: strings.TrimSuffix(file, `"`), Body: w.body.Bytes(),
	}
}

// jar holds what a browser would hold for the pages: who has the pen, and the
// light.
type jar struct {
	Cookies map[string]string
	dark    func() bool // whether pages are dark where nobody chose the light
	changed bool
}

func (j *jar) give(r *http.Request) {
	if _, chosen := j.Cookies["light"]; !chosen && j.dark != nil && j.dark() {
		r.AddCookie(&http.Cookie{Name: "light", Value: string(page.Night)})
	}
	for name, value := range j.Cookies {
		r.AddCookie(&http.Cookie{Name: name, Value: value})
	}
}

func (j *jar) take(h http.Header) {
	for _, c := range (&http.Response{Header: h}).Cookies() {
		if j.Cookies == nil {
			j.Cookies = map[string]string{}
		}
		j.changed = j.changed || j.Cookies[c.Name] != c.Value
		j.Cookies[c.Name] = c.Value
	}
}
