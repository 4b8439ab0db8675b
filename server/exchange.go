package server

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"runtime/debug"
	"sync"

	"dawnround/courier"
)

// Exchange is one of lines with another machine, begun at the desk.
type Exchange struct {
	Address string        `json:"address"`
	State   courier.State `json:"state"`
	Says    string        `json:"says"`
	Running bool          `json:"running,omitempty"`
	Failed  string        `json:"failed,omitempty"`
}

// exchanging is the latest exchange begun at the desk; one runs at a time.
type exchanging struct {
	mu  sync.Mutex
	now *Exchange
}

// last gives the latest, nil where none was begun.
func (x *exchanging) last() *Exchange {
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.now == nil {
		return nil
	}
	now := *x.now
	return &now
}

// begin starts an exchange with an address, beside the pages.
func (s *Server) begin(r *http.Request) (to, said string, err error) {
	u, err := url.Parse(r.PostFormValue("address"))
	if err != nil || u.Host == "" || u.Scheme != "https" && u.Scheme != "http" {
		return "", "", errors.New("the address is not whole; write it like https://server.example")
	}
	x := &s.exchanging
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.now != nil && x.now.Running {
		return "", "", errors.New("lines are being exchanged with " + x.now.Address + " already; wait for that")
	}
	x.now = &Exchange{Address: u.Scheme + "://" + u.Host, Running: true, Says: "opening"}
	go s.run(context.WithoutCancel(r.Context()), x.now.Address)
	return "/devices", "Lines are exchanged beside the pages; look here how far it is.", nil
}

// run exchanges, and tells how far it is.
func (s *Server) run(ctx context.Context, address string) {
	x := &s.exchanging
	tell := func(state courier.State) {
		x.mu.Lock()
		defer x.mu.Unlock()
		x.now.State, x.now.Says = state, state.Says()
	}
	defer func() {
		if mistake := recover(); mistake != nil {
			fmt.Fprintf(s.options.Log, "exchanging with %s: %v\n%s", address, mistake, debug.Stack())
			x.mu.Lock()
			defer x.mu.Unlock()
			x.now.Running, x.now.Failed = false, "this is our fault; every line that was acknowledged is kept"
		}
	}()
	state, err := s.house.Sync(ctx, Carry(s.options.Client, address), tell)
	tell(state)
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.now.Running = false; err != nil {
		x.now.Failed = err.Error()
	}
}
