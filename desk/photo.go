package desk

import (
	"fmt"
	"io"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// Photo is a picture of an animal, a sample or a rack, as a page shows it.
type Photo struct {
	Line     uuid.UUID    `json:"line"`
	Capture  uuid.UUID    `json:"capture,omitzero"`
	Night    record.Night `json:"night,omitzero"`
	Shows    string       `json:"shows"` // "left ear of 4417"
	Caption  string       `json:"caption,omitempty"`
	At       string       `json:"at,omitempty"` // when it was taken
	By       string       `json:"by"`
	WidthPx  int          `json:"width_px,omitempty"`
	HeightPx int          `json:"height_px,omitempty"`
	Bytes    int64        `json:"bytes"`
	SHA256   string       `json:"sha256"`
	State    string       `json:"state,omitempty"` // here, or not here yet; empty: nobody looked
}

// The states of a photo.
const (
	photoHere    = "here"
	photoNotHere = "not here yet"
)

// alt is what stands in a picture's place for whoever does not see it.
func (p Photo) alt() string { return "photo of " + joined(": ", p.Shows, p.Caption) }

func (p Photo) path() string { return "/photo/" + p.Line.String() }

// photos makes what a page shows of attachments.
func (w words) photos(list []register.Attachment) []Photo {
	var out []Photo
	for _, a := range list {
		out = append(out, w.photo(a.Attachment, a.Line))
	}
	return out
}

func (w words) photo(a record.Attachment, line *register.Entry) Photo {
	p := Photo{
		Line: line.ID, Capture: a.Of, Shows: w.shows(a), Caption: a.Caption, By: line.Who,
		WidthPx: a.WidthPx, HeightPx: a.HeightPx, Bytes: a.Size, SHA256: a.SHA256.String(), State: w.photoState(a.Blob),
	}
	if a.By != "" {
		p.By = a.By
	}
	if c, ok := w.Capture(a.Of); ok {
		p.Night = c.At.Night
	}
	p.At = w.clock(a.Taken, p.Night)
	return p
}

// photosOfSamples are the pictures of racks and samples of one trip: taken at its
// captures, or of no capture from its first noon on until a day after its last.
func (w words) photosOfSamples(t record.Trip) []Photo {
	var list []register.Attachment
	for _, a := range w.AttachmentsShowing(func(a record.Attachment) bool { return a.Rack != "" || a.Sample != "" }) {
		c, ok := w.Capture(a.Of)
		at := a.Taken
		if at.IsZero() {
			at = a.Line.At()
		}
		if ok && c.At.Trip == t.Trip || !ok && !at.Before(w.noon(t.First)) && at.Before(w.noon(t.Last.Add(2))) {
			list = append(list, a)
		}
	}
	return w.photos(list)
}

// shows says what a picture shows and of whom.
func (w words) shows(a record.Attachment) string {
	animal := ""
	switch {
	case a.Rack != "" || a.Sample != "":
		return a.Subject()
	case a.Young != uuid.UUID{}:
		animal = w.subject(a.Young.String())
	case a.Of != uuid.UUID{}:
		animal = w.subject(a.Of.String())
	}
	switch {
	case animal == "":
		return a.Subject()
	case a.Part == "":
		return animal
	}
	return a.Subject() + " of " + animal
}

// photoState tells whether a picture's bytes are here, where a page can know.
func (w words) photoState(b notebook.Blob) string {
	if w.here == nil {
		return ""
	}
	if w.here(b) {
		return photoHere
	}
	return photoNotHere
}

// writePhotos writes them for a terminal.
func writePhotos(out io.Writer, photos []Photo) {
	for _, p := range photos {
		fmt.Fprintf(out, "photo  %s\n", joined(", ", short(p.Night), joined(": ", p.Shows, p.Caption), p.By, p.State))
	}
}
