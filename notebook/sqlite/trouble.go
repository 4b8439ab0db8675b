package sqlite

import (
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

const (
	busy     = sqlite3.SQLITE_BUSY
	cantOpen = sqlite3.SQLITE_CANTOPEN
)

// code gives SQLite's primary result code, 0 if err is not SQLite's.
func code(err error) int {
	var e *sqlite.Error
	if !errors.As(err, &e) {
		return 0
	}
	return e.Code() & 0xff
}

// trouble says where, what is wrong, and what to do.
func (s *Store) trouble(err error) error {
	var what string
	switch code(err) {
	case sqlite3.SQLITE_OK:
		what = "%w"
	case sqlite3.SQLITE_FULL:
		what = "the disk is full: this was not kept, what was kept before is safe; free some space, then write it again (%w)"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM:
		what = "cannot be written: the file, its folder or its disk is read-only; allow writing, or open for reading only (%w)"
	case sqlite3.SQLITE_CANTOPEN:
		what = "cannot be opened: look whether the folder is there and may be read and written (%w)"
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		what = "damaged: keep the file as it is, put the last backup in its place, and merge with the other devices for what came after (%w)"
	case sqlite3.SQLITE_IOERR:
		what = "the disk does not work properly: this was not kept; copy the folder to another disk (%w)"
	case busy:
		what = "another program has locked it; close that program and try again (%w)"
	default:
		what = "%w"
	}
	if err == nil {
		return nil
	}
	return fmt.Errorf("%s: "+what, s.path, err)
}
