package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/sqlite"
	"dawnround/programme"
	"dawnround/record"
	"dawnround/register"

	"github.com/google/uuid"
)

const kills = 200

// TestKilledAtAnyMoment kills the serving program 200 times at a random
// moment of entry. Whatever a browser was told is written must be there when
// the notebook opens again: checks and releases as lines, every word of an
// open draft among its steps.
func TestKilledAtAnyMoment(t *testing.T) {
	if testing.Short() {
		t.Skip("killing a program 200 times takes most of a minute; run without -short")
	}
	t.Parallel()
	seed := uint64(time.Now().UnixNano())
	t.Logf("seed %d", seed)
	crew := newCrew(t, seed)
	for range kills {
		crew.killOnce(t)
	}
	t.Logf("%d acknowledged edits, checks and releases; %d answers lost with the program", len(crew.told), crew.lost)
	if len(crew.told) < kills {
		t.Errorf("only %d edits were acknowledged over %d kills: the test does not reach the moments it is for", len(crew.told), kills)
	}
}

// crew enters captures through the pages of a program that is killed.
type crew struct {
	dir, binary string
	rng         *rand.Rand
	round       uuid.UUID
	told        []told // what was acknowledged
	open        []uuid.UUID
	lost, edits int
}

// told is one thing the program said it had written.
type told struct {
	trap         string // a check
	capture      uuid.UUID
	field, typed string // an edit
	released     bool
}

var crewNight = record.Night{Year: 2026, Month: 5, Day: 13}

func newCrew(t *testing.T, seed uint64) *crew {
	t.Helper()
	c := &crew{dir: filepath.Join(t.TempDir(), "programme"), binary: filepath.Join(t.TempDir(), "dawnround"), rng: rand.New(rand.NewPCG(seed, 0)), round: uuid.New()}
	build := exec.Command("go", "build", "-o", c.binary, ".")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	c.run(t, "new", "--protocol", "../../demo/protocol.yaml")
	c.inFolder(t, func(f *folder) {
		var traps []string
		for i := range 500 {
			traps = append(traps, fmt.Sprintf("K%03d", i))
		}
		_, err := f.Keep("AB", time.Now(),
			record.Trip{Trip: "2026-05", Sites: []string{"K"}, First: crewNight, Last: crewNight},
			record.Setting{Trip: "2026-05", Site: "K", Night: crewNight, Set: traps},
			record.Round{Round: c.round, Trip: "2026-05", Site: "K", Night: crewNight, Number: 1, Opened: time.Now()},
		)
		if err != nil {
			t.Fatal(err)
		}
	})
	return c
}

func (c *crew) command(args ...string) *exec.Cmd {
	cmd := exec.Command(c.binary, append([]string{"-C", c.dir}, args...)...)
	cmd.Env = append(os.Environ(), notebook.HomeVariable+"="+filepath.Join(filepath.Dir(c.dir), "home"))
	return cmd
}

func (c *crew) run(t *testing.T, args ...string) {
	t.Helper()
	if out, err := c.command(args...).CombinedOutput(); err != nil {
		t.Fatalf("%v: %v\n%s", args, err, out)
	}
}

