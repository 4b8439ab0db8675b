package page

import (
	"net/http"
	"net/url"
	"time"
)

// Fault is a page that says why something could not be done.
type Fault struct {
	Frame  Frame
	Status int
	Says   string // what is the matter
	Do     string // what to do
	Back   string // where the person came from
	Report string `json:",omitempty"` // to send to us, where it is our fault
}

// Refuse answers what cannot be done as asked: why, and what to do.
func Refuse(w http.ResponseWriter, r *http.Request, status int, title, says, do string) {
	f := Fault{Frame: FrameOf(r, title, "", "", time.Time{}), Status: status, Says: Short(says), Do: do, Back: cameFrom(r)}
	AnswerAs(w, r, status, f, faultPage(f))
}

// OurFault answers a mistake of the program's own with a report to send.
func OurFault(w http.ResponseWriter, r *http.Request, report string) {
	f := Fault{
		Frame: FrameOf(r, "This is our fault", "", "", time.Time{}), Status: http.StatusInternalServerError,
		Says:   "The program made a mistake. What you had written before is kept; nothing of it is lost.",
		Do:     "Go back and look at your last line. Then please send the report below to whoever looks after the program; it names no animal and no place.",
		Back:   cameFrom(r),
		Report: report,
	}
	AnswerAs(w, r, f.Status, f, faultPage(f))
}

// cameFrom is the page of this program that a request came from, or the first.
func cameFrom(r *http.Request) string {
	u, err := url.Parse(r.Referer())
	if err != nil || u.Host != r.Host || u.Path == r.URL.Path {
		return "/"
	}
	return local(u.RequestURI())
}
