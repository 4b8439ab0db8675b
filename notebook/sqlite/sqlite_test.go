package sqlite

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

var evening = time.Date(2026, 5, 14, 20, 12, 3, 0, time.UTC)

func TestStore(t *testing.T) {
	t.Parallel()
	storetest.Run(t, func(tb testing.TB) storetest.Store { return opened(tb, tb.TempDir()) })
}

func opened(tb testing.TB, folder string) *Store {
	tb.Helper()
	s, err := Open(folder, evening)
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

// filled is a folder with a closed notebook of so many lines.
func filled(tb testing.TB, lines int) string {
	tb.Helper()
	folder := tb.TempDir()
	s := opened(tb, folder)
	storetest.Fill(tb, s, 3, lines)
	if err := s.Close(); err != nil {
		tb.Fatal(err)
	}
	return folder
}

// The settings on which "what was acknowledged is there" rests, read back from
// the connection that writes.
func TestSettings(t *testing.T) {
	t.Parallel()
	s := opened(t, t.TempDir())
	defer s.Close()
	for pragma, want := range map[string]string{
		"journal_mode": "wal", "synchronous": "2", "foreign_keys": "1", "busy_timeout": "5000",
		"application_id": fmt.Sprint(applicationID), "user_version": fmt.Sprint(schemaVersion),
	} {
		var got string
		if err := s.write.QueryRow("pragma " + pragma).Scan(&got); err != nil || got != want {
			t.Errorf("%s is %s, expected %s (synchronous 2 is FULL): %v", pragma, got, want, err)
		}
	}
	if _, err := s.read.Exec("delete from line"); err == nil {
		t.Error("the reading connections can write")
	}
}

// modernc.org/sqlite is made for exactly one version of modernc.org/libc; another
// one has crashed on some processors.
func TestLibcPinned(t *testing.T) {
	t.Parallel()
	list := func(format, module string) string {
		out, err := exec.Command("go", "list", "-m", "-f", format, module).Output()
		if err != nil {
			t.Fatalf("go list -m %s: %v", module, err)
		}
		return strings.TrimSpace(string(out))
	}
	out, err := exec.Command("go", "mod", "edit", "-json", list("{{.GoMod}}", "modernc.org/sqlite")).Output()
	if err != nil {
		t.Fatal(err)
	}
	var mod struct {
		Require []struct{ Path, Version string }
	}
	if err := json.Unmarshal(out, &mod); err != nil {
		t.Fatal(err)
	}
	for _, r := range mod.Require {
		if r.Path == "modernc.org/libc" {
			if got := list("{{.Version}}", r.Path); got != r.Version {
				t.Errorf("modernc.org/libc is %s; modernc.org/sqlite is made for %s: pin that in go.mod", got, r.Version)
			}
			return
		}
	}
	t.Error("modernc.org/sqlite no longer requires modernc.org/libc: this test has lost its object")
}

func TestOpenRefuses(t *testing.T) {
	t.Parallel()
	for what, c := range map[string]struct{ statement, want string }{
		"a newer schema":         {"pragma user_version = 99", "newer dawnround (schema 99, this one knows 2)"},
		"another program's file": {"pragma application_id = 1", "belongs to another program"},
	} {
		folder := filled(t, 3)
		db := connect(filepath.Join(folder, File), "")
		if _, err := db.Exec(c.statement); err != nil {
			t.Fatal(err)
		}
		db.Close()
		refuses(t, what, second(Open(folder, evening)), c.want)
		refuses(t, what, second(OpenReading(folder)), c.want)
	}
	refuses(t, "no notebook", second(OpenReading(t.TempDir())), "no notebook there")
	refuses(t, "no folder", second(Open(filepath.Join(t.TempDir(), "none"), evening)), "look whether the folder is there")
	text := t.TempDir()
	if err := os.WriteFile(filepath.Join(text, File), bytes.Repeat([]byte("not a database\n"), 100), 0o600); err != nil {
		t.Fatal(err)
	}
	refuses(t, "a text file", second(Open(text, evening)), "damaged")
}

func second[A any](_ A, err error) error { return err }

func refuses(t *testing.T, what string, err error, want string) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%s: message %v does not say %q", what, err, want)
	}
}

// Folders are named as people name them.
func TestFolderNames(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"Füchse & Häsinnen 100%", "what? #1", "a+b=c;d", "file:x?mode=ro"} {
		folder := filepath.Join(t.TempDir(), name)
		if err := os.Mkdir(folder, 0o700); err != nil {
			t.Logf("%s: not a name on this system: %v", name, err)
			continue
		}
		s := opened(t, folder)
		storetest.Fill(t, s, 1, 3)
		storetest.Verify(t, s)
		s.Close()
		if _, err := os.Stat(filepath.Join(folder, File)); err != nil {
			t.Error(err)
		}
	}
}

func TestOneWriter(t *testing.T) {
	t.Parallel()
	folder := filled(t, 3)
	s := opened(t, folder)
	refuses(t, "a second writer", second(Open(folder, evening)),
		fmt.Sprintf("process %d, since 2026-05-14T20:12:03Z, has this notebook open for writing", os.Getpid()))
	reading, err := OpenReading(folder)
	if err != nil {
		t.Fatal(err)
	}
	storetest.Verify(t, reading)
	refuses(t, "writing in a reader", reading.Append(nil, nil), "for reading only")
	reading.Close()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	opened(t, folder).Close()
}

