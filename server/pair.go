package server

import (
	"cmp"
	"net/http"
	"slices"
	"strconv"
	"time"

	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/page"
	"dawnround/pairing"
	"dawnround/pairing/qr"
	"dawnround/record"
	"dawnround/register"
)

// Devices is the page of the programme's devices: who takes part, who waits to
// be let in, and what each was last known to hold.
type Devices struct {
	Frame     page.Frame       `json:"-"`
	Devices   []Device         `json:"devices"`
	Callers   []pairing.Caller `json:"callers"` // asked by an invitation, wait for a person's word
	Knocked   []Knocked        `json:"knocked"` // came to exchange lines and are not admitted
	Shown     *pairing.Shown   `json:"shown,omitempty"`
	QR        string           `json:"-"`
	Sites     []record.Site    `json:"-"`
	Addresses []string         `json:"addresses"` // where devices reach this one
	Camp      string           `json:"camp,omitempty"`
	Exchange  *Exchange        `json:"exchange,omitempty"` // the latest that was begun here
}

// Device is one that wrote or was admitted.
type Device struct {
	ID       notebook.DeviceID `json:"id"`
	Name     string            `json:"name"`
	Role     record.Role       `json:"role,omitempty"`
	Site     string            `json:"site,omitempty"`
	Founder  bool              `json:"founder,omitempty"`
	Here     bool              `json:"here,omitempty"` // this one
	Lost     string            `json:"lost,omitempty"`
	Met      *time.Time        `json:"met,omitempty"` // when lines were last exchanged with it
	Says     string            `json:"says"`
	Admitted bool              `json:"admitted"`
}

// Knocked is a device that came and was turned away.
type Knocked struct {
	ID   notebook.DeviceID `json:"id"`
	Name string            `json:"name,omitempty"`
	At   time.Time         `json:"at"`
}

func (s *Server) mountDevices(mux *http.ServeMux) {
	mux.HandleFunc("GET /fellows", s.showFellows)
	mux.HandleFunc("GET /devices", s.showDevices)
	mux.HandleFunc("GET /devices/{invitation}", s.showDevices)
	for path, act := range map[string]func(*http.Request) (string, string, error){
		"/devices/invite":   s.invite,
		"/devices/decide":   s.decide,
		"/devices/admit":    s.admit,
		"/devices/shut-out": s.shutOut,
		"/devices/sync":     s.begin,
	} {
		mux.HandleFunc("POST "+path, func(w http.ResponseWriter, r *http.Request) {
			if page.AskPen(w, r, "/devices") {
				return
			}
			to, said, err := act(r)
			if err != nil {
				page.Refuse(w, r, http.StatusUnprocessableEntity, "Not written", err.Error(), "Go back and look again.")
				return
			}
			page.Go(w, r, page.Said(to, said))
		})
	}
}

func (s *Server) showDevices(w http.ResponseWriter, r *http.Request) {
	p := s.devices()
	p.Frame = page.FrameOf(r, "Devices", s.name(), "", s.options.Now())
	if text := r.PathValue("invitation"); text != "" {
		id, err := strconv.Atoi(text)
		shown, ok := s.door.Showing(id)
		if err != nil || !ok && len(p.Callers) == 0 {
			page.Refuse(w, r, http.StatusGone, "This invitation is used up",
				"An invitation lets in one device, within ten minutes.", "Look under Devices, or invite again.")
			return
		}
		if ok {
			p.Shown = &shown
			if p.QR, err = qr.SVG(shown.Link, "invitation, to be read by the new device's camera"); err != nil {
				panic(err) // an address always fits
			}
		}
	}
	page.Answer(w, r, p, devicesSheet(p))
}

