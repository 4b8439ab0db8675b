package main

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/notebook/browser"
	"dawnround/page"
	"dawnround/register"
)

// openPictures lets the programme keep pictures here. Where their files do not
// open the notebook does all the same, and says so.
func (o *notebookOpen) openPictures() {
	blobs, err := browser.OpenBlobs(o.vault)
	if err != nil {
		o.noPictures = err
		return
	}
	o.blobs, o.programme.Blobs = blobs, blobs
}

// bringPictures lets the pictures follow the lines. Those that were named before
// the lines went lie elsewhere once the other side lacks them no more.
func (p *phone) bringPictures(ctx context.Context, o *notebookOpen, carry courier.Carry, named []notebook.Blob) error {
	if o.blobs == nil {
		return nil
	}
	got, err := o.side(p.now).SyncBlobs(ctx, carry, func(b courier.Blobs) {
		p.tell(progress{Says: "pictures follow", Done: int64(b.Sent + b.Came), Of: int64(b.Sent + b.Came + b.ToSend + b.ToCome)})
	})
	o.carried = got
	if err != nil {
		err = fmt.Errorf("all lines are through; of the pictures %d went, %d came, then %w", got.Sent, got.Came, err)
	}
	if !got.Given || got.Why != "" {
		return err
	}
	var there []notebook.Hash
	for _, b := range named {
		if !slices.Contains(got.Lacks, b.SHA256) {
			there = append(there, b.SHA256)
		}
	}
	return errors.Join(err, o.blobs.LieElsewhere(there))
}

// named are the pictures that lines here name.
func (o *notebookOpen) named() (named []notebook.Blob) {
	o.programme.View(func(r *register.Register) { named = r.Blobs() })
	return named
}

// picturesAlone tells of pictures that no other device is known to hold; empty
// where there are none.
func (o *notebookOpen) picturesAlone() string {
	if o.blobs == nil {
		return ""
	}
	_, _, alone := o.blobs.Count()
	if alone == 0 {
		return ""
	}
	return page.Count(alone, "picture", "pictures") + " nowhere else"
}

// picturesSay tells how many pictures lie here, and which do not.
func (o *notebookOpen) picturesSay() string {
	if o.blobs == nil {
		return "they do not open: " + o.noPictures.Error()
	}
	here, size, alone := o.blobs.Count()
	says := fmt.Sprintf("%d, %.1f MB sealed", here, float64(size)/1e6)
	if alone > 0 {
		says += fmt.Sprintf("; %d nowhere else", alone)
	}
	if wanted, err := o.programme.Wanted(); err == nil && len(wanted) > 0 {
		says += fmt.Sprintf("; %d not here yet", len(wanted))
	}
	return says
}

// carriedSays is how the pictures went last; empty: nothing of note.
func (o *notebookOpen) carriedSays() (says string) {
	c := o.carried
	if c.Sent+c.Came > 0 {
		says += fmt.Sprintf(" Pictures: %d went, %d came.", c.Sent, c.Came)
	}
	if c.Waiting > 0 {
		says += " " + page.Count(c.Waiting, "picture lies", "pictures lie") + " on a device that was not met yet."
	}
	if c.Why != "" {
		says += " No picture went: " + c.Why + "."
	}
	return says
}
