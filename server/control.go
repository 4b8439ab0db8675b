package server

import (
	"bytes"
	"context"
	"crypto/subtle"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strings"
)

// control is what a running program leaves in a file only its owner may read,
// so that another process of the same person can ask it for a link.
type control struct {
	Origin string `json:"origin"` // http://127.0.0.1:4170
	Secret string `json:"secret"`
}

// Announce writes the control file. remove takes it away again.
func (s *Server) Announce(file, origin string) (remove func() error, err error) {
	body, err := json.Marshal(control{Origin: origin, Secret: s.secret})
	if err != nil {
		return nil, err
	}
	fresh, err := os.CreateTemp(filepath.Dir(file), ".serving-*") // made with mode 0600
	if err != nil {
		return nil, err
	}
	_, err = fresh.Write(body)
	if err = errors.Join(err, fresh.Close()); err == nil {
		err = os.Rename(fresh.Name(), file)
	}
	if err != nil {
		return nil, errors.Join(err, os.Remove(fresh.Name()))
	}
	return func() error { return s.withdraw(file) }, nil
}

// withdraw removes the control file if it is still this server's.
func (s *Server) withdraw(file string) error {
	c, err := readControl(file)
	if errors.Is(err, fs.ErrNotExist) || err == nil && c.Secret != s.secret {
		return nil
	}
	return os.Remove(file)
}

func readControl(file string) (control, error) {
	var c control
	body, err := os.ReadFile(file)
	if err != nil {
		return c, err
	}
	return c, json.Unmarshal(body, &c)
}

// AskLink asks the program that wrote the control file for a new link, and
// gives its whole address.
func AskLink(ctx context.Context, file string) (string, error) {
	c, err := readControl(file)
	if errors.Is(err, fs.ErrNotExist) {
		return "", fmt.Errorf("%s is not there: nothing is serving this programme; start it with: dawnround serve", file)
	}
	if err != nil {
		return "", fmt.Errorf("%s: %w; stop the program and start it again", file, err)
	}
	ask, err := http.NewRequestWithContext(ctx, http.MethodPost, c.Origin+"/control/link", bytes.NewReader(nil))
	if err != nil {
		return "", err
	}
	ask.Header.Set("Authorization", "Bearer "+c.Secret)
	ask.Header.Set("Origin", c.Origin)
	direct := http.Client{Transport: &http.Transport{Proxy: nil}}
	answer, err := direct.Do(ask)
	if err != nil {
		return "", fmt.Errorf("the program at %s does not answer: %w; start it again with: dawnround serve", c.Origin, err)
	}
	defer answer.Body.Close()
	path, err := io.ReadAll(io.LimitReader(answer.Body, 1<<10))
	if err != nil || answer.StatusCode != http.StatusOK {
		return "", fmt.Errorf("the program at %s gave no link (%s); stop it and start it again", c.Origin, answer.Status)
	}
	return c.Origin + string(path), nil
}

// controlLink makes a link for whoever knows the secret.
func (s *Server) controlLink(w http.ResponseWriter, r *http.Request) {
	given, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !ok || subtle.ConstantTimeCompare([]byte(given), []byte(s.secret)) != 1 {
		http.Error(w, "the secret of the control file is needed", http.StatusForbidden)
		return
	}
	w.Header().Set("Content-Type", "text/plain; charset=utf-8")
	io.WriteString(w, s.NewLink())
}
