package server

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/tls"
	"crypto/x509"
	"encoding/json"
	"errors"
	"io"
	"log"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"dawnround/camp"
	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/pairing"
	"dawnround/programme"
	"dawnround/record"
)

// onNetwork is a server with its network face on a loopback port, speaking TLS
// by a camp's authority, and the client of a phone that accepted it.
func onNetwork(t *testing.T) (s *Server, face *httptest.Server, phone *http.Client) {
	t.Helper()
	authority, err := camp.Open(t.TempDir(), "test", began)
	if err != nil {
		t.Fatal(err)
	}
	face = httptest.NewUnstartedServer(nil)
	s, _, _ = open(t, func(o *Options) {
		o.Camp, o.Addresses = authority, func() []string { return []string{"https://" + face.Listener.Addr().String()} }
		o.Field = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { w.Write([]byte("the program for phones")) })
	})
	face.Config.Handler = s.Network()
	leaf, err := authority.Leaf([]string{"127.0.0.1"}, began)
	if err != nil {
		t.Fatal(err)
	}
	face.TLS = &tls.Config{Certificates: []tls.Certificate{leaf}}
	face.Config.ErrorLog = log.New(io.Discard, "", 0)
	face.StartTLS()
	t.Cleanup(face.Close)
	accepted := x509.NewCertPool()
	accepted.AppendCertsFromPEM(authority.PEM())
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	transport := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: accepted, Time: func() time.Time { return began }}}
	t.Cleanup(transport.CloseIdleConnections)
	return s, face, &http.Client{Transport: transport, Jar: jar}
}

