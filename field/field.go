// Package field serves the program for the phone: a shell of one document, its
// scripts, a service worker that keeps them, and the core (cmd/fieldcore,
// compiled to WebAssembly). Nothing of a notebook is in it, so anybody may load
// it; from then on the phone needs no network.
//
// The core is built apart, by make core, and embedded from the folder built.
package field

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strings"

	"dawnround/page"
)

//go:embed shell.html shell.js worker.js sw.js field.css manifest.webmanifest built
var files embed.FS

// policy is what the shell's document and worker may do: run this program's own
// scripts and core, and exchange lines with laptops at whatever address they have.
const policy = "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; img-src 'self' data: blob:; connect-src 'self' https: http://localhost:* http://127.0.0.1:*; worker-src 'self'; manifest-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// Root is where the shell lies; a page of the phone has its own path behind it.
const Root = "/field/"

// A file of the shell, as it is sent.
type file struct {
	body     []byte
	kind     string
	encoding string // of the body, as HTTP names it
	lasting  bool   // its address holds its checksum
}

// Shell is the program for the phone, ready to be served.
type Shell struct{ files map[string]file } // by address

// Core is the program for the phone as it is sent.
type Core struct {
	Packed  []byte // WebAssembly
	Packing string // br or gzip, as HTTP names it
	Exec    []byte // the script that runs it, which comes with the compiler
}

// Built is the shell around the core that was built into this program; false
// where none was.
func Built() (*Shell, bool) {
	exec, err := files.ReadFile("built/wasm_exec.js")
	if err != nil {
		return nil, false
	}
	for ending, packing := range map[string]string{"br": "br", "gz": "gzip"} {
		if packed, err := files.ReadFile("built/core.wasm." + ending); err == nil {
			return New(Core{packed, packing, exec}), true
		}
	}
	return nil, false
}

// New makes the shell around a core.
func New(core Core) *Shell {
	s := &Shell{files: map[string]file{}}
	at := map[string]string{} // addresses by name
	for _, address := range page.Addresses() {
		base, ext := path.Base(address), path.Ext(address)
		at[base[:strings.LastIndexByte(base, '-')]+ext] = address
	}
	at["core.wasm"] = s.add("core.wasm", file{body: core.Packed, kind: "application/wasm", encoding: core.Packing})
	at["wasm_exec.js"] = s.add("wasm_exec.js", file{body: core.Exec, kind: script})
	for name, kind := range map[string]string{"worker.js": script, "shell.js": script, "field.css": "text/css; charset=utf-8"} {
		at[name] = s.add(name, file{body: read(name), kind: kind})
	}
	for _, size := range []int{192, 512} {
		name := fmt.Sprintf("icon-%d.png", size)
		at[name] = s.add(name, file{body: icon(size), kind: "image/png"})
	}
	s.files[Root+"manifest.webmanifest"] = file{body: filled("manifest.webmanifest", at), kind: "application/manifest+json"}
	s.files[Root] = file{body: filled("shell.html", at), kind: "text/html; charset=utf-8"}
	s.files[Root+"sw.js"] = s.serviceWorker()
	return s
}

const script = "text/javascript; charset=utf-8"

// add puts a file under its checksum and gives its address.
func (s *Shell) add(name string, f file) string {
	ext := path.Ext(name)
	address := Root + strings.TrimSuffix(name, ext) + "-" + sum(f.body) + ext
	f.lasting = true
	s.files[address] = f
	return address
}

func sum(b []byte) string {
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:6])
}

func read(name string) []byte {
	body, err := files.ReadFile(name)
	if err != nil {
		panic(err) // it is embedded
	}
	return body
}

// filled is a file with addresses in place of {names}.
func filled(name string, at map[string]string) []byte {
	body := read(name)
	for file, address := range at {
		body = bytes.ReplaceAll(body, []byte("{"+file+"}"), []byte(address))
	}
	return body
}

// serviceWorker names every file that is to be kept; its own bytes change when
// any of theirs do, so that a browser notices a new version.
func (s *Shell) serviceWorker() file {
	kept := page.Addresses()
	all := sha256.New()
	for address := range s.files {
		kept = append(kept, address)
	}
	slices.Sort(kept)
	for _, address := range kept {
		fmt.Fprintf(all, "%s %s\n", address, sum(s.files[address].body))
	}
	list, err := json.Marshal(kept)
	if err != nil {
		panic(err) // a list of strings can be written
	}
	body := bytes.ReplaceAll(read("sw.js"), []byte("{version}"), []byte("field-"+hex.EncodeToString(all.Sum(nil)[:6])))
	return file{body: bytes.ReplaceAll(body, []byte("{files}"), list), kind: script}
}

// ServeHTTP answers below [Root]. An address that is no file's is a page of the
// phone's, and gets the shell.
func (s *Shell) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	f, ok := s.files[r.URL.Path]
	if !ok {
		f = s.files[Root]
	}
	h := w.Header()
	h.Set("Content-Security-Policy", policy)
	h.Set("Content-Type", f.kind)
	h.Set("Cache-Control", "no-cache")
	if f.lasting {
		h.Set("Cache-Control", "public, max-age=31536000, immutable")
	}
	if f.encoding != "" {
		h.Set("Content-Encoding", f.encoding)
	}
	w.Write(f.body)
}