// TestMain lets the test program play another process: DAWNROUND_TEST_ROLE says
// which.
func TestMain(m *testing.M) {
	switch folder := os.Getenv("DAWNROUND_TEST_FOLDER"); os.Getenv("DAWNROUND_TEST_ROLE") {
	case "":
		os.Exit(m.Run())
	case "hold": // open for writing, say so, and wait to be killed
		_, err := Open(folder, evening)
		fmt.Println("open:", err)
		time.Sleep(time.Minute)
	case "open":
		_, err := Open(folder, evening)
		fmt.Println("open:", err)
	case "verify":
		s, err := OpenReading(folder)
		if err == nil {
			_, err = notebook.Verify(s, nil)
		}
		fmt.Println("verify:", err)
	}
}

// role makes the command of another process.
func role(t *testing.T, role, folder string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), "DAWNROUND_TEST_ROLE="+role, "DAWNROUND_TEST_FOLDER="+folder)
	return c
}

// A second process is refused and told by whom; when the first is killed, the
// right to write is free again.
func TestOneWriterAcrossProcesses(t *testing.T) {
	t.Parallel()
	folder := filled(t, 3)
	holder := role(t, "hold", folder)
	out, err := holder.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := holder.Start(); err != nil {
		t.Fatal(err)
	}
	said := make([]byte, 100)
	n, _ := out.Read(said)
	if got := string(said[:n]); got != "open: <nil>\n" {
		t.Fatalf("the other process says %q", got)
	}
	refuses(t, "while another process writes", second(Open(folder, evening)), fmt.Sprintf("process %d, since", holder.Process.Pid))
	reading, err := OpenReading(folder)
	if err != nil {
		t.Fatal(err)
	}
	storetest.Verify(t, reading)
	reading.Close()
	if err := holder.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	holder.Wait()
	s := opened(t, folder)
	storetest.Verify(t, s)
	s.Close()
}

func TestBackup(t *testing.T) {
	t.Parallel()
	folder := filled(t, 300)
	s := opened(t, folder) // another serves meanwhile
	defer s.Close()
	file := filepath.Join(t.TempDir(), "backup.sqlite")
	report, err := Backup(t.Context(), folder, file)
	if err != nil || report.Lines != 300 {
		t.Fatalf("%+v %v", report, err)
	}
	copied, err := OpenBackup(file)
	if err != nil {
		t.Fatal(err)
	}
	defer copied.Close()
	var ours, theirs bytes.Buffer
	if err := notebook.Export(&ours, s); err != nil {
		t.Fatal(err)
	}
	if err := notebook.Export(&theirs, copied); err != nil || !bytes.Equal(ours.Bytes(), theirs.Bytes()) {
		t.Errorf("the backup has other lines: %v", err)
	}
	refuses(t, "a file that is there", second(Backup(t.Context(), folder, file)), "never overwrites")
	left, _ := os.ReadDir(filepath.Dir(file))
	if len(left) != 1 {
		t.Errorf("beside the backup there are %v", left)
	}
	// Put in a folder's place, it is a notebook to go on with.
	restored := t.TempDir()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(restored, File), text, 0o600); err != nil {
		t.Fatal(err)
	}
	again := opened(t, restored)
	defer again.Close()
	n, err := notebook.Open(again, storetest.Key(8), storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := n.Write(storetest.Entry("goes on")); err != nil {
		t.Error(err)
	}
	storetest.Verify(t, again)
}