// send asks once, following nothing.
func send(t *testing.T, client *http.Client, method, address, body string, set ...func(*http.Request)) *http.Response {
	t.Helper()
	r, err := http.NewRequest(method, address, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range set {
		f(r)
	}
	still := *client
	still.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	answer, err := still.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	return answer
}

// To whoever is not known, the network shows no page, and the program for
// phones, the way in and the certificate only.
func TestNetworkShowsStrangersNothing(t *testing.T) {
	t.Parallel()
	_, face, phone := onNetwork(t)
	for path, want := range map[string]int{
		"/": 401, "/evening": 401, "/devices": 401, "/lines": 401, "/control/link": 401, "/set": 401,
		"/field/": 200, "/join": 303, "/trust": 200, authorityFile: 200, "/in/guess": 410,
	} {
		if a := send(t, phone, "GET", face.URL+path, ""); a.StatusCode != want {
			t.Errorf("GET %s: %d, want %d", path, a.StatusCode, want)
		}
	}
	for _, path := range []string{"/control/link", "/devices/invite", "/devices/admit", "/light"} {
		if a := send(t, phone, "POST", face.URL+path, "", header("Origin", face.URL)); a.StatusCode < 400 {
			t.Errorf("POST %s: %d", path, a.StatusCode)
		}
	}
	for _, set := range []func(*http.Request){
		func(r *http.Request) { r.Host = "evil.example" }, header("X-Forwarded-For", "203.0.113.9"),
	} {
		if a := send(t, phone, "GET", face.URL+"/trust", "", set); a.StatusCode != http.StatusMisdirectedRequest {
			t.Errorf("a request under another name, or from a proxy, is answered %d", a.StatusCode)
		}
		if a := send(t, phone, "POST", face.URL+"/sync", "{}", set); a.StatusCode != http.StatusMisdirectedRequest {
			t.Errorf("/sync under another name, or from a proxy, is answered %d", a.StatusCode)
		}
	}
	plain := send(t, &http.Client{Transport: alone()}, "GET", strings.Replace(face.URL, "https", "http", 1)+"/trust", "")
	if plain.StatusCode == http.StatusOK {
		t.Error("it is answered without TLS")
	}
}

// Other origins are answered at the devices' addresses alone, never with
// cookies, and may write nothing anywhere else.
func TestOtherOrigins(t *testing.T) {
	t.Parallel()
	s, face, phone := onNetwork(t)
	site := header("Origin", "https://home.example")
	for _, path := range exchangePaths {
		a := send(t, phone, "OPTIONS", face.URL+path, "", site, header("Access-Control-Request-Method", "POST"), header("Access-Control-Request-Private-Network", "true"))
		h := a.Header
		if a.StatusCode != 204 || h.Get("Access-Control-Allow-Origin") != "*" || h.Get("Access-Control-Allow-Credentials") != "" ||
			h.Get("Access-Control-Allow-Headers") != "Authorization, Content-Type" || h.Get("Access-Control-Allow-Private-Network") != "true" {
			t.Errorf("OPTIONS %s: %d %v", path, a.StatusCode, h)
		}
		a = send(t, phone, "POST", face.URL+path, "{}", site)
		if a.StatusCode == 200 || a.Header.Get("Access-Control-Allow-Origin") != "*" || len(a.Cookies()) != 0 {
			t.Errorf("POST %s without a credential: %d %v", path, a.StatusCode, a.Header)
		}
	}
	if a := send(t, phone, "POST", face.URL+s.NewLink(), "", header("Origin", face.URL)); a.StatusCode != 303 || !a.Cookies()[0].Secure {
		t.Fatalf("the link lets nobody in: %d", a.StatusCode)
	}
	for _, path := range []string{"/", "/devices", "/light", "/devices/invite", "/devices/shut-out", "/evening"} {
		for _, method := range []string{"GET", "POST", "OPTIONS"} {
			a := send(t, phone, method, face.URL+path, "", site, header("Sec-Fetch-Site", "cross-site"))
			if a.Header.Get("Access-Control-Allow-Origin") != "" || method != "GET" && a.StatusCode < 400 {
				t.Errorf("%s %s from elsewhere: %d, allowed %q", method, path, a.StatusCode, a.Header.Get("Access-Control-Allow-Origin"))
			}
		}
	}
}

// A phone scans, a person at the laptop compares and says yes, and the phone
// has the notebook; shut out, it gets no further. All over TLS.
func TestPhoneJoinsAndSyncs(t *testing.T) {
	t.Parallel()
	s, face, phone := onNetwork(t)
	desk := &http.Client{Transport: phone.Transport, Jar: phone.Jar}
	own := header("Origin", face.URL)
	send(t, desk, "POST", face.URL+s.NewLink(), "", own)
	form := func(path string, values url.Values) *http.Response {
		return send(t, desk, "POST", face.URL+path, values.Encode(), own, header("Content-Type", "application/x-www-form-urlencoded"))
	}
	form("/pen", url.Values{"who": {"AB"}})
	to := form("/devices/invite", url.Values{"role": {"scribe"}}).Header.Get("Location")
	shown := s.door
	page := devicesAt(t, desk, face.URL+to)
	if page.Shown == nil || !strings.HasPrefix(page.Shown.Link, face.URL+"/join#") || page.Camp == "" {
		t.Fatalf("the invitation at %s: %+v", to, page)
	}
	by, err := pairing.ReadInvitation(page.Shown.Link)
	if err != nil {
		t.Fatal(err)
	}
	key := ed25519.NewKeyFromSeed(bytes.Repeat([]byte{7}, ed25519.SeedSize))
	asked := pairing.Ask(by, key, "AB's phone")
	carry := Carry(phone, by.Address)
	changed := shown.Changed()
	joined := make(chan pairing.Joined, 1)
	go func() {
		j, err := asked.Join(t.Context(), carry)
		if err != nil {
			t.Error(err)
		}
		joined <- j
	}()
	<-changed
	waits := devicesAt(t, desk, face.URL+"/devices").Callers
	if len(waits) != 1 || waits[0].Check != asked.Check {
		t.Fatalf("who waits: %+v; the phone shows %s", waits, asked.Check)
	}
	form("/devices/decide", url.Values{"device": {waits[0].Device.String()}, "name": {"blue phone"}, "in": {"yes"}})
	j := <-joined

	n, err := notebook.Create(&notebook.Memory{}, j.Programme, key, func() time.Time { return began })
	if err != nil {
		t.Fatal(err)
	}
	p, err := programme.Open(n)
	if err != nil {
		t.Fatal(err)
	}
	side := courier.Side{Programme: p, Now: func() time.Time { return began }, Trust: []notebook.DeviceID{j.With}}
	if state, err := side.Sync(t.Context(), carry, nil); err != nil || !state.Done || state.Came == 0 {
		t.Fatalf("%s, %v", state.Says(), err)
	}
	at := slices.IndexFunc(devicesAt(t, desk, face.URL+"/devices").Devices, func(d Device) bool { return d.Name == "blue phone" && d.Met != nil && d.Role == record.Scribe })
	if at < 0 {
		t.Error("the laptop does not show the phone, and when lines were exchanged")
	}
	told := courier.Presence{Who: "AB", Seen: []string{"K1", "K2"}, Bags: []courier.Bag{{Trap: "K2", Bag: "7", ForS: 240}}, Handling: "K2"}
	if _, err := side.TellPresence(t.Context(), carry, &told, 0); err != nil {
		t.Error(err)
	}
	if _, body := ask(t, desk, "GET", face.URL+"/fellows"); !strings.Contains(body, "blue phone, now") || !strings.Contains(body, "trap K2, bag 7, 4 min") {
		t.Errorf("the round together shows\n%s", body)
	}
	form("/devices/shut-out", url.Values{"device": {n.Device().String()}, "why": {"left on the bus"}})
	var denied *courier.Denied
	if _, err := side.Sync(context.Background(), carry, nil); !errors.As(err, &denied) || !strings.Contains(denied.Why, "left on the bus") {
		t.Errorf("shut out: %v", err)
	}
}

func devicesAt(t *testing.T, desk *http.Client, address string) Devices {
	t.Helper()
	r, err := http.NewRequest("GET", address, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept", "application/json")
	answer, err := desk.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	var d Devices
	if err := json.NewDecoder(answer.Body).Decode(&d); err != nil {
		t.Fatalf("%s: %d, %v", address, answer.StatusCode, err)
	}
	return d
}

// Without TLS only the certificate is given, and the page that explains it.
func TestTrusting(t *testing.T) {
	t.Parallel()
	s, _, _ := onNetwork(t)
	plain := httptest.NewServer(s.Trusting())
	t.Cleanup(plain.Close)
	client := &http.Client{Transport: alone()}
	status, body := ask(t, client, "GET", plain.URL+"/trust")
	if status != 200 || !strings.Contains(body, s.options.Camp.Fingerprint()) || !strings.Contains(body, "remove it") {
		t.Errorf("the page: %d", status)
	}
	for path, want := range map[string]int{authorityFile: 200, "/": 303, "/sync": 404, "/pair": 404, "/devices": 404, "/field/": 404, "/join": 404, "/pen": 404, "/in/x": 404} {
		if a := send(t, client, "GET", plain.URL+path, ""); a.StatusCode != want {
			t.Errorf("GET %s: %d, want %d", path, a.StatusCode, want)
		}
	}
	if a := send(t, client, "POST", plain.URL+"/sync", "{}"); a.StatusCode < 400 {
		t.Errorf("lines are exchanged without TLS: %d", a.StatusCode)
	}
}
