package register

import (
	"slices"

	"dawnround/notebook"
	"dawnround/record"

	"github.com/google/uuid"
)

// Attachment is a picture, with the line that keeps it.
type Attachment struct {
	record.Attachment
	Line *Entry
}

// AttachmentsAt gives the standing attachments taken at a capture, by the clock.
func (r *Register) AttachmentsAt(capture uuid.UUID) []Attachment {
	return attachments(r.about[notebook.AttachmentKind][subject{a: capture.String()}])
}

// AttachmentsOf gives the standing attachments taken at the captures of an
// animal, and those that show it as a young, by the clock.
func (r *Register) AttachmentsOf(animal uuid.UUID) []Attachment {
	own := r.members[animal]
	return r.AttachmentsShowing(func(a record.Attachment) bool { return slices.Contains(own, a.Of) || slices.Contains(own, a.Young) })
}

// AttachmentsShowing gives the standing attachments that show something, by the
// clock: a sample by its label, a rack by its name.
func (r *Register) AttachmentsShowing(shows func(record.Attachment) bool) []Attachment {
	var lines []*Entry
	for _, list := range r.about[notebook.AttachmentKind] {
		for _, e := range list {
			if shows(e.now.(record.Attachment)) {
				lines = append(lines, e)
			}
		}
	}
	slices.SortFunc(lines, (*Entry).compare)
	return attachments(lines)
}

func attachments(lines []*Entry) []Attachment {
	var out []Attachment
	for _, e := range lines {
		out = append(out, Attachment{e.now.(record.Attachment), e})
	}
	return out
}

// Blobs gives the bytes that any line names, struck ones too, each once, by the
// clock: what is carried between notebooks after their lines.
func (r *Register) Blobs() []notebook.Blob {
	var lines []*Entry
	for _, e := range r.entries {
		if e.Kind == notebook.AttachmentKind {
			lines = append(lines, e)
		}
	}
	slices.SortFunc(lines, (*Entry).compare)
	var out []notebook.Blob
	seen := map[notebook.Blob]bool{}
	for _, e := range lines {
		for _, said := range append(slices.Clone(e.Twins), e) {
			if a, ok := said.Body.(record.Attachment); ok && a.Carriable() && !seen[a.Blob] {
				seen[a.Blob] = true
				out = append(out, a.Blob)
			}
		}
	}
	return out
}
