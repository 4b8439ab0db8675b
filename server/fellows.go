package server

import (
	"net/http"

	"dawnround/courier"
	"dawnround/page"
)

// Fellows is who else is in the round, as their devices last told: live on one
// hotspot, never kept, and honest about how old the news is.
type Fellows struct {
	Frame page.Frame `json:"-"`
	courier.Fellows
}

// House is the answering side, where devices tell each other where they are in
// the round.
func (s *Server) House() *courier.House { return s.house }

func (s *Server) showFellows(w http.ResponseWriter, r *http.Request) {
	p := Fellows{Fellows: s.house.Fellows()}
	p.Frame = page.FrameOf(r, "The round together", s.name(), page.Round, s.options.Now())
	page.Answer(w, r, p, fellowsSheet(p))
}
