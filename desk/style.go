package desk

import (
	"crypto/sha256"
	_ "embed"
	"encoding/hex"
	"net/http"
)

//go:embed desk.css
var css []byte

// styleAddress is the desk's own style under its checksum, so that a browser
// may keep it for ever.
var styleAddress = func() string {
	sum := sha256.Sum256(css)
	return "/desk/" + hex.EncodeToString(sum[:6]) + ".css"
}()

func serveStyle(w http.ResponseWriter, r *http.Request) {
	if r.URL.Path != styleAddress {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Content-Type", "text/css; charset=utf-8")
	w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
	w.Write(css)
}
