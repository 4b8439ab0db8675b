package sqlite

import (
	"bytes"
	"maps"
	"math/rand/v2"
	"sync"

	sqlite3 "modernc.org/sqlite/lib"
)

// cutDisk is a disk in memory whose power can be cut. It forgets what was not
// synced: the bytes of a file written since its last sync, and, until their
// folder is synced, files created and deleted. As on Unix, SQLite syncs the
// folder when it first syncs a new journal or log, and when it says so at a deletion.
type cutDisk struct {
	mu      sync.Mutex
	files   map[string]*cutFile // as programs see them
	durable map[string]*cutFile // as they are after a power cut
	writes  int                 // writes left until the power fails; 0: it does not
	off     bool
	torn    *rand.Rand // nil: all unsynced sectors are forgotten
}

// cutFile is a file with what a power cut would leave of it.
type cutFile struct {
	now     []byte
	synced  []byte
	pending []pending // since the last sync, in order
	handles map[*cutHandle]bool
	shm     []uintptr // regions of the wal-index, in C memory
	slots   [sqlite3.SQLITE_SHM_NLOCK]shmSlot
}

// pending is a write not yet synced, or a truncation to offset where data is nil.
type pending struct {
	offset int
	data   []byte
}

// cutHandle is a file opened by one connection.
type cutHandle struct {
	disk  *cutDisk
	file  *cutFile
	name  string
	level int32 // of the file lock
	fresh bool  // a new journal or log: its first sync is to sync the folder
}

// shmSlot is one lock of the wal-index.
type shmSlot struct {
	shared    map[*cutHandle]bool
	exclusive *cutHandle
}

const sector = 512

func newCutDisk() *cutDisk {
	return &cutDisk{files: map[string]*cutFile{}, durable: map[string]*cutFile{}}
}

// wears counts one write, and tells whether the power is off.
func (d *cutDisk) wears() bool {
	if d.writes > 0 && !d.off {
		d.writes--
		d.off = d.writes == 0
	}
	return d.off
}

// Cut is part of storetest.Disk.
func (d *cutDisk) Cut(k int, torn *rand.Rand) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.writes, d.torn = k, torn
}

// Restore is part of storetest.Disk.
func (d *cutDisk) Restore() bool {
	d.mu.Lock()
	defer d.mu.Unlock()
	was := d.off
	if was {
		d.forget()
	}
	d.off, d.writes = false, 0
	return was
}

// forget makes of every file what a power cut leaves.
func (d *cutDisk) forget() {
	survivors := map[string]*cutFile{}
	for name, f := range d.durable {
		if d.files[name] == f || !d.lucky() { // an unsynced deletion may have happened
			survivors[name] = f
		}
	}
	for name, f := range d.files {
		if d.durable[name] != f && d.lucky() { // an unsynced creation too
			survivors[name] = f
		}
	}
	for name, f := range survivors {
		left := d.left(f)
		survivors[name] = &cutFile{now: left, synced: bytes.Clone(left), handles: map[*cutHandle]bool{}}
	}
	d.files, d.durable = survivors, maps.Clone(survivors)
}

func (d *cutDisk) lucky() bool { return d.torn != nil && d.torn.IntN(2) == 0 }

// left gives a file's bytes after the cut: what was synced, and by chance some
// sectors of what was written since.
func (d *cutDisk) left(f *cutFile) []byte {
	left := bytes.Clone(f.synced)
	for _, p := range f.pending {
		if p.data == nil {
			if d.lucky() {
				left = resize(left, p.offset)
			}
			continue
		}
		for from := 0; from < len(p.data); {
			to := min(len(p.data), from+sector-(p.offset+from)%sector)
			if d.lucky() {
				left = overwrite(left, p.offset+from, p.data[from:to])
			}
			from = to
		}
	}
	return left
}

func resize(b []byte, size int) []byte {
	if size <= len(b) {
		return b[:size]
	}
	return append(b, make([]byte, size-len(b))...)
}

