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

	"dawnround/page"
	"dawnround/programme"
	"dawnround/register"
)

// Options is what a server needs.
type Options struct {
	Programme *programme.Programme
	Pages     http.Handler     // the screens, behind every refusal
	Now       func() time.Time // nil: the clock
	Log       io.Writer        // reports of our own mistakes, for whoever looks after the program; nil: none
}

// Server is the pages of one programme, and who may see them. It may be used
// by several goroutines.
type Server struct {
	options Options
	chain   http.Handler
	secret  string // opens the control route; see Announce

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
	s := &Server{options: o, secret: token(), links: map[key]time.Time{}, sessions: map[key]bool{}}
	inside := http.NewServeMux()
	inside.Handle("/", o.Pages)
	page.Mount(inside, s.name, s.crew)
	outside := http.NewServeMux()
	outside.Handle("/", s.knownOnly(inside))
	outside.Handle("GET /static/", inside)
	outside.Handle("GET /field/", fieldProgram())
	outside.HandleFunc("GET /in/{token}", s.showLink)
	outside.HandleFunc("POST /in/{token}", s.useLink)
	outside.HandleFunc("POST /control/link", s.controlLink)
	s.chain = s.survive(strict(localOnly(sameOrigin(wayBack(outside)))))
	return s
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.chain.ServeHTTP(w, r) }

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
		return nil, fmt.Errorf("listen on %q: others on the network could then read and write the notebook, and there are no accounts yet to tell them apart; use 127.0.0.1:%s", address, port)
	}
	return net.Listen("tcp", net.JoinHostPort(host, port))
}

// goodbye is how long open answers have to finish.
const goodbye = 5 * time.Second

// Serve answers on a listener until ctx ends, then lets open answers finish.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	web := &http.Server{
		Handler: s, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 20 * time.Second,
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
