package sqlite

import (
	"database/sql"

	"github.com/google/uuid"
)

// Add keeps one more step of a draft, synced: see notebook.Drafts.
func (s *Store) Add(draft uuid.UUID, step []byte) error {
	return s.exec("insert into draft_step (draft, step) values (?, ?)", draft[:], append([]byte{}, step...)) // never null
}

// Drop forgets a draft: see notebook.Drafts.
func (s *Store) Drop(draft uuid.UUID) error {
	return s.exec("delete from draft_step where draft = ?", draft[:])
}

func (s *Store) exec(statement string, values ...any) error {
	return s.trouble(s.change(func(tx *sql.Tx) error {
		_, err := tx.Exec(statement, values...)
		return err
	}))
}

// All gives the steps of every open draft: see notebook.Drafts.
func (s *Store) All() (map[uuid.UUID][][]byte, error) {
	rows, err := s.read.Query("select draft, step from draft_step order by id")
	if err != nil {
		return nil, s.trouble(err)
	}
	defer rows.Close()
	drafts := map[uuid.UUID][][]byte{}
	for rows.Next() {
		var draft, step []byte
		if err := rows.Scan(&draft, &step); err != nil {
			return nil, s.trouble(err)
		}
		var id uuid.UUID
		copy(id[:], draft)
		drafts[id] = append(drafts[id], step)
	}
	return drafts, s.trouble(rows.Err())
}
