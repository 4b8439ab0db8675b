package sqlite

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"dawnround/notebook"
)

// Backup copies the notebook of a folder, as it stands, into a new file, also
// while another process writes in it. It verifies the copy line by line before
// the file gets its name, and never overwrites one. Private keys lie elsewhere
// and are not in it. It returns what the copy holds.
func Backup(ctx context.Context, folder, toFile string) (notebook.Report, error) {
	if _, err := os.Lstat(toFile); !errors.Is(err, fs.ErrNotExist) {
		return notebook.Report{}, fmt.Errorf("%s: is there already, and a backup never overwrites; choose another name", toFile)
	}
	s, err := OpenReading(folder)
	if err != nil {
		return notebook.Report{}, err
	}
	defer s.Close()
	part, err := unused(toFile)
	if err != nil {
		return notebook.Report{}, err
	}
	defer os.Remove(part) // nothing is left to remove once renamed
	if _, err := s.read.ExecContext(ctx, "vacuum into ?", part); err != nil {
		return notebook.Report{}, fmt.Errorf("backup to %s: %w", toFile, s.trouble(err))
	}
	report, err := verifyCopy(ctx, part)
	if err != nil {
		return report, fmt.Errorf("backup to %s: %w", toFile, err)
	}
	return report, place(part, toFile)
}

// unused makes an empty file beside the one to be written.
func unused(toFile string) (string, error) {
	f, err := os.CreateTemp(filepath.Dir(toFile), filepath.Base(toFile)+".part-*")
	if err != nil {
		return "", err
	}
	return f.Name(), f.Close()
}

// verifyCopy has SQLite check the file's structure, then verifies every line.
func verifyCopy(ctx context.Context, file string) (notebook.Report, error) {
	s, err := OpenBackup(file)
	if err != nil {
		return notebook.Report{}, err
	}
	defer s.Close()
	var verdict string
	if err := s.read.QueryRowContext(ctx, "pragma integrity_check(1)").Scan(&verdict); err != nil {
		return notebook.Report{}, s.trouble(err)
	}
	if verdict != "ok" {
		return notebook.Report{}, fmt.Errorf("%s: damaged: %s", file, verdict)
	}
	return notebook.Verify(s, nil)
}

// place syncs the finished file and gives it its name.
func place(part, toFile string) error {
	f, err := os.OpenFile(part, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	if err := errors.Join(f.Sync(), f.Close(), os.Rename(part, toFile)); err != nil {
		return err
	}
	return notebook.SyncFolder(filepath.Dir(toFile))
}
