package courier

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"dawnround/notebook"
	"dawnround/record"
	"dawnround/register"
)

// chunkBytes is how much of an attachment goes in one step.
const chunkBytes = 64 << 10

// blobAsk is one step of carrying attachments, after all lines. Bytes, where
// any go along, stand behind its line.
type blobAsk struct {
	Do     string        `json:"do"` // missing, get or put
	Hash   notebook.Hash `json:"hash,omitzero"`
	Offset int64         `json:"offset,omitempty"`
}

// blobTold answers it. Bytes stand behind its line.
type blobTold struct {
	Missing []notebook.Wanted `json:"missing,omitempty"`
	Have    int64             `json:"have,omitempty"` // how far a put has come
	Why     string            `json:"why,omitempty"`  // it cannot be had or taken now
}

// Blobs is how far the carrying of attachments has come.
type Blobs struct {
	Sent, Came     int // whole ones
	ToSend, ToCome int // not tried yet
	Waiting        int // named by lines here and not here yet

	Given bool            // what the other side lacked was sent, but for Lacks
	Lacks []notebook.Hash // what its lines name and it still lacks
	Why   string          // why it takes none; empty: it does
}

// SyncBlobs carries the attachments that either side lacks, once the lines are
// through. It tells before each how far it is, may be stopped at any moment, and
// goes on from there.
func (s Side) SyncBlobs(ctx context.Context, carry Carry, tell func(Blobs)) (Blobs, error) {
	var b Blobs
	store := s.Programme.Blobs
	if store == nil {
		return b, nil
	}
	if tell == nil {
		tell = func(Blobs) {}
	}
	n := s.Programme.Notebook()
	t, err := open(ctx, carry, n.Programme(), n.Key(), s.Now)
	if err != nil {
		return b, err
	}
	if err := t.giveAll(ctx, store, &b, tell); err != nil {
		return b, err
	}
	return b, t.fetchAll(ctx, s, &b, tell)
}

// giveAll sends what the other side lacks; first, since it may lie nowhere else.
func (t *talk) giveAll(ctx context.Context, store notebook.Blobs, b *Blobs, tell func(Blobs)) error {
	theirs, _, err := t.blob(ctx, blobAsk{Do: "missing"}, nil)
	if err != nil {
		return err
	}
	b.Why = theirs.Why
	for i, w := range theirs.Missing {
		b.ToSend = len(theirs.Missing) - i
		tell(*b)
		whole, err := t.give(ctx, store, w)
		if err != nil {
			return err
		}
		if !whole {
			b.Lacks = append(b.Lacks, w.SHA256)
			continue
		}
		b.Sent++
	}
	b.ToSend, b.Given = 0, true
	return nil
}

// fetchAll asks for what lines here name and is not here.
func (t *talk) fetchAll(ctx context.Context, s Side, b *Blobs, tell func(Blobs)) error {
	missing, err := s.Programme.Wanted()
	if err != nil {
		return err
	}
	for i, w := range missing {
		b.ToCome = len(missing) - i
		tell(*b)
		whole, err := t.fetch(ctx, s.Programme.Blobs, w)
		if err != nil {
			return err
		}
		if !whole {
			b.Waiting++
			continue
		}
		b.Came++
	}
	b.ToCome = 0
	return nil
}

// fetch asks for one attachment until it is whole; false where it cannot be had now.
func (t *talk) fetch(ctx context.Context, store notebook.Blobs, w notebook.Wanted) (bool, error) {
	for have := w.Have; have < w.Size; {
		told, chunk, err := t.blob(ctx, blobAsk{Do: "get", Hash: w.SHA256, Offset: have}, nil)
		if err != nil {
			return false, err
		}
		if told.Why != "" || len(chunk) == 0 {
			return false, nil
		}
		was := have
		if have, err = notebook.Accept(store, w.Blob, have, chunk); err != nil || have <= was {
			return false, keepable(err)
		}
	}
	return true, nil
}

// give sends one attachment that the other side lacks; false where it is not
// here, or not taken.
func (t *talk) give(ctx context.Context, store notebook.Blobs, w notebook.Wanted) (bool, error) {
	for have := w.Have; have < w.Size; {
		chunk, err := notebook.Chunk(store, w.SHA256, have, chunkBytes)
		if err != nil || len(chunk) == 0 {
			return false, keepable(err)
		}
		told, _, err := t.blob(ctx, blobAsk{Do: "put", Hash: w.SHA256, Offset: have}, chunk)
		if err != nil {
			return false, err
		}
		if told.Have <= have {
			return false, nil
		}
		have = told.Have
	}
	return true, nil
}

// keepable lets an exchange go on where only one attachment is at fault.
func keepable(err error) error {
	var bad *notebook.BadBlob
	if errors.Is(err, notebook.ErrNotHere) || errors.As(err, &bad) {
		return nil
	}
	return err
}

// blob asks one step.
func (t *talk) blob(ctx context.Context, a blobAsk, with []byte) (blobTold, []byte, error) {
	question, err := json.Marshal(a)
	if err != nil {
		return blobTold{}, nil, err
	}
	answer, err := t.ask(ctx, "/blob", append(append(question, '\n'), with...))
	if err != nil {
		return blobTold{}, nil, err
	}
	line, chunk, _ := bytes.Cut(answer, newline)
	var told blobTold
	if err := json.Unmarshal(line, &told); err != nil {
		return told, nil, fmt.Errorf("attachment %s: the answer %.60q: %w", a.Hash, line, err)
	}
	return told, chunk, nil
}

// Blob answers one question on "/blob". Only attachments that lines here name
// are given or taken.
func (h *House) Blob(authorization string, body []byte) Answer {
	device, refused := h.Known(authorization, "/blob", body)
	if refused != nil {
		return *refused
	}
	line, with, _ := bytes.Cut(body, newline)
	var a blobAsk
	if err := json.Unmarshal(line, &a); err != nil {
		return refuse(statusBad, "attachment: "+err.Error())
	}
	told, chunk, err := h.blob(device, a, with)
	if err != nil {
		return refuse(statusFault, err.Error())
	}
	text, err := json.Marshal(told)
	if err != nil {
		return refuse(statusFault, err.Error())
	}
	return h.Sign(body, append(append(text, '\n'), chunk...))
}

func (h *House) blob(device register.Device, a blobAsk, with []byte) (told blobTold, chunk []byte, err error) {
	store := h.side.Programme.Blobs
	switch {
	case store == nil:
		return blobTold{Why: "no attachments are kept here"}, nil, nil
	case a.Do == "get":
		if !h.names(a.Hash) {
			return blobTold{Why: "no line here names it"}, nil, nil
		}
		chunk, err = notebook.Chunk(store, a.Hash, a.Offset, chunkBytes)
		if err != nil {
			told.Why = err.Error()
		}
		return told, chunk, keepable(err)
	case device.Role == record.Reader:
		return blobTold{Why: "a reader's attachments are not taken"}, nil, nil
	}
	missing, err := h.side.Programme.Wanted()
	if err != nil || a.Do != "put" {
		return blobTold{Missing: missing}, nil, err
	}
	for _, w := range missing {
		if w.SHA256 == a.Hash {
			told.Have, err = notebook.Accept(store, w.Blob, a.Offset, with)
			return told, nil, keepable(err)
		}
	}
	return blobTold{Why: "it is not missing here"}, nil, nil
}

// names reports an attachment that a line here names.
func (h *House) names(hash notebook.Hash) (named bool) {
	h.side.Programme.View(func(r *register.Register) {
		for _, b := range r.Blobs() {
			named = named || b.SHA256 == hash
		}
	})
	return named
}