// devices gathers what is known of them.
func (s *Server) devices() Devices {
	own := s.options.Programme.Notebook().Device()
	p := Devices{Callers: s.door.Callers(), Addresses: s.options.Addresses(), Exchange: s.exchanging.last()}
	if s.options.Camp != nil {
		p.Camp = s.options.Camp.Fingerprint()
	}
	met := map[notebook.DeviceID]courier.Copy{}
	for _, c := range s.house.Peers() {
		met[c.Device] = c
	}
	knocked := s.house.Knocked()
	s.options.Programme.View(func(r *register.Register) {
		p.Sites = r.Sites()
		for _, d := range r.Party(own) {
			row := Device{ID: d.ID, Name: d.Name, Role: d.Role, Site: d.Site, Founder: d.Founder, Here: d.ID == own, Lost: d.Lost, Admitted: d.Admitted()}
			if c, ok := met[d.ID]; ok {
				at := c.At.In(r.Zone())
				row.Met = &at
			}
			row.Says = row.says()
			p.Devices = append(p.Devices, row)
		}
		for id, at := range knocked {
			if d := r.Member(id, own); !d.Admitted() && d.Lost == "" {
				p.Knocked = append(p.Knocked, Knocked{ID: id, Name: d.Name, At: at})
			}
		}
	})
	slices.SortFunc(p.Knocked, func(a, b Knocked) int { return a.At.Compare(b.At) })
	return p
}

// says is what the device is, in a few words.
func (d Device) says() string {
	says := "not admitted"
	switch {
	case d.Lost != "":
		return "shut out: " + d.Lost
	case d.Founder:
		says = "leader, began this notebook"
	case d.Role != "":
		says = string(d.Role)
	}
	if d.Site != "" {
		says += ", coordinates of " + d.Site + " only"
	}
	if d.Here {
		says += ", this one"
	}
	return says
}

// metWords says when lines were last exchanged with it.
func (d Device) metWords() string {
	if d.Met == nil {
		return ""
	}
	return ", lines exchanged " + d.Met.Format("2 Jan 15:04")
}

// terms reads role and site of a form.
func terms(r *http.Request) pairing.Terms {
	return pairing.Terms{Role: record.Role(cmp.Or(r.PostFormValue("role"), string(record.Scribe))), Site: r.PostFormValue("site")}
}

// invite makes an invitation and shows it.
func (s *Server) invite(r *http.Request) (to, said string, err error) {
	shown, err := s.door.Invite(terms(r), s.reached(r))
	return "/devices/" + strconv.Itoa(shown.ID), "", err
}

// reached is where a new device should ask: on the network where there is one.
func (s *Server) reached(r *http.Request) string {
	if addresses := s.options.Addresses(); len(addresses) > 0 {
		return addresses[0]
	}
	return originOf(r)
}

// decide lets a waiting device in, or not.
func (s *Server) decide(r *http.Request) (to, said string, err error) {
	id, err := deviceID(r)
	if err != nil {
		return "", "", err
	}
	in := r.PostFormValue("in") == "yes"
	said = "It was turned away; nothing was told to it."
	if in {
		said = "It is in; it now fetches the notebook."
	}
	return "/devices", said, s.door.Decide(id, r.PostFormValue("name"), page.Who(r), in)
}

// admit lets in a device that is known by its key: one that knocked, or one
// that was shut out and is found again.
func (s *Server) admit(r *http.Request) (to, said string, err error) {
	id, err := deviceID(r)
	if err != nil {
		return "", "", err
	}
	t := terms(r)
	if err := t.Check(s.options.Programme); err != nil {
		return "", "", err
	}
	_, err = s.options.Programme.Keep(page.Who(r), s.options.Now(),
		record.Admitted{Device: id, Name: r.PostFormValue("name"), Role: t.Role, Site: t.Site})
	return "/devices", "It is admitted, and may exchange lines.", err
}

// shutOut takes a device's right to exchange lines.
func (s *Server) shutOut(r *http.Request) (to, said string, err error) {
	id, err := deviceID(r)
	if err != nil {
		return "", "", err
	}
	_, err = s.options.Programme.Keep(page.Who(r), s.options.Now(),
		record.ShutOut{Device: id, Why: cmp.Or(r.PostFormValue("why"), "lost")})
	return "/devices", "It is shut out here at once, and elsewhere once lines are exchanged.", err
}

func deviceID(r *http.Request) (id notebook.DeviceID, err error) {
	return id, id.UnmarshalText([]byte(r.PostFormValue("device")))
}
