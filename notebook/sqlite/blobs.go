package sqlite

import (
	"bytes"
	"database/sql"
	"errors"

	"dawnround/notebook"
)

// blobsSince is the schema that began to hold attachments. In an older file open
// for reading there are none.
const blobsSince = 2

// Put keeps the bytes of an attachment, synced: see notebook.Blobs.
func (s *Store) Put(hash notebook.Hash, b []byte) error {
	if err := hash.Check(b); err != nil {
		return err
	}
	return s.trouble(s.change(func(tx *sql.Tx) error {
		if _, err := tx.Exec("insert or replace into blob (hash, bytes) values (?, ?)", hash[:], b); err != nil {
			return err
		}
		_, err := tx.Exec("delete from blob_part where hash = ?", hash[:])
		return err
	}))
}

// Get gives the bytes of an attachment, verified: see notebook.Blobs.
func (s *Store) Get(hash notebook.Hash) ([]byte, error) {
	if s.version < blobsSince {
		return nil, notebook.ErrNotHere
	}
	var b []byte
	switch err := s.read.QueryRow("select bytes from blob where hash = ?", hash[:]).Scan(&b); {
	case errors.Is(err, sql.ErrNoRows):
		return nil, notebook.ErrNotHere
	case err != nil:
		return nil, s.trouble(err)
	}
	if err := hash.Check(b); err != nil {
		return nil, err
	}
	return b, nil
}

// Has tells whether an attachment's bytes are here: see notebook.Blobs.
func (s *Store) Has(hash notebook.Hash) (bool, error) {
	if s.version < blobsSince {
		return false, nil
	}
	var here bool
	err := s.read.QueryRow("select exists (select 1 from blob where hash = ?)", hash[:]).Scan(&here)
	return here, s.trouble(err)
}

// Part gives what has come of an attachment: see notebook.Blobs.
func (s *Store) Part(hash notebook.Hash) ([]byte, error) {
	if s.version < blobsSince {
		return nil, nil
	}
	rows, err := s.read.Query("select bytes from blob_part where hash = ? order by id", hash[:])
	if err != nil {
		return nil, s.trouble(err)
	}
	defer rows.Close()
	var part bytes.Buffer
	for rows.Next() {
		var piece sql.RawBytes
		if err := rows.Scan(&piece); err != nil {
			return nil, s.trouble(err)
		}
		part.Write(piece)
	}
	return part.Bytes(), s.trouble(rows.Err())
}

// AddPart keeps more of an attachment on its way, synced: see notebook.Blobs.
func (s *Store) AddPart(hash notebook.Hash, offset int64, b []byte) (have int64, err error) {
	err = s.change(func(tx *sql.Tx) error {
		if offset == 0 {
			if _, err := tx.Exec("delete from blob_part where hash = ?", hash[:]); err != nil {
				return err
			}
		}
		if err := tx.QueryRow("select coalesce(sum(length(bytes)), 0) from blob_part where hash = ?", hash[:]).Scan(&have); err != nil {
			return err
		}
		if have != offset || len(b) == 0 {
			return nil
		}
		_, err := tx.Exec("insert into blob_part (hash, bytes) values (?, ?)", hash[:], b)
		have += int64(len(b))
		return err
	})
	return have, s.trouble(err)
}
