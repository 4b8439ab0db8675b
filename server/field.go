package server

import (
	"net/http"

	"dawnround/field"
	"dawnround/page"
)

// fieldProgram serves the program for the phone, which holds nothing of the
// notebook, to browsers that are not known yet.
func fieldProgram() http.Handler {
	if shell, ok := field.Built(); ok {
		return shell
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		page.Refuse(w, r, http.StatusNotImplemented, "The field program was not built in",
			"This program was compiled without the core for the phone.", "Build it whole: make build, or make core and then go build.")
	})
}
