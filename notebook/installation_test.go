package notebook_test

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"dawnround/notebook"
	"dawnround/notebook/storetest"
)

// at opens a store in a folder as this computer would.
func at(t *testing.T, in notebook.Installation, store notebook.Store, folder string) (*notebook.Notebook, notebook.Device) {
	t.Helper()
	n, device, err := in.Open(store, folder, storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	return n, device
}

func begin(t *testing.T) (in notebook.Installation, store *notebook.Memory, folder string, n *notebook.Notebook) {
	t.Helper()
	in, store, folder = notebook.Installation(filepath.Join(t.TempDir(), "home")), new(notebook.Memory), t.TempDir()
	n, err := in.Create(store, storetest.Programme, folder, storetest.Evening())
	if err != nil {
		t.Fatal(err)
	}
	write(t, n, "one", "two")
	if err := n.Close(); err != nil {
		t.Fatal(err)
	}
	return in, store, folder, n
}

// copyOf is what a backup holds: the lines, and no key.
func copyOf(t *testing.T, store notebook.Store) *notebook.Memory {
	t.Helper()
	copied := new(notebook.Memory)
	if err := notebook.Restore(strings.NewReader(exported(t, store)), copied); err != nil {
		t.Fatal(err)
	}
	return copied
}

func TestInstallationGoesOn(t *testing.T) {
	t.Parallel()
	in, store, folder, n := begin(t)
	again, device := at(t, in, store, folder)
	if device.New || again.Device() != n.Device() {
		t.Errorf("the same notebook at the same place is a new device: %s", device.Why)
	}
}

func TestInstallationNewDevice(t *testing.T) {
	t.Parallel()
	for what, c := range map[string]struct {
		place func(t *testing.T, in notebook.Installation, store *notebook.Memory, folder string) (notebook.Installation, notebook.Store, string)
		why   string
	}{
		"an older copy put back": {func(t *testing.T, in notebook.Installation, store *notebook.Memory, folder string) (notebook.Installation, notebook.Store, string) {
			old := copyOf(t, store)
			n, _ := at(t, in, store, folder)
			write(t, n, "after the backup")
			if err := n.Close(); err != nil {
				t.Fatal(err)
			}
			return in, old, folder
		}, "an older copy was put back: it ends at line 2, but 3 lines were written here"},
		"copied to another folder": {func(t *testing.T, in notebook.Installation, store *notebook.Memory, folder string) (notebook.Installation, notebook.Store, string) {
			return in, copyOf(t, store), t.TempDir()
		}, "copied or moved here from "},
		"restored on another computer": {func(t *testing.T, in notebook.Installation, store *notebook.Memory, folder string) (notebook.Installation, notebook.Store, string) {
			return notebook.Installation(t.TempDir()), copyOf(t, store), folder
		}, "first time on this computer"},
	} {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			in, store, folder, first := begin(t)
			in, placed, folder := c.place(t, in, store, folder)
			n, device := at(t, in, placed, folder)
			if !device.New || n.Device() == first.Device() || !strings.Contains(device.Why, c.why) {
				t.Errorf("new %v, because %q; expected %q", device.New, device.Why, c.why)
			}
			write(t, n, "goes on")
			if err := n.Close(); err != nil {
				t.Fatal(err)
			}
			again, device := at(t, in, placed, folder)
			if device.New || again.Device() != n.Device() {
				t.Errorf("opened again it is new once more: %q", device.Why)
			}
			storetest.Verify(t, placed)
		})
	}
}

// A notebook ahead of what is remembered (the power failed before it could be) goes on.
func TestInstallationLags(t *testing.T) {
	t.Parallel()
	in, store, folder, n := begin(t)
	write(t, n, "not remembered")
	if _, device := at(t, in, store, folder); device.New {
		t.Errorf("new, because %q", device.Why)
	}
}

// After many lines the head is remembered even though the notebook was not closed.
func TestInstallationRemembersOnTheWay(t *testing.T) {
	t.Parallel()
	in, store, folder, n := begin(t)
	old := copyOf(t, store)
	for range 60 {
		write(t, n, "a line")
	}
	if _, device := at(t, in, old, folder); !device.New {
		t.Error("a copy 60 lines behind was not noticed")
	}
}

func TestInstallationKeepsKeysPrivate(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("Windows keeps a user's configuration folder private by other means than modes")
	}
	in, _, _, _ := begin(t)
	err := filepath.Walk(string(in), func(path string, info os.FileInfo, err error) error {
		if err == nil && info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s: mode %v", path, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

func TestInstallationDamagedFile(t *testing.T) {
	t.Parallel()
	in, store, folder, _ := begin(t)
	names, _ := filepath.Glob(filepath.Join(string(in), "devices", "*.json"))
	if len(names) != 1 {
		t.Fatalf("%d files", len(names))
	}
	if err := os.WriteFile(names[0], []byte("{"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, _, err := in.Open(store, folder, storetest.Evening()); err == nil || !strings.Contains(err.Error(), "move it away") {
		t.Errorf("%v", err)
	}
}

func TestDefaultInstallation(t *testing.T) {
	t.Setenv(notebook.HomeVariable, "/somewhere")
	if in, err := notebook.DefaultInstallation(); err != nil || in != "/somewhere" {
		t.Errorf("%q %v", in, err)
	}
}
