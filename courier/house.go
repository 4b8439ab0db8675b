package courier

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"
)

// challengeLasts is for how long an opening is good, so that a credential seen
// on the way is soon worth nothing.
const challengeLasts = 10 * time.Minute

// House answers devices that come to exchange lines. It may be used from
// several goroutines.
type House struct {
	side   Side
	secret [32]byte // of the challenges; new at every start
	board  board

	mu      sync.Mutex // over all below
	laid    map[notebook.DeviceID]*aside
	knocked map[notebook.DeviceID]time.Time
}

// NewHouse makes the answering side of a notebook.
func NewHouse(s Side) *House {
	h := &House{side: s, laid: map[notebook.DeviceID]*aside{}, knocked: map[notebook.DeviceID]time.Time{}}
	rand.Read(h.secret[:])
	return h
}

// Knocked gives the devices that came and were not admitted, and when they
// last did, for a leader to see.
func (h *House) Knocked() map[notebook.DeviceID]time.Time {
	h.mu.Lock()
	defer h.mu.Unlock()
	out := map[notebook.DeviceID]time.Time{}
	for id, at := range h.knocked {
		out[id] = at
	}
	return out
}

// Answer answers one question on "/sync". A message that is not whole, not
// signed by an admitted device, or of another programme changes nothing.
func (h *House) Answer(authorization string, body []byte) Answer {
	if authorization == "" {
		return h.welcome(body)
	}
	device, refused := h.Known(authorization, "/sync", body)
	if refused != nil {
		return *refused
	}
	p, err := unpackBytes(body)
	if err != nil {
		return refuse(statusBad, err.Error())
	}
	answer, err := h.step(device, p)
	var denied *Denied
	switch {
	case errors.As(err, &denied):
		return refuse(statusDenied, denied.Why)
	case err != nil:
		return refuse(statusFault, "the notebook there could not be written: "+err.Error())
	}
	return h.Sign(body, answer)
}

// Known tells which admitted device asks this on a path, or how it is refused.
func (h *House) Known(authorization, path string, body []byte) (register.Device, *Answer) {
	no := func(status int, why string) (register.Device, *Answer) {
		answer := refuse(status, why)
		return register.Device{}, &answer
	}
	id, challenge, err := readCredential(authorization, h.side.Programme.Notebook().Programme(), path, body)
	if err != nil {
		return no(statusBad, err.Error())
	}
	if !h.fresh(challenge) {
		return no(statusAgain, "the conversation is over; open it again")
	}
	device := h.side.member(id)
	switch {
	case device.Lost != "":
		return no(statusDenied, "this device is shut out: "+device.Lost+"; its lines may be brought in by file, by a leader")
	case !device.Admitted():
		h.knock(id)
		return no(statusDenied, fmt.Sprintf("device %s is not admitted here; a leader admits it (dawnround devices), or it is paired", id))
	}
	return device, nil
}

// maxKnocked is how many devices are remembered that were turned away: anybody
// may knock.
const maxKnocked = 100

func (h *House) knock(id notebook.DeviceID) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if _, known := h.knocked[id]; known || len(h.knocked) < maxKnocked {
		h.knocked[id] = h.side.Now()
	}
}

// Sign makes the answer to a question, signed by this device.
func (h *House) Sign(question, answer []byte) Answer {
	n := h.side.Programme.Notebook()
	return Answer{statusOK, signed(n.Key(), n.Programme(), question, answer)}
}

// welcome answers an opening.
func (h *House) welcome(question []byte) Answer {
	var o opening
	if err := json.Unmarshal(question, &o); err != nil || o.Sync == 0 {
		return refuse(statusBad, "expected an opening: what this is, which versions it speaks, which programme")
	}
	if common(o.Sync, o.Oldest) != nil {
		return refuseVersion()
	}
	n := h.side.Programme.Notebook()
	if o.Programme != n.Programme() {
		return refuse(statusDenied, fmt.Sprintf("another programme is kept here, not %s", o.Programme))
	}
	w := welcome{Sync: Version, Oldest: Oldest, Programme: n.Programme(), Device: n.Device(), Challenge: h.challenge(), Now: h.side.Now().UTC()}
	h.side.Programme.View(func(r *register.Register) { w.AheadS = int(r.LatestOffset(w.Device).Seconds()) })
	text, err := json.Marshal(w)
	if err != nil {
		return refuse(statusFault, err.Error())
	}
	return h.Sign(question, text)
}

