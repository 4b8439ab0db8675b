// Package page is the sheet every screen is written on: the shell around a
// page, its style and its small scripts, and the parts that pages share. It
// knows nothing of animals.
//
// A page is one typed struct and one template. [Answer] writes the template,
// or the struct as JSON to whoever asks for that, so that page and data cannot
// drift apart. Nothing on a page is inline, neither script nor style, so the
// strictest content security policy holds; a page works without scripts.
package page
