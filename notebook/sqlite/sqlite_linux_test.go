package sqlite

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A real disk that is full: a file system of one megabyte in memory.
func TestFullFileSystem(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("mounting a small file system needs root (%v): TestFullDisk stands in for it", err)
	}
	t.Cleanup(func() { syscall.Unmount(folder, 0) })
	fillSmall := filled(t, 30)
	content, err := os.ReadFile(filepath.Join(fillSmall, File))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, File), content, 0o600); err != nil {
		t.Fatal(err)
	}
	s := opened(t, folder)
	fillUp(t, s, folder)
}

// A folder, and a file, that may only be read: writing is refused with a clear
// message, reading works. Root may write anywhere, so another user looks.
func TestReadOnly(t *testing.T) {
	t.Parallel()
	folder := filled(t, 30)
	for dir := folder; dir != os.TempDir(); dir = filepath.Dir(dir) {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	files, _ := filepath.Glob(filepath.Join(folder, "*"))
	for _, f := range files {
		if err := os.Chmod(f, 0o444); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(folder, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(folder, 0o755) })
	if got := asOther(t, "open", folder); !strings.Contains(got, "read-only; allow writing") {
		t.Errorf("opening for writing says %q", got)
	}
	if got := asOther(t, "verify", folder); got != "verify: <nil>\n" {
		t.Errorf("reading says %q", got)
	}
}

// asOther runs another process, as a user without rights if we are root.
func asOther(t *testing.T, what, folder string) string {
	t.Helper()
	c := role(t, what, folder)
	if os.Getuid() == 0 {
		self, err := os.ReadFile(c.Path)
		if err != nil {
			t.Fatal(err)
		}
		program := filepath.Join(t.TempDir(), "program")
		if err := os.WriteFile(program, self, 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Chmod(filepath.Dir(program), 0o755); err != nil {
			t.Fatal(err)
		}
		c.Path, c.Args[0] = program, program
		c.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
	}
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return string(out)
}