// step takes a device's parcel and packs what it lacks.
func (h *House) step(device register.Device, p Parcel) ([]byte, error) {
	h.mu.Lock()
	laid := h.laid[device.ID]
	if laid == nil {
		laid = &aside{}
		h.laid[device.ID] = laid
	}
	defer h.mu.Unlock()
	var came took
	var err error
	if device.Role == record.Reader {
		came.Waiting = refusedLines(p, "a reader's lines are not taken; a leader may make it a scribe's")
	} else if came, err = h.side.receive(laid, p); err != nil {
		return nil, err
	}
	h.side.Copies.note(Copy{Device: device.ID, Name: device.Name, At: h.side.Now(), Heads: p.Holds})
	theirs := p.holding()
	q, err := h.side.parcel(laid, &theirs)
	if err != nil {
		return nil, err
	}
	h.side.withhold(&q, device.Site, device.ID)
	q.Waiting = came.Waiting
	if came.fault != nil {
		q.Waiting = append(q.Waiting, refusedLines(p, firstLine(came.fault))...)
	}
	return q.pack()
}

// refusedLines says of a parcel's lines why they are not taken.
func refusedLines(p Parcel, why string) []notebook.Waiting {
	var out []notebook.Waiting
	for _, r := range byDevice(p.Lines) {
		out = append(out, notebook.Waiting{Device: r[0].Device, Lines: len(r), Why: why})
	}
	return out
}

func firstLine(err error) string {
	line, _, _ := strings.Cut(err.Error(), "\n")
	return line
}

// challenge is a time that only this process can have written.
func (h *House) challenge() string { return h.sealed(h.side.Now().Unix()) }

func (h *House) sealed(unix int64) string {
	seal := hmac.New(sha256.New, h.secret[:])
	text := strconv.FormatInt(unix, 36)
	seal.Write([]byte(text))
	return text + "-" + base64.RawURLEncoding.EncodeToString(seal.Sum(nil)[:16])
}

// fresh reports a challenge of this process that is not too old.
func (h *House) fresh(challenge string) bool {
	text, _, _ := strings.Cut(challenge, "-")
	unix, err := strconv.ParseInt(text, 36, 64)
	if err != nil || !hmac.Equal([]byte(h.sealed(unix)), []byte(challenge)) {
		return false
	}
	age := h.side.Now().Sub(time.Unix(unix, 0))
	return age >= -challengeLasts && age <= challengeLasts
}

func refuse(status int, why string) Answer {
	text, err := json.Marshal(denial{Denied: why})
	if err != nil {
		panic(err) // a string can always be written
	}
	return Answer{status, text}
}

func refuseVersion() Answer {
	text, err := json.Marshal(denial{Denied: "no version of the exchange is spoken by both", Sync: Version, Oldest: Oldest})
	if err != nil {
		panic(err)
	}
	return Answer{statusOld, text}
}

// Sync exchanges lines, then pictures, with another answering side, as
// [Side.Sync] does, while this one goes on answering.
func (h *House) Sync(ctx context.Context, carry Carry, tell func(State)) (State, error) {
	s := h.side
	s.Copies = &Copies{} // the house's own is used by many at once
	state, err := s.Sync(ctx, carry, tell)
	h.mu.Lock()
	for _, c := range s.Copies.Of {
		h.side.Copies.note(c)
	}
	h.mu.Unlock()
	if err == nil {
		_, err = s.SyncBlobs(ctx, carry, nil)
	}
	return state, err
}

// Peers gives what other devices held when they last exchanged lines here.
func (h *House) Peers() []Copy {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.side.Copies == nil {
		return nil
	}
	return slices.Clone(h.side.Copies.Of)
}
