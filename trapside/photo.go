package trapside

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"dawnround/notebook"
	"dawnround/page"
	"dawnround/photo"
	"dawnround/protocol"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

// PhotoPage takes a picture of the animal in hand, of a part of it, of a sample
// or of a rack, and shows those taken.
type PhotoPage struct {
	Frame page.Frame
	ID    uuid.UUID
	Trap  string
	Name  string
	Shows []page.Option // what it may show
	Sides []page.Option
	Taken []PhotoTaken
	Keeps bool // this device keeps pictures
}

// PhotoTaken is a picture of this capture.
type PhotoTaken struct {
	Line uuid.UUID
	Says string // "left ear: torn edge"
	At   string
	By   string
	Here bool // its bytes are on this device
}

// mountPhotos adds what takes and shows pictures to a program's pages.
func (t *Trapside) mountPhotos(mux *http.ServeMux) {
	mux.HandleFunc("GET /bench/{capture}/photo", t.showPhotos)
	mux.HandleFunc("POST /bench/{capture}/photo", t.takePhoto)
	mux.HandleFunc("GET /photo/{line}", t.servePhoto)
}

func (t *Trapside) showPhotos(w http.ResponseWriter, r *http.Request) {
	if page.AskPen(w, r, r.URL.RequestURI()) {
		return
	}
	id, err := captureOf(r)
	p := PhotoPage{Frame: t.frame(r, "Photo", page.Round), ID: id, Keeps: t.programme.Blobs != nil}
	if err != nil || !t.fillPhotos(&p) {
		page.Refuse(w, r, http.StatusNotFound, "No such animal here", fmt.Sprintf("There is no capture %q in this notebook.", r.PathValue("capture")),
			"Go to the round and choose the animal from those waiting.")
		return
	}
	page.Answer(w, r, p, photoPage(p))
}

// fillPhotos makes the page as things stand now; false where there is no such
// capture.
func (t *Trapside) fillPhotos(p *PhotoPage) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	found := false
	t.programme.View(func(r *register.Register) {
		kept, ok := r.Capture(p.ID)
		if found = ok; !ok {
			return
		}
		h := kept.Handled
		if h == nil {
			d := Fold(p.ID, t.steps[p.ID])
			h = d.handled()
			h.Young = d.young()
		}
		p.Trap, p.Name = kept.At.Trap, nameOf(r, p.ID)
		p.Shows, p.Sides = shows(h, r.Protocol().Findings.Parts), []page.Option{{Says: "–"}, {Value: "left", Says: "left"}, {Value: "right", Says: "right"}}
		for _, a := range r.AttachmentsAt(p.ID) {
			here, err := t.programme.Here(a.Blob)
			p.Taken = append(p.Taken, PhotoTaken{a.Line.ID, saysOf(a.Attachment), page.Clock(a.Taken.In(r.Zone())), a.Line.Who, here && err == nil})
		}
	})
	return found
}

// photosOf says how many pictures there are of a capture: "photo", "2 photos";
// nothing where this device keeps none.
func (t *Trapside) photosOf(r *register.Register, capture uuid.UUID) string {
	n := len(r.AttachmentsAt(capture))
	switch {
	case t.programme.Blobs == nil && n == 0:
		return ""
	case n == 0:
		return "photo"
	}
	return page.Count(n, "photo", "photos")
}

// saysOf is what a picture shows and what was written beside it.
func saysOf(a record.Attachment) string {
	if a.Caption == "" {
		return a.Subject()
	}
	return a.Subject() + ": " + a.Caption
}

