package sqlite

import (
	"errors"
	"fmt"

	"dawnround/notebook"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

const (
	busy     = sqlite3.SQLITE_BUSY
	cantOpen = sqlite3.SQLITE_CANTOPEN
	readOnly = sqlite3.SQLITE_READONLY
)

// advice says what is wrong and what to do, by SQLite's primary result code.
var advice = map[int]string{
	busy:     "another program has locked it; close that program and try again",
	cantOpen: "cannot be opened; look whether the folder is there and may be read and written",
	readOnly: "the file, its folder or its disk is read-only; allow writing",

	sqlite3.SQLITE_PERM:    "the file may not be used; allow reading and writing it",
	sqlite3.SQLITE_FULL:    "the disk is full: this was not kept, what was kept before is safe; free some space, then write it again",
	sqlite3.SQLITE_CORRUPT: damaged,
	sqlite3.SQLITE_NOTADB:  damaged,
	sqlite3.SQLITE_ERROR:   damaged, // a table is gone
	sqlite3.SQLITE_IOERR:   "the disk does not work properly: this was not kept; copy the folder to another disk",
}

const damaged = "damaged; keep the file as it is, and restore the last backup or export into a new folder"

// code gives SQLite's primary result code, 0 if err is not SQLite's.
func code(err error) int {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return sqlite3.SQLITE_OK
	}
	return e.Code() & 0xff
}

// trouble says where, what is wrong, and what to do.
func (s *Store) trouble(err error) error {
	if err == nil {
		return nil
	}
	var found *notebook.BadLine
	if errors.As(err, &found) {
		found.Where = s.path
		return found
	}
	if what := advice[code(err)]; what != "" {
		return fmt.Errorf("%s: %s (%w)", s.path, what, err)
	}
	return fmt.Errorf("%s: %w", s.path, err)
}
