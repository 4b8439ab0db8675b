package desk

import (
	"fmt"
	"io"
	"net/http"
	"time"

	"dawnround/page"
	"dawnround/record"
	"dawnround/register"

	"github.com/a-h/templ"
	"github.com/google/uuid"
)

// LinePage is one line of the notebook, with the forms that correct and strike
// it.
type LinePage struct {
	StatedLine
	Kind   string  `json:"kind"`
	Device string  `json:"device"`
	Number uint64  `json:"number"` // on that device
	Asked  *Field  `json:"-"`      // the field whose form is open
	Blanks []Field `json:"-"`      // what nobody wrote
	Photo  *Photo  `json:"photo,omitempty"`
}

func (d *desk) line(w http.ResponseWriter, r *http.Request) {
	d.show(w, r, func(words words) shown {
		l, ok := words.linePage(pathID(r), r.FormValue("field"))
		if !ok {
			return shown{}
		}
		return shown{"A line by " + l.Who, page.Evening, l, func(f page.Frame) templ.Component { return linePage(f, l) }}
	})
}

// LineAt is one line by its id; false where it is not in this notebook.
func LineAt(r *register.Register, id uuid.UUID, now time.Time) (LinePage, bool) {
	return wordsOf(r, now).linePage(id, "")
}

func (w words) linePage(id uuid.UUID, asked string) (LinePage, bool) {
	e, ok := w.Line(id)
	if !ok {
		return LinePage{}, false
	}
	l := LinePage{StatedLine: w.stated(e, w.nightOf(e)), Kind: e.Kind, Device: w.deviceName(e), Number: e.Seq}
	if a, ok := e.Body.(record.Attachment); ok {
		if now, ok := e.Now().(record.Attachment); ok {
			a = now
		}
		p := w.photo(a, e)
		l.Photo = &p
	}
	if e.Now() == nil {
		return l, true
	}
	have := map[string]bool{}
	for _, v := range l.Values {
		have[v.Pointer] = true
	}
	for _, f := range w.fields(e.Now(), true) {
		if f.Pointer == asked {
			l.Asked = &f
		}
		if !have[f.Pointer] {
			l.Blanks = append(l.Blanks, f)
		}
	}
	return l, true
}

// nightOf is the night of the capture a line is about; none for other lines.
func (w words) nightOf(e *register.Entry) record.Night {
	if b, ok := e.Body.(record.Capture); ok {
		if c, ok := w.Register.Capture(b.Capture); ok {
			return c.At.Night
		}
	}
	return record.Night{}
}

func (w words) deviceName(e *register.Entry) string {
	if name := w.Devices()[e.Device.String()]; name != "" {
		return name
	}
	return "device " + e.Device.String()[:6] + "…"
}

// Text writes the line for a terminal.
func (l LinePage) Text(out io.Writer) {
	fmt.Fprintf(out, "line %d of %s, %s\n", l.Number, l.Device, l.Kind)
	writeLines(out, []Written{l.Written})
	for _, v := range l.Values {
		fmt.Fprintf(out, "              %-24s %s\n", v.Label, v.Text)
	}
}
