package main

import (
	"net/http"
	"time"

	"dawnround/desk"
	"dawnround/trapside"
)

// screens puts the scribe's and the desk's pages under one roof; the bench is
// to be joined with the other devices.
func screens(f *folder, now func() time.Time) (http.Handler, *trapside.Trapside, error) {
	bench, err := trapside.New(f.Programme, f.store, now)
	if err != nil {
		return nil, nil, err
	}
	pages := http.NewServeMux()
	bench.Mount(pages)
	pages.Handle("/", desk.New(f.Programme, now, f.store))
	return pages, bench, nil
}