// takePhoto keeps a picture and the line that says what it shows, at once: it
// waits for no release, and whatever becomes of the capture's lines it stays.
func (t *Trapside) takePhoto(w http.ResponseWriter, r *http.Request) {
	who := page.Who(r)
	if who == "" {
		noPen(w, r)
		return
	}
	id, err := captureOf(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	file, words, err := readPhoto(r)
	if err != nil {
		wrong(w, r, err)
		return
	}
	p, err := photo.Prepare(file, photo.MostPixels)
	if err != nil {
		wrong(w, r, err)
		return
	}
	a, err := t.attachment(id, words)
	if err != nil {
		wrong(w, r, err)
		return
	}
	a.WidthPx, a.HeightPx, a.Taken = p.WidthPx, p.HeightPx, t.now()
	if !t.taken(a, p.JPEG) {
		if _, err := t.programme.Attach(who, t.now(), p.JPEG, photo.Type, a); err != nil {
			notKept(w, r, err)
			return
		}
	}
	page.Go(w, r, page.Said(benchPath(id)+"/photo", "kept: photo of "+saysOf(a)))
}

// noPen answers a picture that nobody signs.
func noPen(w http.ResponseWriter, r *http.Request) {
	page.Refuse(w, r, http.StatusConflict, "Nobody holds the pen", "A line bears the initials of whoever wrote it, and nobody has said who that is.",
		"Nothing was written. Say who holds the pen at the foot of the page, then write it again.")
}

func benchPath(id uuid.UUID) string { return "/bench/" + id.String() }

// taken reports a form that came twice: the very picture of the same thing is
// kept already.
func (t *Trapside) taken(a record.Attachment, jpeg []byte) bool {
	blob := notebook.BlobOf(jpeg, photo.Type)
	var taken bool
	t.programme.View(func(r *register.Register) {
		taken = slices.ContainsFunc(r.AttachmentsAt(a.Of), func(b register.Attachment) bool {
			return b.Blob == blob && b.Subject() == a.Subject() && b.Caption == a.Caption
		})
	})
	return taken
}

// mostWords is the most bytes of one word of the form beside the picture.
const mostWords = 4 << 10

// readPhoto reads a form with a picture in it. Nothing of it touches a disk.
func readPhoto(r *http.Request) (file []byte, words url.Values, err error) {
	form, err := r.MultipartReader()
	if err != nil {
		return nil, nil, fmt.Errorf("no picture came with the form (%w); choose one, or take one", err)
	}
	words = url.Values{}
	for {
		part, err := form.NextPart()
		if err == io.EOF {
			return file, words, nil
		}
		if err == nil {
			err = readPart(part, &file, words)
		}
		if err != nil {
			return nil, nil, fmt.Errorf("the picture did not come whole (%w); send it again", err)
		}
	}
}

// readPart reads the picture, or a word beside it.
func readPart(part *multipart.Part, file *[]byte, words url.Values) error {
	if part.FormName() == "photo" {
		b, err := io.ReadAll(io.LimitReader(part, photo.MostFile+1))
		*file = b
		return err
	}
	b, err := io.ReadAll(io.LimitReader(part, mostWords))
	words.Add(part.FormName(), strings.TrimSpace(string(b)))
	return err
}

// shows are the things a picture at this capture may show: the animal, a part of
// its body, one of its young, a sample taken now, or a rack.
func shows(h *record.Handled, parts []protocol.Part) []page.Option {
	out := []page.Option{{Value: "animal", Says: "the animal"}}
	for _, p := range parts {
		out = append(out, page.Option{Value: "part " + p.ID, Says: named(p.Name, p.ID)})
	}
	for i, y := range h.Young {
		out = append(out, page.Option{Value: "young " + y.Young.String(), Says: "young " + strconv.Itoa(i+1)})
	}
	for _, s := range h.Samples {
		if s.Label != "" {
			out = append(out, page.Option{Value: "sample " + s.Label, Says: "sample " + s.Label})
		}
	}
	return append(out, page.Option{Value: "rack", Says: "a sample rack"})
}

// attachment is what the form says of the picture.
func (t *Trapside) attachment(id uuid.UUID, words url.Values) (record.Attachment, error) {
	var known bool
	t.programme.View(func(r *register.Register) { _, known = r.Capture(id) })
	if !known {
		return record.Attachment{}, fmt.Errorf("capture %s: no trap check has it; begin with the trap on the round", id)
	}
	a := record.Attachment{Of: id, Caption: words.Get("caption")}
	kind, what, _ := strings.Cut(words.Get("shows"), " ")
	switch kind {
	case "", "animal":
	case "part":
		a.Part, a.Side = what, words.Get("side")
	case "young":
		young, err := uuid.Parse(what)
		if err != nil {
			return a, fmt.Errorf("young %q: not an id; choose one of hers", what)
		}
		a.Young = young
	case "sample":
		a.Sample = what
	case "rack":
		a.Rack = cmp.Or(words.Get("rack"), record.RackUnnamed)
	default:
		return a, fmt.Errorf("shows %q: expected the animal, a part of it, a young, a sample or a rack; choose one", words.Get("shows"))
	}
	return a, nil
}

// inline are the types that a browser may show; anything else is saved.
var inline = []string{"image/jpeg", "image/png"}

// servePhoto gives a picture by its line, also one that is struck. No browser
// keeps it, and none takes it for anything but what it is.
func (t *Trapside) servePhoto(w http.ResponseWriter, r *http.Request) {
	a, ok := t.attachmentAt(r.PathValue("line"))
	if !ok {
		page.Refuse(w, r, http.StatusNotFound, "Not in this notebook", r.URL.Path+" names no photo that this notebook knows.",
			"It may lie on a device whose lines are not here yet; exchange lines with it, then ask again.")
		return
	}
	b, err := t.programme.Bytes(a.Blob)
	var bad *notebook.BadBlob
	switch {
	case errors.Is(err, notebook.ErrNotHere):
		page.Refuse(w, r, http.StatusNotFound, "Not here yet", "The line of this photo is here, the picture is not: pictures travel after all lines.",
			"Exchange with the device that took it.")
		return
	case errors.As(err, &bad):
		page.Refuse(w, r, http.StatusInternalServerError, "This photo is damaged", err.Error(), "The lines are not concerned. Restore it from a backup, or from the device that took it.")
		return
	case err != nil:
		page.Refuse(w, r, http.StatusInternalServerError, "This photo cannot be read", err.Error(), "See whether the disk is sound; the lines were read.")
		return
	}
	h := w.Header()
	h.Set("Content-Type", a.Type)
	if !slices.Contains(inline, a.Type) {
		h.Set("Content-Type", "application/octet-stream")
		h.Set("Content-Disposition", "attachment")
	}
	h.Set("Content-Length", strconv.Itoa(len(b)))
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Cache-Control", "no-store")
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox")
	w.Write(b)
}

// attachmentAt finds an attachment by the id of its line.
func (t *Trapside) attachmentAt(line string) (a record.Attachment, ok bool) {
	id, err := uuid.Parse(line)
	if err != nil {
		return a, false
	}
	t.programme.View(func(r *register.Register) {
		if e, there := r.Line(id); there {
			a, ok = e.Body.(record.Attachment)
		}
	})
	return a, ok
}
