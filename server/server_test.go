package server

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/page"
	"dawnround/page/pagetest"
	"dawnround/programme"
	"dawnround/record"

	"github.com/google/uuid"
)

var began = time.Date(2026, 5, 14, 5, 40, 0, 0, time.UTC)

// open makes a programme in memory, its server on a loopback port, and a
// browser that is not known yet.
func open(t *testing.T, set ...func(*Options)) (*Server, *httptest.Server, *http.Client) {
	t.Helper()
	now := func() time.Time { return began }
	store := &notebook.Memory{}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{1}, ed25519.SeedSize))
	book, err := notebook.Create(store, uuid.UUID{1}, key, now)
	if err != nil {
		t.Fatal(err)
	}
	p, err := programme.Open(book)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.Keep("AB", began, record.Programme{Name: "North Ridge", Zone: "UTC"}); err != nil {
		t.Fatal(err)
	}
	pages := http.NewServeMux()
	pages.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		if err := r.ParseForm(); err != nil {
			page.Refuse(w, r, http.StatusRequestEntityTooLarge, "That is too much at once", err.Error(), "Send less.")
			return
		}
		io.WriteString(w, "inside")
	})
	pages.HandleFunc("/mistake", func(http.ResponseWriter, *http.Request) {
		panic("typed: 982000123450311 at K14")
	})
	pages.HandleFunc("/slip", func(_ http.ResponseWriter, r *http.Request) {
		none := r.Cookies()[:0]
		_ = none[len(none)]
	})
	o := Options{Programme: p, Pages: pages, Now: now}
	for _, f := range set {
		f(&o)
	}
	s := New(o)
	web := httptest.NewServer(s)
	t.Cleanup(web.Close)
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	return s, web, &http.Client{Jar: jar, Transport: alone()}
}

// enter lets the browser in as a person would.
func enter(t *testing.T, s *Server, web *httptest.Server, browser *http.Client) {
	t.Helper()
	if status, body := ask(t, browser, "POST", web.URL+s.NewLink(), origin(web)); status != 200 || body != "inside" {
		t.Fatalf("the link let nobody in: %d %s", status, body)
	}
}

func origin(web *httptest.Server) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set("Origin", web.URL) }
}

func header(name, value string) func(*http.Request) {
	return func(r *http.Request) { r.Header.Set(name, value) }
}

func host(name string) func(*http.Request) { return func(r *http.Request) { r.Host = name } }

func ask(t *testing.T, browser *http.Client, method, address string, set ...func(*http.Request)) (int, string) {
	t.Helper()
	r, err := http.NewRequest(method, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range set {
		f(r)
	}
	answer, err := browser.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return answer.StatusCode, string(body)
}

func TestRefusals(t *testing.T) {
	t.Parallel()
	s, web, browser := open(t)
	enter(t, s, web, browser)
	port := web.URL[strings.LastIndex(web.URL, ":"):]
	own := origin(web)
	for _, c := range []struct {
		name, method string
		set          []func(*http.Request)
		want         int
	}{
		{"as it should be", "GET", nil, 200},
		{"a write of our own page", "POST", []func(*http.Request){own}, 200},
		{"a browser says same origin", "POST", []func(*http.Request){own, header("Sec-Fetch-Site", "same-origin")}, 200},
		{"by no name of this machine", "GET", []func(*http.Request){host("notebook.example" + port)}, 421},
		{"by a name that begins like ours", "GET", []func(*http.Request){host("localhost.example" + port)}, 421},
		{"another port", "GET", []func(*http.Request){host("127.0.0.1:1")}, 421},
		{"no port", "GET", []func(*http.Request){host("127.0.0.1")}, 421},
		{"another loopback address", "GET", []func(*http.Request){host("127.0.0.2" + port)}, 421},
		{"through a proxy", "GET", []func(*http.Request){header("X-Forwarded-For", "127.0.0.1")}, 421},
		{"through a proxy that names the host", "GET", []func(*http.Request){header("X-Forwarded-Host", "a.example")}, 421},
		{"through a standard proxy", "GET", []func(*http.Request){header("Forwarded", "for=127.0.0.1")}, 421},
		{"via", "GET", []func(*http.Request){header("Via", "1.1 a.example")}, 421},
		{"a proxy's address of the client", "GET", []func(*http.Request){header("X-Real-Ip", "127.0.0.1")}, 421},
		{"another site writes", "POST", []func(*http.Request){header("Origin", "https://a.example")}, 403},
		{"another port writes", "POST", []func(*http.Request){header("Origin", "http://127.0.0.1:1")}, 403},
		{"another name for this machine writes", "POST", []func(*http.Request){header("Origin", "http://localhost"+port)}, 403},
		{"nobody says who writes", "POST", nil, 403},
		{"no origin", "POST", []func(*http.Request){header("Origin", "null")}, 403},
		{"a browser says cross site", "POST", []func(*http.Request){own, header("Sec-Fetch-Site", "cross-site")}, 403},
		{"a browser says same site", "POST", []func(*http.Request){own, header("Sec-Fetch-Site", "same-site")}, 403},
		{"another method", "DELETE", []func(*http.Request){header("Origin", "https://a.example")}, 403},
		{"too large a form", "POST", []func(*http.Request){own, func(r *http.Request) {
			r.Body = io.NopCloser(strings.NewReader(strings.Repeat("a", maxBody+1)))
			r.ContentLength = maxBody + 1
		}}, 413},
		{"too large a form of unsaid length", "POST", []func(*http.Request){own, header("Content-Type", "application/x-www-form-urlencoded"), func(r *http.Request) {
			r.Body = io.NopCloser(strings.NewReader(strings.Repeat("a", maxBody+1)))
			r.ContentLength = -1
		}}, 413},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			if got, body := ask(t, browser, c.method, web.URL+"/round", c.set...); got != c.want {
				t.Errorf("status %d, want %d: %s", got, c.want, body)
			}
		})
	}
	t.Run("localhost is this machine", func(t *testing.T) {
		t.Parallel() // it is answered, though as a stranger: its cookies are its own
		if got, _ := ask(t, browser, "GET", web.URL+"/round", host("localhost"+port)); got != 401 {
			t.Errorf("status %d, want 401", got)
		}
	})
}

