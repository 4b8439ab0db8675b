package page

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"net/http"
	"path"
	"strings"
)

//go:embed static/*.css static/*.js static/*.svg
var files embed.FS

// addresses and bodies hold each file under its checksum, so that a browser
// may keep it for ever.
var addresses, bodies = checksummed()

func checksummed() (addresses map[string]string, bodies map[string][]byte) {
	addresses, bodies = map[string]string{}, map[string][]byte{}
	names, err := fs.Glob(files, "static/*")
	if err != nil {
		panic(err)
	}
	for _, name := range names {
		body, err := files.ReadFile(name)
		if err != nil {
			panic(err)
		}
		sum := sha256.Sum256(body)
		base := path.Base(name)
		ext := path.Ext(base)
		address := strings.TrimSuffix(base, ext) + "-" + hex.EncodeToString(sum[:6]) + ext
		addresses[base], bodies[address] = "/static/"+address, body
	}
	return addresses, bodies
}

// Static is the address of a style or script by its file's name.
func Static(name string) string {
	address, ok := addresses[name]
	if !ok {
		panic("page: no static file " + name)
	}
	return address
}

var staticTypes = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

func serveStatic(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("file")
	body, ok := bodies[name]
	if !ok {
		Refuse(w, r, http.StatusNotFound, "There is no such file", r.URL.Path+" is not part of this program.", "Load the page again.")
		return
	}
	w.Header().Set("Content-Type", staticTypes[path.Ext(name)])
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	w.Write(body)
}