func overwrite(b []byte, offset int, data []byte) []byte {
	if offset+len(data) > len(b) {
		b = resize(b, offset+len(data))
	}
	copy(b[offset:], data)
	return b
}

// open gives a handle on a file, which is made if create says so.
func (d *cutDisk) open(name string, create, journal bool) *cutHandle {
	f := d.files[name]
	made := f == nil && create && !d.off
	if made {
		f = &cutFile{handles: map[*cutHandle]bool{}}
		d.files[name] = f
	}
	if f == nil {
		return nil
	}
	h := &cutHandle{disk: d, file: f, name: name, fresh: made && journal}
	f.handles[h] = true
	return h
}

func (h *cutHandle) write(offset int, data []byte) bool {
	if h.disk.wears() {
		return false
	}
	h.file.now = overwrite(h.file.now, offset, data)
	h.file.pending = append(h.file.pending, pending{offset, bytes.Clone(data)})
	return true
}

func (h *cutHandle) truncate(size int) bool {
	if h.disk.wears() {
		return false
	}
	h.file.now = resize(h.file.now, size)
	h.file.pending = append(h.file.pending, pending{size, nil})
	return true
}

// sync makes the file last, and with a fresh journal or log all names.
func (h *cutHandle) sync() bool {
	if h.disk.wears() {
		return false
	}
	h.file.synced = bytes.Clone(h.file.now)
	h.file.pending = nil
	if h.fresh {
		h.disk.durable = maps.Clone(h.disk.files)
		h.fresh = false
	}
	return true
}

func (d *cutDisk) remove(name string, synced bool) bool {
	if d.wears() {
		return false
	}
	delete(d.files, name)
	if synced {
		d.durable = maps.Clone(d.files)
	}
	return true
}

// lock raises the file lock: shared, reserved, exclusive, as SQLite defines them.
func (h *cutHandle) lock(level int32) bool {
	if h.level >= level {
		return true
	}
	var others int32
	for other := range h.file.handles {
		if other != h {
			others = max(others, other.level)
		}
	}
	switch level {
	case sqlite3.SQLITE_LOCK_SHARED:
		if others >= sqlite3.SQLITE_LOCK_PENDING {
			return false
		}
	case sqlite3.SQLITE_LOCK_RESERVED:
		if others >= sqlite3.SQLITE_LOCK_RESERVED {
			return false
		}
	default:
		if others >= sqlite3.SQLITE_LOCK_RESERVED {
			return false
		}
		if others >= sqlite3.SQLITE_LOCK_SHARED {
			h.level = sqlite3.SQLITE_LOCK_PENDING
			return false
		}
	}
	h.level = level
	return true
}

// reserved tells whether anyone has reserved the file.
func (h *cutHandle) reserved() bool {
	for other := range h.file.handles {
		if other.level >= sqlite3.SQLITE_LOCK_RESERVED {
			return true
		}
	}
	return false
}

// shmLock takes slots of the wal-index, or none of them.
func (h *cutHandle) shmLock(from, n int32, exclusive bool) bool {
	slots := h.file.slots[from : from+n]
	for i := range slots {
		s := &slots[i]
		others := len(s.shared)
		if s.shared[h] {
			others--
		}
		if s.exclusive != nil && s.exclusive != h || exclusive && others > 0 {
			return false
		}
	}
	for i := range slots {
		s := &slots[i]
		if exclusive {
			s.exclusive = h
			continue
		}
		if s.shared == nil {
			s.shared = map[*cutHandle]bool{}
		}
		s.shared[h] = true
	}
	return true
}

func (h *cutHandle) shmUnlock(from, n int32) {
	slots := h.file.slots[from : from+n]
	for i := range slots {
		delete(slots[i].shared, h)
		if slots[i].exclusive == h {
			slots[i].exclusive = nil
		}
	}
}

func (h *cutHandle) close() {
	h.shmUnlock(0, sqlite3.SQLITE_SHM_NLOCK)
	delete(h.file.handles, h)
}
