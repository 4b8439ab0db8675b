package field

import (
	"net/http"

	"dawnround/page"
)

// Handler serves the program for phones below [Root]. Where the core was not
// built in it says how to build it.
func Handler() http.Handler {
	if shell, ok := Built(); ok {
		return shell
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		page.Refuse(w, r, http.StatusNotImplemented, "The field program was not built in",
			"This program was compiled without the core for the phone.", "Build it whole: make build, or make core and then go build.")
	})
}
