package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"dawnround/demo"
	"dawnround/notebook"
)

// program runs the program with its input, and gives what it said.
func program(ctx context.Context, in string, args ...string) (out, err string, code int) {
	var stdout, stderr bytes.Buffer
	code = run(ctx, args, strings.NewReader(in), &stdout, &stderr)
	return stdout.String(), stderr.String(), code
}

// A second laptop is let in over the network, has the whole notebook, and is
// shut out again; all by the command line, over TLS by the camp's authority.
func TestPairAndSyncOverTheNetwork(t *testing.T) {
	dir := t.TempDir()
	t.Setenv(notebook.HomeVariable, filepath.Join(dir, "home"))
	a, b := filepath.Join(dir, "a"), filepath.Join(dir, "b")
	protocol := filepath.Join(dir, "protocol.yaml")
	if err := os.WriteFile(protocol, []byte(demo.Text), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	if _, said, code := program(ctx, "", "-C", a, "new", "--protocol", protocol, "--who", "AB"); code != 0 {
		t.Fatal(said)
	}
	serving, quit := context.WithCancel(ctx)
	read, write := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- run(serving, []string{"-C", a, "serve", "--port", "0", "--listen", "127.0.0.1:0", "--camp", "--json"}, nil, write, io.Discard)
		write.Close()
	}()
	var told served
	if err := json.NewDecoder(read).Decode(&told); err != nil {
		t.Fatal(err)
	}
	certificate := filepath.Join(dir, "camp.crt")
	download(t, here(t, told.Trust)+"/dawnround-camp.crt", certificate)

	invited, inviting := io.Pipe()
	let := make(chan int, 1)
	go func() {
		let <- run(ctx, []string{"-C", a, "pair", "--role", "scribe", "--who", "AB"}, strings.NewReader("yes\n"), inviting, io.Discard)
		inviting.Close()
	}()
	link := here(t, linkIn(t, invited))
	go io.Copy(io.Discard, invited)
	out, said, code := program(ctx, "", "-C", b, "pair", link, "--name", "hut laptop", "--trust", certificate, "--who", "CK")
	if code != 0 || !strings.Contains(out, "lines new here") || !strings.Contains(said, "lets this device in as scribe") {
		t.Fatalf("%d: %s%s", code, out, said)
	}
	if code := <-let; code != 0 {
		t.Errorf("inviting ended with %d", code)
	}
	address := "https://" + hostOf(t, link)
	if out, said, code := program(ctx, "", "-C", b, "sync", address, "--trust", certificate); code != 0 || !strings.Contains(out, "0 lines sent") {
		t.Errorf("%d: %s%s", code, out, said)
	}
	if out := whileServed(t, ctx, b, address, certificate); !strings.Contains(out, "0 lines new here") {
		t.Errorf("while it is served itself: %s", out)
	}
	if out, said, code := program(ctx, "", "-C", a, "devices", "shut-out", "hut laptop", "--why", "left on the bus", "--who", "AB"); code != 0 {
		t.Errorf("%d: %s%s", code, out, said)
	}
	if _, said, code := program(ctx, "", "-C", b, "sync", address, "--trust", certificate); code != 1 || !strings.Contains(said, "left on the bus") {
		t.Errorf("shut out: %d: %s", code, said)
	}
	if _, said, code := program(ctx, "", "-C", b, "sync", address); code != 1 || !strings.Contains(said, "certificate") {
		t.Errorf("an authority that was not accepted: %d: %s", code, said)
	}
	quit()
	if code := <-ended; code != 0 {
		t.Errorf("serving ended with %d", code)
	}
}

// whileServed exchanges lines from a folder that is itself served: the program
// that serves it does.
func whileServed(t *testing.T, ctx context.Context, folder, address, certificate string) string {
	t.Helper()
	serving, quit := context.WithCancel(ctx)
	read, write := io.Pipe()
	ended := make(chan int, 1)
	go func() {
		ended <- run(serving, []string{"-C", folder, "serve", "--port", "0", "--trust", certificate, "--json"}, nil, write, io.Discard)
		write.Close()
	}()
	if err := json.NewDecoder(read).Decode(&served{}); err != nil {
		t.Fatal(err)
	}
	go io.Copy(io.Discard, read)
	out, said, code := program(ctx, "", "-C", folder, "sync", address)
	if code != 0 {
		t.Errorf("%d: %s%s", code, out, said)
	}
	quit()
	if code := <-ended; code != 0 {
		t.Errorf("serving ended with %d", code)
	}
	return out
}

// linkIn finds the invitation among what pair prints.
func linkIn(t *testing.T, from io.Reader) string {
	t.Helper()
	var seen []byte
	pattern := regexp.MustCompile(`https://\S+#\S+\n`)
	part := make([]byte, 4096)
	for {
		n, err := from.Read(part)
		seen = append(seen, part[:n]...)
		if found := pattern.Find(seen); found != nil {
			return strings.TrimSpace(string(found))
		}
		if err != nil {
			t.Fatalf("no invitation in:\n%s", seen)
		}
	}
}

// here is an address with this machine in place of its host.
func here(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	u.Host = "127.0.0.1:" + u.Port()
	return u.String()
}

func hostOf(t *testing.T, address string) string {
	t.Helper()
	u, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	return u.Host
}

func download(t *testing.T, address, file string) {
	t.Helper()
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%s: %s, %v", address, answer.Status, err)
	}
	if err := os.WriteFile(file, body, 0o600); err != nil {
		t.Fatal(err)
	}
}