// TestPhotosMayBeLarge: a form with a picture may hold what a camera writes, at
// its own address only, and no more than that.
func TestPhotosMayBeLarge(t *testing.T) {
	t.Parallel()
	s, web, browser := open(t)
	if status, _ := ask(t, browser, "POST", web.URL+s.NewLink(), origin(web)); status != 200 {
		t.Fatal(status)
	}
	photo := func(r *http.Request) {
		r.Body = io.NopCloser(strings.NewReader("a=" + strings.Repeat("a", 3<<20)))
		r.ContentLength = 2 + 3<<20
	}
	if got, body := ask(t, browser, "POST", web.URL+"/bench/x/photo", origin(web), header("Content-Type", "application/x-www-form-urlencoded"), photo); got != 200 {
		t.Errorf("a photo of 3 MB: %d: %.200s", got, body)
	}
	for path, want := range map[string]int64{"/bench/x/photo": maxPhotoBody, "/bench/x/in": maxBody, "/photo": maxBody, "/photo/x": maxBody, "/bench/photo/in": maxBody} {
		if got := mostOf(httptest.NewRequest("POST", path, nil)); got != want {
			t.Errorf("%s may hold %d bytes, want %d", path, got, want)
		}
	}
}

func TestEveryPageNeedsTheSession(t *testing.T) {
	t.Parallel()
	_, web, stranger := open(t)
	for path, want := range map[string]int{
		"/": 401, "/round": 401, "/pen": 401, "/nowhere": 401, "/in/abc": 410, "/photo/01977000-0000-7000-8000-000000000001": 401, page.Static("notebook.css"): 200,
	} {
		if got, body := ask(t, stranger, "GET", web.URL+path); got != want || strings.Contains(body, "North Ridge") {
			t.Errorf("%s: status %d, want %d; a stranger reads: %s", path, got, want, body)
		}
	}
	for _, path := range []string{"/", "/pen", "/light", "/control/link", "/bench/x/photo"} {
		if got, _ := ask(t, stranger, "POST", web.URL+path, origin(web)); got != 401 && got != 403 {
			t.Errorf("a stranger posts to %s: status %d, want 401 or 403", path, got)
		}
	}
}

func TestLinkLetsOneBrowserInOnce(t *testing.T) {
	t.Parallel()
	s, web, browser := open(t)
	link := web.URL + s.NewLink()
	for range 2 { // looking does not use it up
		status, body := ask(t, browser, "GET", link)
		if status != 200 || len(pagetest.Read(t, body).All("button")) != 1 {
			t.Fatalf("status %d; want a page with one button: %s", status, body)
		}
	}
	if status, _ := ask(t, browser, "GET", web.URL+"/"); status != 401 {
		t.Fatalf("looking at the link let the browser in: %d", status)
	}
	if status, _ := ask(t, browser, "POST", link, origin(web)); status != 200 {
		t.Fatalf("pressing the button: status %d", status)
	}
	if status, _ := ask(t, &http.Client{Transport: alone()}, "POST", link, origin(web)); status != http.StatusGone {
		t.Errorf("a second browser: status %d, want 410", status)
	}
	if status, _ := ask(t, browser, "GET", web.URL+"/"); status != 200 {
		t.Errorf("the first browser is out again: status %d", status)
	}
}

