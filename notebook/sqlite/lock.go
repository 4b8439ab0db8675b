package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"path/filepath"
)

// lock is the right to write in a folder: an exclusive transaction that never ends.
type lock struct {
	db   *sql.DB
	conn *sql.Conn
}

// acquire takes the lock, or fails at once if another has it.
func acquire(vfs, folder string) (*lock, error) {
	l := &lock{db: connect(filepath.Join(folder, lockFile), vfs, "_pragma=busy_timeout(0)")}
	var err error
	if l.conn, err = l.db.Conn(context.Background()); err == nil {
		_, err = l.conn.ExecContext(context.Background(), "begin exclusive")
	}
	if err != nil {
		return nil, errors.Join(err, l.release())
	}
	return l, nil
}

func (l *lock) release() error {
	if l.conn == nil {
		return l.db.Close()
	}
	_, err := l.conn.ExecContext(context.Background(), "rollback")
	return errors.Join(err, l.conn.Close(), l.db.Close())
}

// refused says who writes here, as far as is known.
func (s *Store) refused(vfs string, err error) error {
	if code(err) != busy {
		return s.trouble(err)
	}
	who := "another process"
	if reading, err := openFile(vfs, s.path); err == nil {
		var pid int
		var since string
		if reading.read.QueryRow("select pid, since from writer").Scan(&pid, &since) == nil {
			who = fmt.Sprintf("process %d, since %s,", pid, since)
		}
		reading.Close()
	}
	return fmt.Errorf("%s: %s has this notebook open for writing; close it there; reading, exporting and backing up work meanwhile", s.path, who)
}
