package sqlite

import (
	"context"
	"database/sql"
	"fmt"
	"iter"

	"dawnround/notebook"
)

const seqBits = 40 // a line's id is device << seqBits + seq

// Append keeps the lines and heads: see notebook.Store.
func (s *Store) Append(lines []notebook.Line, heads []notebook.SignedHead) error {
	return s.trouble(s.change(func(tx *sql.Tx) error {
		devices := devices{tx: tx, ids: map[notebook.DeviceID]int64{}}
		if err := devices.insert(lines); err != nil {
			return err
		}
		for _, h := range heads {
			id, err := devices.id(h.Device)
			if err != nil {
				return err
			}
			_, err = tx.Exec(`insert into signed_head (device, programme, seq, hash, signature) values (?, ?, ?, ?, ?)
				on conflict (device) do update set seq = excluded.seq, hash = excluded.hash, signature = excluded.signature
				where excluded.seq > seq`, id, h.Programme[:], int64(h.Seq), h.Hash[:], h.Signature)
			if err != nil {
				return err
			}
		}
		return nil
	}))
}

// devices finds the numbers of devices within one transaction.
type devices struct {
	tx  *sql.Tx
	ids map[notebook.DeviceID]int64
}

// id gives a device's number, a new one if it is not known.
func (d *devices) id(device notebook.DeviceID) (int64, error) {
	if id, ok := d.ids[device]; ok {
		return id, nil
	}
	var id int64
	err := d.tx.QueryRow("select id from device where key = ?", device[:]).Scan(&id)
	if err == sql.ErrNoRows {
		err = d.tx.QueryRow("insert into device (key) values (?) returning id", device[:]).Scan(&id)
	}
	d.ids[device] = id
	return id, err
}

// insert adds lines, each of which must follow its device's last.
func (d *devices) insert(lines []notebook.Line) error {
	if len(lines) == 0 {
		return nil
	}
	statement, err := d.tx.Prepare("insert into line (id, hash, stored) values (?, ?, ?)")
	if err != nil {
		return err
	}
	defer statement.Close()
	heads := notebook.Heads{}
	for i := range lines {
		l := &lines[i]
		id, err := d.id(l.Device)
		if err != nil {
			return err
		}
		if _, ok := heads[l.Device]; !ok {
			if heads[l.Device], err = headOf(d.tx, id); err != nil {
				return err
			}
		}
		if err := heads.Follow(l); err != nil {
			return err
		}
		if _, err := statement.Exec(id<<seqBits+int64(l.Seq), l.Hash[:], string(l.Stored)); err != nil {
			return err
		}
	}
	return nil
}

// headOf gives the last line of a device.
func headOf(tx *sql.Tx, device int64) (notebook.Head, error) {
	var id int64
	var hash []byte
	err := tx.QueryRow("select id, hash from line where id > ? and id < ? order by id desc limit 1",
		device<<seqBits, (device+1)<<seqBits).Scan(&id, &hash)
	if err == sql.ErrNoRows {
		return notebook.Head{}, nil
	}
	if err != nil {
		return notebook.Head{}, err
	}
	return notebook.Head{Seq: uint64(id - device<<seqBits), Hash: hashOf(hash)}, nil
}

// hashOf takes a hash as it stands in the file, of whatever length.
func hashOf(b []byte) (h notebook.Hash) {
	copy(h[:], b)
	return h
}

// Heads gives where each chain ends, and the signed heads: see notebook.Store.
func (s *Store) Heads() (notebook.Heads, []notebook.SignedHead, error) {
	tx, err := s.read.BeginTx(context.Background(), nil)
	if err != nil {
		return nil, nil, s.trouble(err)
	}
	defer tx.Rollback()
	heads, err := headsOf(tx)
	if err != nil {
		return nil, nil, s.trouble(err)
	}
	signed, err := signedOf(tx)
	return heads, signed, s.trouble(err)
}

func headsOf(tx *sql.Tx) (notebook.Heads, error) {
	known, err := devicesOf(tx)
	if err != nil {
		return nil, err
	}
	heads := notebook.Heads{}
	for _, d := range known {
		head, err := headOf(tx, d.id)
		if err != nil {
			return nil, err
		}
		if head.Seq > 0 {
			heads[d.key] = head
		}
	}
	return heads, nil
}