func TestLinkLastsFiveMinutes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		after time.Duration
		want  int
	}{{linkLasts, 200}, {linkLasts + time.Second, 410}, {-time.Second, 410}} {
		now := began
		s, web, browser := open(t, func(o *Options) { o.Now = func() time.Time { return now } })
		link := s.NewLink()
		now = began.Add(c.after)
		if got, _ := ask(t, browser, "POST", web.URL+link, origin(web)); got != c.want {
			t.Errorf("after %v: status %d, want %d", c.after, got, c.want)
		}
	}
}

// alone is a transport of its own: a test server that closes shuts the idle
// connections of the shared one, another test's among them.
func alone() *http.Transport { return &http.Transport{DisableKeepAlives: true} }

func TestSessionCookie(t *testing.T) {
	t.Parallel()
	s, web, _ := open(t)
	stays := &http.Client{Transport: alone(), CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	r, err := http.NewRequest("POST", web.URL+s.NewLink(), nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Origin", web.URL)
	answer, err := stays.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	c := answer.Cookies()[0]
	u, _ := url.Parse(web.URL)
	if c.Name != "dawnround-"+u.Port() || !c.HttpOnly || c.SameSite != http.SameSiteStrictMode || c.Path != "/" || len(c.Value) != 43 {
		t.Errorf("cookie %v; want HttpOnly, SameSite=Strict, named by port %s, 256 bits", c, u.Port())
	}
}

func TestHeaders(t *testing.T) {
	t.Parallel()
	_, web, browser := open(t)
	for _, path := range []string{"/", page.Static("swap.js"), "/in/abc"} {
		answer, err := browser.Get(web.URL + path)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		csp := answer.Header.Get("Content-Security-Policy")
		if strings.Contains(csp, "unsafe") || !strings.Contains(csp, "default-src 'none'") || !strings.Contains(csp, "frame-ancestors 'none'") {
			t.Errorf("%s: policy %q", path, csp)
		}
		for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Referrer-Policy": "same-origin"} {
			if got := answer.Header.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
		if got := answer.Header.Get("Cache-Control"); !strings.HasPrefix(path, "/static/") && got != "no-store" {
			t.Errorf("%s: Cache-Control %q, want no-store", path, got)
		}
	}
}

func TestAMistakeEndsOneAnswer(t *testing.T) {
	t.Parallel()
	var log bytes.Buffer
	s, web, browser := open(t, func(o *Options) { o.Log = &log })
	enter(t, s, web, browser)
	status, body := ask(t, browser, "GET", web.URL+"/mistake")
	p := pagetest.Read(t, body)
	if status != 500 || p.One("h1").Text() != "This is our fault" || !strings.Contains(p.One(".report").Text(), "/mistake") {
		t.Errorf("status %d, page %s", status, p.Text())
	}
	if strings.Contains(body, "982000123450311") {
		t.Error("the report tells what was typed")
	}
	if !strings.Contains(log.String(), "982000123450311") {
		t.Error("whoever looks after the program is not told the words of the mistake")
	}
	_, body = ask(t, browser, "GET", web.URL+"/slip")
	if !strings.Contains(body, "index out of range [0] with length 0") {
		t.Errorf("the report does not tell Go's own words: %s", body)
	}
	if status, _ := ask(t, browser, "GET", web.URL+"/"); status != 200 {
		t.Errorf("after a mistake: status %d, want 200", status)
	}
}

func TestListenOnlyHere(t *testing.T) {
	t.Parallel()
	for address, ok := range map[string]bool{
		"127.0.0.1:0": true, "localhost:0": true, "127.0.0.2:0": true,
		"0.0.0.0:0": false, ":0": false, "[::]:0": false, "192.0.2.7:80": false, "a.example:80": false, "4170": false,
	} {
		l, err := Listen(address)
		if (err == nil) != ok {
			t.Errorf("listen on %q: %v, want it allowed: %v", address, err, ok)
		}
		if err == nil {
			l.Close()
		} else if !strings.Contains(err.Error(), "127.0.0.1") {
			t.Errorf("listen on %q: %v; want to hear what to use", address, err)
		}
	}
}

func TestOtherAddressesAreRefused(t *testing.T) {
	t.Parallel()
	for remote, want := range map[string]bool{"127.0.0.1:5": true, "[::1]:5": true, "192.0.2.7:5": false, "": false} {
		r := httptest.NewRequest("GET", "http://127.0.0.1:4170/", nil)
		r.RemoteAddr = remote
		r = r.WithContext(context.WithValue(r.Context(), http.LocalAddrContextKey, &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 4170}))
		if got := notLocal(r) == ""; got != want {
			t.Errorf("from %q: let in %v, want %v", remote, got, want)
		}
	}
}

func TestAnotherProcessAsksForALink(t *testing.T) {
	t.Parallel()
	s, web, browser := open(t)
	file := filepath.Join(t.TempDir(), "serving.json")
	if _, err := AskLink(t.Context(), file); err == nil || !strings.Contains(err.Error(), "dawnround serve") {
		t.Errorf("nothing serves: %v; want to hear what to do", err)
	}
	remove, err := s.Announce(file, web.URL)
	if err != nil {
		t.Fatal(err)
	}
	info, err := os.Stat(file)
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("control file: %v, mode %v; want it for its owner alone", err, info.Mode())
	}
	link, err := AskLink(t.Context(), file)
	if err != nil {
		t.Fatal(err)
	}
	if status, _ := ask(t, browser, "POST", link, origin(web)); status != 200 {
		t.Errorf("the link asked for: status %d", status)
	}
	if status, _ := ask(t, browser, "POST", web.URL+"/control/link", origin(web), header("Authorization", "Bearer no")); status != 403 {
		t.Errorf("a wrong secret: status %d, want 403", status)
	}
	if err := remove(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(file); !os.IsNotExist(err) {
		t.Errorf("the control file stays: %v", err)
	}
}

func TestWithdrawLeavesAnotherServersFile(t *testing.T) {
	t.Parallel()
	first, web, _ := open(t)
	second, _, _ := open(t)
	file := filepath.Join(t.TempDir(), "serving.json")
	removeFirst, err := first.Announce(file, web.URL)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := second.Announce(file, web.URL); err != nil {
		t.Fatal(err)
	}
	if err := removeFirst(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(file); err != nil {
		t.Errorf("the second server's file is gone: %v", err)
	}
}

func TestServeEndsCleanly(t *testing.T) {
	t.Parallel()
	s, _, _ := open(t)
	l, err := Listen("127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, l) }()
	if status, _ := ask(t, &http.Client{Transport: alone()}, "GET", "http://"+l.Addr().String()+"/"); status != 401 {
		t.Errorf("status %d, want 401", status)
	}
	stop()
	if err := <-ended; err != nil {
		t.Errorf("serve ended with %v", err)
	}
}

func TestWhatIsNotThereHasAWayBack(t *testing.T) {
	t.Parallel()
	s, web, browser := open(t, func(o *Options) {
		inner := http.NewServeMux()
		inner.HandleFunc("GET /there", func(w http.ResponseWriter, r *http.Request) { http.NotFound(w, r) })
		inner.HandleFunc("GET /plain", func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "inside") })
		inner.HandleFunc("GET /{$}", func(w http.ResponseWriter, _ *http.Request) { io.WriteString(w, "inside") })
		outer := http.NewServeMux()
		outer.Handle("/", inner)
		o.Pages = outer
	})
	enter(t, s, web, browser)
	for _, c := range []struct {
		method, path string
		status       int
		says         string
	}{
		{"GET", "/nosuch", 404, "/nosuch"},
		{"GET", "/there", 404, "/there"},
		{"POST", "/plain", 405, "GET"},
		{"POST", "/nosuch/at/all", 404, "/nosuch/at/all"},
	} {
		status, body := ask(t, browser, c.method, web.URL+c.path, origin(web))
		if status != c.status {
			t.Errorf("%s %s: status %d, want %d", c.method, c.path, status, c.status)
			continue
		}
		p := pagetest.Read(t, body)
		if got := p.One(".lede").Text(); !strings.Contains(got, c.says) || !p.Has("main a.button") {
			t.Errorf("%s %s: says %q; want %q and a way back", c.method, c.path, got, c.says)
		}
	}
	if status, body := ask(t, browser, "GET", web.URL+"/nosuch", header("Accept", "application/json")); status != 404 || !strings.HasPrefix(body, "{") {
		t.Errorf("asked for data: %d %q", status, body)
	}
}
