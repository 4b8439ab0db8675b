package server

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"sync"
	"time"

	"dawnround/camp"
	"dawnround/courier"
	"dawnround/notebook"
	"dawnround/page"
	"dawnround/pairing"
	"dawnround/programme"
	"dawnround/register"
)

// Options is what a server needs.
type Options struct {
	Programme *programme.Programme
	Pages     http.Handler        // the screens, behind every refusal
	Field     http.Handler        // the program for phones, below /field/; nil: none
	Addresses func() []string     // where devices on the network reach it now: https://192.168.43.7:4171; nil: only this machine does
	Camp      *camp.Authority     // whose certificate phones accept; nil: the network trusts it without
	Copies    *courier.Copies     // what other devices hold; nil: nobody remembers
	Client    *http.Client        // reaches other machines of the programme; nil: by the system's authorities
	Trust     []notebook.DeviceID // devices this one was paired with
	Now       func() time.Time    // nil: the clock
	Log       io.Writer           // reports of our own mistakes, for whoever looks after the program; nil: none
}

// Server is the pages of one programme, and who may see them. It may be used
// by several goroutines.
type Server struct {
	options Options
	local   http.Handler // what this machine's own browsers see
	network http.Handler // what comes over the network
	secret  string       // opens the control route; see Announce

	house *courier.House
	door  *pairing.Door
	busy  chan struct{} // a place for each question of a device under way

	exchanging exchanging

	mu       sync.Mutex // over all below
	links    map[key]time.Time
	sessions map[key]bool
}

// New returns a server that lets nobody in yet; see [Server.NewLink].
func New(o Options) *Server {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = io.Discard
	}
	if o.Client == nil {
		o.Client = &http.Client{Timeout: time.Minute}
	}
	if o.Addresses == nil {
		o.Addresses = func() []string { return nil }
	}
	if o.Copies == nil {
		o.Copies = &courier.Copies{}
	}
	s := &Server{options: o, secret: token(), links: map[key]time.Time{}, sessions: map[key]bool{}, busy: make(chan struct{}, atOnce)}
	s.house = courier.NewHouse(courier.Side{Programme: o.Programme, Now: o.Now, Copies: o.Copies, Trust: o.Trust})
	s.door = pairing.NewDoor(o.Programme, o.Now, o.Addresses)
	pages, control := s.pages(), http.NewServeMux()
	control.HandleFunc("POST /control/link", s.controlLink)
	control.Handle("/", pages)
	s.local = s.survive(s.face(localOnly, control))
	s.network = s.survive(s.face(s.atAddress, pages))
	return s
}

// pages are what a browser sees: most of it only once it is known.
func (s *Server) pages() *http.ServeMux {
	inside := http.NewServeMux()
	inside.Handle("/", s.options.Pages)
	page.Mount(inside, s.name, s.crew)
	s.mountDevices(inside)
	outside := http.NewServeMux()
	outside.Handle("/", s.knownOnly(inside))
	outside.Handle("GET /static/", inside)
	outside.HandleFunc("GET /in/{token}", s.showLink)
	outside.HandleFunc("POST /in/{token}", s.useLink)
	s.mountTrust(outside)
	if s.options.Field != nil {
		outside.Handle("GET /field/", s.options.Field)
	}
	outside.HandleFunc("GET "+pairing.JoinPath, join)
	return outside
}

// join goes on to the program for phones; the browser takes what stands behind
// the # along.
func join(w http.ResponseWriter, r *http.Request) {
	http.Redirect(w, r, "/field/", http.StatusSeeOther)
}

// face is one side that the server shows: lines to devices, pages to browsers,
// each only to whom meant lets through.
func (s *Server) face(meant func(http.Handler) http.Handler, pages http.Handler) http.Handler {
	mux := http.NewServeMux()
	mux.Handle("/", strict(meant(sameOrigin(wayBack(pages)))))
	exchanges := meant(s.exchanges())
	for _, path := range exchangePaths {
		mux.Handle(path, exchanges)
	}
	return mux
}

// ServeHTTP answers one request of this machine.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.local.ServeHTTP(w, r) }

// Network answers what comes over the network: devices of the programme, and
// browsers that used a link.
func (s *Server) Network() http.Handler { return s.network }

func (s *Server) name() string {
	var name string
	s.options.Programme.View(func(r *register.Register) { name = r.Programme().Name })
	return name
}

func (s *Server) crew() []page.Holder {
	var crew []page.Holder
	s.options.Programme.View(func(r *register.Register) {
		for _, p := range r.People() {
			crew = append(crew, page.Holder{Initials: p.Initials, Name: p.Name})
		}
	})
	return crew
}

// Listen opens a loopback address, such as 127.0.0.1:0. It refuses any other,
// with the reason.
func Listen(address string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(address)
	if err != nil {
		return nil, fmt.Errorf("listen on %q: not host and port; write it like 127.0.0.1:4170", address)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	if ip := net.ParseIP(host); ip == nil || !ip.IsLoopback() {
		return nil, fmt.Errorf("listen on %q: this face is for browsers on this machine; use 127.0.0.1:%s, and open the network beside it with --listen", address, port)
	}
	return net.Listen("tcp", net.JoinHostPort(host, port))
}

// goodbye is how long open answers have to finish.
const goodbye = 5 * time.Second

// Serve answers this machine on a listener until ctx ends.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	return Serve(ctx, l, s)
}

// Serve answers on a listener until ctx ends, then lets open answers finish.
func Serve(ctx context.Context, l net.Listener, h http.Handler) error {
	web := &http.Server{
		Handler: h, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 20 * time.Second,
		WriteTimeout: 60 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 16 << 10,
	}
	ended := make(chan error, 1)
	go func() {
		<-ctx.Done()
		wait, cancel := context.WithTimeout(context.WithoutCancel(ctx), goodbye)
		defer cancel()
		ended <- web.Shutdown(wait)
	}()
	if err := web.Serve(l); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	if err := <-ended; err != nil {
		return web.Close()
	}
	return nil
}
