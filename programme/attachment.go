package programme

import (
	"errors"
	"time"

	"dawnround/notebook"
	"dawnround/record"
)

// ErrNoBlobs says that this device keeps no bytes of attachments.
var ErrNoBlobs = errors.New("no picture can be kept on this device now: its store of pictures is not open; take it with another device")

// Attach keeps a file of a media type and the line that says what it shows. The
// bytes are safe before the line is written, so a line is never kept whose bytes
// were lost here; bytes whose line was not written are harmless.
func (p *Programme) Attach(who string, now time.Time, b []byte, mediaType string, a record.Attachment) (Kept, error) {
	if p.Blobs == nil {
		return Kept{}, ErrNoBlobs
	}
	a.Blob = notebook.BlobOf(b, mediaType)
	if err := p.Blobs.Put(a.SHA256, b); err != nil {
		return Kept{}, err
	}
	return p.Keep(who, now, a)
}

// Bytes gives the bytes of an attachment: notebook.ErrNotHere where they have not
// come, a *notebook.BadBlob where they are damaged.
func (p *Programme) Bytes(b notebook.Blob) ([]byte, error) {
	if p.Blobs == nil {
		return nil, notebook.ErrNotHere
	}
	return p.Blobs.Get(b.SHA256)
}

// Here tells whether the bytes of an attachment are here.
func (p *Programme) Here(b notebook.Blob) (bool, error) {
	if p.Blobs == nil {
		return false, nil
	}
	return p.Blobs.Has(b.SHA256)
}

// Wanted gives the attachments whose bytes are not here, and how far each came.
// Where this device keeps none it wants none.
func (p *Programme) Wanted() ([]notebook.Wanted, error) {
	if p.Blobs == nil {
		return nil, nil
	}
	p.mu.RLock()
	named := p.register.Blobs()
	p.mu.RUnlock()
	return notebook.Missing(p.Blobs, named)
}