// inFolder opens the notebook in this process, as the program would.
func (c *crew) inFolder(t *testing.T, do func(*folder)) {
	t.Helper()
	store, err := sqlite.Open(c.dir, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	home := notebook.Installation(filepath.Join(filepath.Dir(c.dir), "home"))
	fold := programme.Begin()
	n, device, err := home.Open(store, c.dir, time.Now, fold.Line)
	if err != nil {
		t.Fatal(err)
	}
	if device.New {
		t.Fatalf("the notebook goes on as a new device: %s", device.Why)
	}
	f := &folder{Programme: fold.Done(n), store: store}
	do(f)
	if err := f.close(); err != nil {
		t.Fatal(err)
	}
}

// killOnce serves, enters until it is killed, and looks for all that was
// acknowledged so far.
func (c *crew) killOnce(t *testing.T) {
	t.Helper()
	cmd := c.command("serve", "--port", "0")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var complaints strings.Builder
	cmd.Stderr = &complaints
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	link := regexp.MustCompile(`http://\S+`).FindString(line)
	if err != nil || link == "" {
		cmd.Wait()
		t.Fatalf("serve printed %q: %v\n%s", line, err, complaints.String())
	}
	var killed sync.WaitGroup
	browser := newBrowser(t, link)
	killed.Go(func() {
		time.Sleep(time.Duration(c.rng.IntN(120)) * time.Millisecond)
		cmd.Process.Kill()
		cmd.Wait()
	})
	rng := rand.New(rand.NewPCG(uint64(c.edits), 1))
	for c.enter(t, browser, rng) {
	}
	killed.Wait()
	c.look(t)
}

// enter does one thing and reports whether the program answered.
func (c *crew) enter(t *testing.T, b *browser, rng *rand.Rand) bool {
	t.Helper()
	c.edits++
	what := told{trap: fmt.Sprintf("K%03d", rng.IntN(400))}
	path, form := "/round/check", url.Values{"round": {c.round.String()}, "trap": {what.trap}, "outcome": {string(record.OutcomeEmpty)}}
	switch n := rng.IntN(20); {
	case n < 3: // in traps of their own: one that held an animal is not empty later
		what.trap = fmt.Sprintf("K%03d", 400+rng.IntN(100))
		form.Set("trap", what.trap)
		form.Set("outcome", string(record.OutcomeCapture))
	case n < 17 && len(c.open) > 0:
		what = told{capture: c.open[rng.IntN(len(c.open))], field: "notes", typed: fmt.Sprintf("word %d", c.edits)}
		path, form = "/bench/"+what.capture.String()+"/in", url.Values{"field": {what.field}, "typed": {what.typed}}
	case n < 19 && len(c.open) > 0:
		what = told{capture: c.open[0], released: true}
		path, form = "/bench/"+what.capture.String()+"/keep", url.Values{}
	}
	to, err := b.post(path, form)
	if err != nil {
		c.lost++
		return false
	}
	if to == "" {
		t.Fatalf("POST %s %v: refused", path, form)
	}
	if what.released {
		if !strings.Contains(to, "said=") { // a stop interrupted it, once
			return true
		}
		c.open = c.open[1:]
	}
	c.told = append(c.told, what)
	return true
}

// look opens the notebook and wants everything that was acknowledged.
func (c *crew) look(t *testing.T) {
	t.Helper()
	c.inFolder(t, func(f *folder) {
		drafts, err := f.store.All()
		if err != nil {
			t.Fatal(err)
		}
		f.View(func(r *register.Register) {
			night := r.NightAt("K", crewNight)
			c.open = nil
			for _, got := range r.CapturesOn("K", crewNight) {
				if got.Released == nil {
					c.open = append(c.open, got.ID())
				}
			}
			seen := map[string]bool{}
			for _, check := range night.Checks {
				seen[check.Trap] = true
			}
			for _, w := range c.told {
				switch {
				case w.trap != "" && !seen[w.trap]:
					t.Errorf("the check of trap %s was acknowledged and is gone", w.trap)
				case w.released && !gone(r, w.capture):
					t.Errorf("the release of %s was acknowledged and is gone", w.capture)
				case w.field != "" && !said(r, drafts, w):
					t.Errorf("%q at capture %s was acknowledged and is gone", w.typed, w.capture)
				}
			}
		})
	})
}

func gone(r *register.Register, id uuid.UUID) bool {
	got, ok := r.Capture(id)
	return ok && got.Released != nil
}

// said reports whether words stand among a draft's steps or, once released,
// among those that travelled with the line.
func said(r *register.Register, drafts map[uuid.UUID][][]byte, w told) bool {
	for _, step := range drafts[w.capture] {
		if strings.Contains(string(step), `"`+w.typed+`"`) {
			return true
		}
	}
	got, ok := r.Capture(w.capture)
	if !ok || got.Handled == nil {
		return false
	}
	for _, s := range got.Handled.Steps {
		if s.Typed == w.typed {
			return true
		}
	}
	return false
}

// browser is an HTTP client that was let in.
type browser struct {
	http.Client
	origin string
}

func newBrowser(t *testing.T, link string) *browser {
	t.Helper()
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	at, err := url.Parse(link)
	if err != nil {
		t.Fatal(err)
	}
	b := &browser{origin: at.Scheme + "://" + at.Host}
	b.Jar = jar
	b.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	for _, in := range []struct {
		path string
		form url.Values
	}{{at.Path, nil}, {"/pen", url.Values{"who": {"AB"}}}} {
		if to, err := b.post(in.path, in.form); err != nil || to == "" {
			t.Fatalf("POST %s: refused, %v", in.path, err)
		}
	}
	return b
}

// post sends a form and gives where the answer leads on to; "" if it refuses.
func (b *browser) post(path string, form url.Values) (to string, err error) {
	ask, err := http.NewRequestWithContext(context.Background(), http.MethodPost, b.origin+path, strings.NewReader(form.Encode()))
	if err != nil {
		return "", err
	}
	ask.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	ask.Header.Set("Origin", b.origin)
	answer, err := b.Do(ask)
	if err != nil {
		return "", err
	}
	defer answer.Body.Close()
	_, err = io.Copy(io.Discard, answer.Body)
	if answer.StatusCode != http.StatusSeeOther {
		return "", err
	}
	return answer.Header.Get("Location"), err
}
