package main

import (
	"net/http"
	"time"

	"dawnround/desk"
	"dawnround/trapside"
)

// screens puts the scribe's and the desk's pages under one roof.
func screens(f *folder, now func() time.Time) (http.Handler, error) {
	bench, err := trapside.New(f.Programme, f.store, now)
	if err != nil {
		return nil, err
	}
	pages := http.NewServeMux()
	bench.Mount(pages)
	pages.Handle("/", desk.New(f.Programme, now, f.store))
	return pages, nil
}