func signedOf(tx *sql.Tx) ([]notebook.SignedHead, error) {
	rows, err := tx.Query(`select programme, key, seq, hash, signature
		from signed_head join device on device.id = signed_head.device order by key`)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var signed []notebook.SignedHead
	for rows.Next() {
		var h notebook.SignedHead
		var programme, device, hash []byte
		if err := rows.Scan(&programme, &device, &h.Seq, &hash, &h.Signature); err != nil {
			return nil, err
		}
		copy(h.Programme[:], programme)
		copy(h.Device[:], device)
		h.Hash = hashOf(hash)
		signed = append(signed, h)
	}
	return signed, rows.Err()
}

// device is a device and its number in this file.
type device struct {
	id  int64
	key notebook.DeviceID
}

func devicesOf(tx *sql.Tx) ([]device, error) {
	rows, err := tx.Query("select id, key from device order by key")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var known []device
	for rows.Next() {
		var d device
		var key []byte
		if err := rows.Scan(&d.id, &key); err != nil {
			return nil, err
		}
		copy(d.key[:], key)
		known = append(known, d)
	}
	return known, rows.Err()
}

// Since gives the lines the holder lacks: see notebook.Store.
func (s *Store) Since(holder notebook.Heads) iter.Seq2[notebook.Line, error] {
	return func(yield func(notebook.Line, error) bool) {
		tx, err := s.read.BeginTx(context.Background(), nil)
		if err != nil {
			yield(notebook.Line{}, s.trouble(err))
			return
		}
		defer tx.Rollback()
		known, err := devicesOf(tx)
		if err != nil {
			yield(notebook.Line{}, s.trouble(err))
			return
		}
		var chains []iter.Seq2[notebook.Line, error]
		for _, d := range known {
			chains = append(chains, s.chain(tx, d, holder[d.key].Seq))
		}
		notebook.InOrder(chains...)(yield)
	}
}

// pageLines is how many lines are read at a time from one device: one connection
// serves the chains of all devices in turn.
const pageLines = 256

// chain gives a device's lines after a number.
func (s *Store) chain(tx *sql.Tx, d device, after uint64) iter.Seq2[notebook.Line, error] {
	return func(yield func(notebook.Line, error) bool) {
		for more := true; more; {
			lines, err := d.page(tx, after)
			for _, l := range lines {
				if !yield(l, nil) {
					return
				}
				after = l.Seq
			}
			if err != nil {
				yield(notebook.Line{}, s.trouble(err))
				return
			}
			more = len(lines) == pageLines
		}
	}
}

func (d device) page(tx *sql.Tx, after uint64) ([]notebook.Line, error) {
	first := d.id << seqBits
	rows, err := tx.Query("select id, hash, stored from line where id > ? and id < ? order by id limit ?",
		first+int64(min(after, notebook.MaxSeq)), first+1<<seqBits, pageLines)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	lines := make([]notebook.Line, 0, pageLines)
	for rows.Next() {
		var id int64
		var hash, stored []byte
		if err := rows.Scan(&id, &hash, &stored); err != nil {
			return lines, err
		}
		l, err := d.line(uint64(id-first), hash, stored)
		if err != nil {
			return lines, err
		}
		lines = append(lines, l)
	}
	return lines, rows.Err()
}

// line parses a stored line and checks it against what is kept beside it.
func (d device) line(seq uint64, hash, stored []byte) (notebook.Line, error) {
	l, err := notebook.ParseLine(stored)
	if l.Hash == hashOf(hash) && err == nil && l.Device == d.key && l.Seq == seq {
		return l, nil
	}
	why := "not the line that was kept here"
	if err != nil {
		why = fmt.Sprintf("it cannot be read: %v", err)
	}
	return l, &notebook.BadLine{Device: d.key, Seq: seq, ID: l.ID, Why: why, Stored: stored, Hash: l.Hash,
		Want: hashOf(hash), WantBy: "the hash kept beside it"}
}
