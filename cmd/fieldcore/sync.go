package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/page"
)

// sync exchanges lines and pictures with the laptop, beside the pages: the round goes on
// meanwhile, however long the way is cut.
func (p *phone) sync(w http.ResponseWriter, r *http.Request) {
	o := p.open
	if !o.syncing {
		o.syncing, o.failed = true, nil
		go func() {
			defer func() { o.syncing = false; p.tell(progress{}) }()
			o.failed = p.bring(context.Background(), o, p.bringAll)
		}()
	}
	page.Go(w, r, "/kept")
}

// pair lets a phone that began with a file into the laptop's programme.
func (p *phone) pair(w http.ResponseWriter, r *http.Request) {
	inv, err := p.invitation(r)
	if err == nil {
		_, err = p.ask(r.Context(), p.open, inv)
	}
	if err != nil {
		page.Refuse(w, r, http.StatusUnprocessableEntity, "Not paired", err.Error(), "Nothing of the notebook went anywhere. Ask the laptop for another code: dawnround pair.")
		return
	}
	p.sync(w, r)
}

// elsewhere tells which other device holds what is written here.
func (o *notebookOpen) elsewhere(zone *time.Location) string {
	last, met := o.self.Copies.Last()
	if !met {
		return "not yet elsewhere"
	}
	waiting, err := o.self.Copies.Waiting(o.programme)
	says := fmt.Sprintf("also on %s %s", last.Name, last.At.In(zone).Format("15:04"))
	if err != nil || waiting > 0 {
		says += fmt.Sprintf(" · %s since", page.Count(waiting, "line", "lines"))
	}
	if alone := o.picturesAlone(); alone != "" {
		says += " · " + alone
	}
	return says
}

// outcome is how the last exchange went.
func (o *notebookOpen) outcome() string {
	switch {
	case o.syncing:
		return "lines are being exchanged, then pictures; go on with the round"
	case o.failed != nil:
		return "not finished: " + o.failed.Error() + " Whatever went is there; press it again to go on."
	case o.last.Done:
		return o.last.Says() + "." + o.carriedSays()
	}
	return ""
}

// in takes lines from a file of another notebook of the programme.
func (p *phone) in(w http.ResponseWriter, r *http.Request) {
	says, err := p.takeIn(r)
	if err != nil {
		page.Refuse(w, r, http.StatusUnprocessableEntity, "The file was not taken in whole", err.Error(), "What is whole of it is kept. Copy the file again, then take it in once more: nothing comes twice.")
		return
	}
	page.Go(w, r, page.Said("/kept", says))
}

func (p *phone) takeIn(r *http.Request) (string, error) {
	if err := r.ParseMultipartForm(mostFile); err != nil {
		return "", err
	}
	file, _, err := r.FormFile("file")
	if err != nil {
		return "", errNoFile
	}
	in := bufio.NewReader(file)
	if start, err := in.Peek(5); err == nil && string(start) == `{"v":` {
		return p.mergePlain(in)
	}
	state, err := p.open.side(p.now).Import(in)
	return state.Says(), err
}

// mergePlain takes in what export lines wrote.
func (p *phone) mergePlain(in io.Reader) (string, error) {
	lines, heads, err := notebook.ReadExport(in)
	if err != nil {
		return "", err
	}
	merged, err := p.open.programme.Merge(lines, heads)
	return page.Count(len(merged.New), "line", "lines") + " new here", err
}

// out gives the notebook as a file that another notebook of the programme takes
// in; outPlain as plain text, every line as it is. Both are in clear.
func (p *phone) out(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	if _, err := p.open.side(p.now).Export(&b, nil); err != nil {
		panic(err) // told as our fault; nothing of the file is saved
	}
	p.give(w, "parcels", b.Bytes())
}

func (p *phone) outPlain(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	if err := notebook.Export(&b, p.open.store); err != nil {
		panic(err)
	}
	p.give(w, "lines", b.Bytes())
}

func (p *phone) give(w http.ResponseWriter, ending string, body []byte) {
	name := fmt.Sprintf("notebook-%s.%s", p.local().Format("2006-01-02-1504"), ending)
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`"`)
	w.Write(body)
}

// carrying makes the way to another device.
type carrying func(address string) courier.Carry