// A backup of a damaged notebook fails, and leaves no file.
func TestBackupOfDamaged(t *testing.T) {
	t.Parallel()
	folder := filled(t, 30)
	alter(t, folder, "update line set stored = replace(stored, 'AB', 'XY') where id = (select max(id) from line)")
	file := filepath.Join(t.TempDir(), "backup.sqlite")
	refuses(t, "a damaged notebook", second(Backup(t.Context(), folder, file)), "not the line that was kept here")
	if left, _ := os.ReadDir(filepath.Dir(file)); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

// alter changes a notebook behind its back.
func alter(t *testing.T, folder, statement string) {
	t.Helper()
	db := connect(filepath.Join(folder, File), "")
	defer db.Close()
	if _, err := db.Exec(statement); err != nil {
		t.Fatal(err)
	}
}

// The report on an altered line shows what is stored, the hash kept beside it,
// and what the second source has.
func TestVerifyAltered(t *testing.T) {
	t.Parallel()
	folder := filled(t, 30)
	file := filepath.Join(t.TempDir(), "backup.sqlite")
	if _, err := Backup(t.Context(), folder, file); err != nil {
		t.Fatal(err)
	}
	alter(t, folder, "update line set stored = replace(stored, '\"AB\"', '\"XY\"') where id = (select max(id) from line)")
	damaged, err := OpenReading(folder)
	if err != nil {
		t.Fatal(err)
	}
	defer damaged.Close()
	good, err := OpenBackup(file)
	if err != nil {
		t.Fatal(err)
	}
	defer good.Close()
	_, err = notebook.Verify(damaged, good)
	for _, want := range []string{"line 10 (id ", `"who":"XY"`, "the hash kept beside it", "in the second source", `"who":"AB"`} {
		refuses(t, "an altered line", err, want)
	}
}

// The file can be read with other tools.
func TestLinesView(t *testing.T) {
	t.Parallel()
	folder := filled(t, 30)
	db := connect(filepath.Join(folder, File), "", "mode=ro")
	defer db.Close()
	var seq, first int
	var trap string
	err := db.QueryRow("select count(*), min(seq), min(stored->>'$.body.trap') from lines").Scan(&seq, &first, &trap)
	if err != nil || seq != 30 || first != 1 || trap != "B3" {
		t.Errorf("%d lines from %d, trap %q: %v", seq, first, trap, err)
	}
}

// Flipping any one bit either is noticed, with a message that says what to do,
// or changes nothing that is read.
func TestBitFlips(t *testing.T) {
	t.Parallel()
	const seed = 77
	t.Logf("seed %d", seed)
	whole, err := os.ReadFile(filepath.Join(filled(t, 60), File))
	if err != nil {
		t.Fatal(err)
	}
	chance := rand.New(rand.NewPCG(seed, 0))
	noticed := 0
	for range 300 {
		bit := chance.IntN(len(whole) * 8)
		damaged := bytes.Clone(whole)
		damaged[bit/8] ^= 1 << (bit % 8)
		if !soundOrTold(t, fmt.Sprintf("bit %d", bit), damaged, 60) {
			noticed++
		}
	}
	if noticed < 100 {
		t.Errorf("only %d of 300 flips were noticed: the lines fill more of the file than that", noticed)
	}
}

func TestTruncated(t *testing.T) {
	t.Parallel()
	whole, err := os.ReadFile(filepath.Join(filled(t, 60), File))
	if err != nil {
		t.Fatal(err)
	}
	for size := 0; size < len(whole); size += 3000 {
		if soundOrTold(t, fmt.Sprintf("cut to %d bytes", size), whole[:size], 60) {
			t.Errorf("cut to %d of %d bytes and not noticed", size, len(whole))
		}
	}
}

// soundOrTold opens a notebook made of these bytes and tells whether all lines are there.
func soundOrTold(t *testing.T, what string, content []byte, lines int) bool {
	t.Helper()
	folder := t.TempDir()
	if err := os.WriteFile(filepath.Join(folder, File), content, 0o600); err != nil {
		t.Fatal(err)
	}
	s, err := OpenReading(folder)
	if err == nil {
		defer s.Close()
		var report notebook.Report
		if report, err = notebook.Verify(s, nil); err == nil && report.Lines != lines {
			t.Errorf("%s: %d lines and no complaint", what, report.Lines)
		}
	}
	if err != nil && !tells(err) {
		t.Errorf("%s: the message does not say what to do: %v", what, err)
	}
	return err == nil
}

// tells looks whether a message says what to do.
func tells(err error) bool {
	for _, advice := range []string{"backup", "choose another folder", "use that version", "exchange again", "look whether", "another disk"} {
		if strings.Contains(err.Error(), advice) {
			return true
		}
	}
	return false
}

// SQLite's own page limit stands in for a full disk, on every system.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	folder := filled(t, 30)
	s, err := open("", folder, evening, "_pragma=max_page_count(30)")
	if err != nil {
		t.Fatal(err)
	}
	fillUp(t, s, folder)
}

// fillUp writes until the disk is full, then looks whether everything
// acknowledged is there.
func fillUp(t *testing.T, s *Store, folder string) {
	t.Helper()
	n, err := notebook.Open(s, storetest.Key(1), storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	before, _, err := n.Heads()
	if err != nil {
		t.Fatal(err)
	}
	var kept uint64
	for err == nil && kept < 100_000 {
		if _, err = n.Write(storetest.Entry(strings.Repeat("x", 3000))); err == nil {
			kept++
		}
	}
	refuses(t, "a full disk", err, "the disk is full: this was not kept, what was kept before is safe; free some space")
	s.Close() // its last checkpoint may find no room; the log stays
	reading, err := OpenReading(folder)
	if err != nil {
		t.Fatal(err)
	}
	defer reading.Close()
	storetest.Verify(t, reading)
	after, _, err := reading.Heads()
	if err != nil || after[n.Device()].Seq != before[n.Device()].Seq+kept {
		t.Errorf("%d lines acknowledged, chain went from %d to %d: %v", kept, before[n.Device()].Seq, after[n.Device()].Seq, err)
	}
}

// A notebook holds exact places: only its owner may read it.
func TestNotebookIsPrivate(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("Windows keeps files private by the folder they lie in")
	}
	folder := t.TempDir()
	s, err := Open(folder, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, name := range []string{File, File + "-wal"} {
		info, err := os.Stat(filepath.Join(folder, name))
		if err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v; want it readable by its owner only", name, info.Mode(), err)
		}
	}
}
